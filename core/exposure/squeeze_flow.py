"""Resin caught between plate and film: viscosity, size and force in, pushing force and settling time out.

SI units inside the formulas, as their sources have them. This file must never know what a raft is for.
"""

from math import inf, pi, sqrt


def disc_force(viscosity: float, radius: float, gap: float, speed: float) -> float:
    """Return the force that pushes a disc towards a parallel wall through a liquid: F = 3πμR⁴V/(2h³).

    Parameters
    ----------
    viscosity
        μ, Pa·s.
    radius, gap
        R and h, m.
    speed
        V of approach, m/s.

    Returns
    -------
    float
        N.

    Notes
    -----
    J. Stefan, 1874; O. Reynolds, 1886; Bird, Stewart & Lightfoot, Transport Phenomena, 2nd ed., problem 3C.1.
    Holds for a Newtonian liquid, h much smaller than R, and little inertia. Rigid discs are an upper bound: a
    real film gives.
    """
    return 3 * pi * viscosity * radius**4 * speed / (2 * gap**3)


def settling_time(viscosity: float, radius: float, force: float, gap: float, from_gap: float = inf) -> float:
    """Return how long a constant force needs to bring a disc down to ``gap``: t = (1/h² - 1/h0²) 3πμR⁴/(4F).

    The integral of ``disc_force``; units, range and source as there. ``from_gap`` is where it started; from
    infinitely far is a good approximation as soon as it started from a few times ``gap``. 0 where it already
    is that near. Monotone in each argument.
    """
    if from_gap <= gap:
        return 0.0
    far = 0.0 if from_gap == inf else 1 / from_gap**2
    return (1 / gap**2 - far) * 3 * pi * viscosity * radius**4 / (4 * force)


def equivalent_radius(area: float) -> float:
    """Return the radius of the disc of the same area, √(A/π), in the root of the area's unit.

    A disc settles more slowly than any other single shape of its area, so this too is an upper bound.
    """
    return sqrt(area / pi)


def cells_settling_time(viscosity: float, area: float, cell_width: float, force: float, gap: float) -> float:
    """Return the settling time of an area broken into equal cells between which resin can leave freely.

    Each cell is a disc of diameter ``cell_width`` and carries its share of the force, F πr²/A, so that
    against one disc of the whole area the time falls as (r/R)². Cells no larger than the area itself: a
    larger width counts as one disc. Units and source as ``settling_time``, area in m². Holds while the
    channels between cells are much deeper than the gap.
    """
    radius = min(cell_width / 2, equivalent_radius(area))
    return settling_time(viscosity, radius, force * pi * radius**2 / area, gap)
