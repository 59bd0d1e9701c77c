"""The uncertainty budget of a set of readings by JCGM 100, and the same budget as distributions for JCGM 101.

In: readings and norms. Out: a Budget, and the inputs of a Monte Carlo propagation. This file must never know
what the readings say about the plate.

Two parts are kept apart. What is each position's own: the caliper's step (rectangular), how the coupon seats
between the jaws (rectangular) and the repeatability of a reading. What all five share: the caliper's limit of
error (rectangular) and shrinkage on cure (rectangular). The limit of error is taken as shared because five
thicknesses within a few tenths of a millimetre are read on one caliper within one turn of its scale, where
its zero and scale errors are practically the same. It therefore enters the offset and cancels from tilt,
twist and crown.
"""

import math
from collections.abc import Iterable, Mapping

import numpy as np
import scipy.special

from core.geometry.model import Budget
from core.geometry.propagation import Distribution, Draws, Gaussian, PooledScale, Rectangular
from core.knowledge.schema import Knowledge
from core.report import Position, Readings

TYPE_A_NEEDS = 3
"""Readings of one spot from which a person's own repeatability is believed rather than practice's."""


def draw_up(readings: Readings, knowledge: Knowledge) -> Budget:
    """Draw up the budget of the measured positions.

    The repeatability is type A, pooled over all positions with at least two readings, when some position has
    at least ``TYPE_A_NEEDS``; otherwise type B, from practice. The mean of n readings has s/√n; the caliper's
    step and the seating are not averaged, since readings of one spot repeat them.

    Source:
        JCGM 100:2008, 4.2.3, 4.2.4 (pooled), 4.3.7 (rectangular), F.2.2.1 (step); JCGM 101:2008, 6.4.9.
    """
    resolution = step_u(knowledge.norm("caliper_resolution_mm"))
    seating = rectangular_u(knowledge.norm("seating_limit_mm"))
    caliper = rectangular_u(knowledge.norm("caliper_limit_mm"))
    cure = rectangular_u(knowledge.norm("cure_shrinkage_limit_mm"))
    groups = dict(readings.measured())
    pooled = pooled_sd(groups) if any(len(group) >= TYPE_A_NEEDS for group in groups.values()) else None
    s, dof = pooled or (knowledge.norm("repeatability_s_mm"), math.inf)
    counts = {position: len(group) for position, group in groups.items()}
    return Budget(
        common_u=math.hypot(caliper, cure),
        individual_u={
            position: math.hypot(resolution, seating, s / math.sqrt(count)) for position, count in counts.items()
        },
        repeatability_s=s,
        repeatability_from="repeats" if pooled else "practice",
        degrees_of_freedom=dof,
        components={
            "resolution": resolution,
            "seating": seating,
            "repeatability": s,
            "caliper": caliper,
            "cure_shrinkage": cure,
        },
        counts=counts,
    )


def rectangular_u(limit: float) -> float:
    """Return the standard uncertainty of a quantity known to lie within ±limit: a/√3 (JCGM 100, 4.3.7)."""
    return limit / math.sqrt(3)


def step_u(step: float) -> float:
    """Return the standard uncertainty that a digital step leaves: δ/√12 (JCGM 100, F.2.2.1)."""
    return step / math.sqrt(12)


def pooled_sd(groups: Mapping[Position, tuple[float, ...]]) -> tuple[float, float]:
    """Return the standard deviation pooled over all positions with repeats, mm, and its degrees of freedom Σ(n - 1).

    Source: JCGM 100:2008, 4.2.4. At least one group must have two readings.
    """
    squares, dof = 0.0, 0
    for group in groups.values():
        mean = math.fsum(group) / len(group)
        squares += math.fsum((reading - mean) ** 2 for reading in group)
        dof += len(group) - 1
    return math.sqrt(squares / dof), float(dof)


def effective_degrees_of_freedom(parts: Iterable[tuple[float, float]]) -> float:
    """Return u⁴ / Σ(uᵢ⁴/νᵢ) of independent parts ``(standard uncertainty, degrees of freedom)``.

    Infinite where every part's degrees of freedom are. Source: Welch-Satterthwaite, JCGM 100:2008, G.4.1.
    """
    known = tuple(parts)
    below = math.fsum(u**4 / dof for u, dof in known)
    return math.fsum(u**2 for u, _ in known) ** 2 / below if below else math.inf


def coverage_factor(degrees_of_freedom: float, p: float = 0.95) -> float:
    """Return the half width of a ``p`` interval in standard uncertainties (Student's t; JCGM 100, table G.2)."""
    if math.isinf(degrees_of_freedom):
        return float(scipy.special.ndtri((1 + p) / 2))
    return float(scipy.special.stdtrit(degrees_of_freedom, (1 + p) / 2))


def reading_inputs(budget: Budget) -> tuple[Distribution, ...]:
    """Return a budget as independent distributions about zero, for ``reading_deviations`` to put together, mm."""
    parts = budget.components
    own: list[Distribution] = []
    for count in budget.counts.values():
        own.append(Rectangular(0.0, parts["resolution"] * math.sqrt(3)))
        own.append(Rectangular(0.0, parts["seating"] * math.sqrt(3)))
        own.append(Gaussian(0.0, budget.repeatability_s / math.sqrt(count)))
    shared: list[Distribution] = [
        Rectangular(0.0, parts["caliper"] * math.sqrt(3)),
        Rectangular(0.0, parts["cure_shrinkage"] * math.sqrt(3)),
    ]
    if math.isfinite(budget.degrees_of_freedom):
        shared.append(PooledScale(budget.degrees_of_freedom))
    return (*own, *shared)


def reading_deviations(budget: Budget, drawn: tuple[Draws, ...]) -> tuple[Draws, Draws]:
    """Put the draws of ``reading_inputs`` together.

    Returns:
        The deviation of each measured position, shape (positions, draws), without what they share; and what
        they share, shape (draws,).
    """
    positions = len(budget.counts)
    own = np.empty((positions, drawn[0].size), dtype=np.float32)
    shared = drawn[3 * positions :]
    for place in range(positions):
        resolution, seating, repeatability = drawn[3 * place : 3 * place + 3]
        if math.isfinite(budget.degrees_of_freedom):
            repeatability *= shared[2]
        np.add(resolution, seating, out=own[place])
        own[place] += repeatability
    return own, shared[0] + shared[1]
