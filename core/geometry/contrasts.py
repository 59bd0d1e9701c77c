"""The five contrasts of the five-coupon layout: positions in, a linear map and its covariance out.

The layout is a two-level factorial design with a centre point, so a position's error is
offset + tilt_x·x + tilt_y·y + twist·x·y at a corner (x, y = ±1) and offset + crown at the centre. This file must
never know how thick a coupon is or what a contrast means for the print.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from core.geometry.least_squares import Array, least_squares
from core.geometry.model import CONTRASTS
from core.report import POSITIONS, Position

Stand = Literal["twist", "crown"]
"""A contrast whose prior can stand in for a lost coupon."""


def design_row(position: Position) -> tuple[float, ...]:
    """Return how the error at a position is made of the contrasts, in the order of ``CONTRASTS``."""
    if position is Position.CENTRE:
        return (1.0, 0.0, 0.0, 0.0, 1.0)
    return (1.0, float(position.x), float(position.y), float(position.x * position.y), 0.0)


def stand_in(missing: Position | None) -> Stand | None:
    """Return the contrast that a lost coupon leaves undetermined and that has a prior.

    A flat plate over a flat screen cannot twist, so the twist stands in for a corner: the missing error then
    is a linear combination of the other corners, give or take four times the twist. The crown stands in for
    the centre.
    """
    if missing is None:
        return None
    return "crown" if missing is Position.CENTRE else "twist"


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """The contrasts as a linear map of what was observed.

    Attributes:
        values: Shape (5,), mm, in the order of ``CONTRASTS``.
        gain: Shape (5, k): from the k observations (measured positions in order, then stand-ins) to the
            contrasts.
        covariance: Shape (5, 5), mm².
    """

    values: Array
    gain: Array
    covariance: Array


def solve(
    errors: Mapping[Position, float],
    individual_u: Mapping[Position, float],
    common_u: float,
    stand_ins: Mapping[Stand, float],
) -> Solution:
    """Estimate the five contrasts with their full covariance.

    Each stand-in is an observation of its contrast, zero with the prior's standard deviation. What shifts all
    positions alike is an observation error of the offset and of nothing else.

    Args:
        errors: Measured minus nominal at each measured position, mm.
        individual_u: Standard uncertainty of each of these on its own, mm; all positive.
        common_u: Standard uncertainty of the shift that they share, mm.
        stand_ins: Contrast to the standard deviation of its prior, mm. As many as positions are missing.

    Source:
        Contrasts of a 2² design with centre points: Montgomery, Design and Analysis of Experiments, chapter
        on the 2^k design. Covariance of a linear map: JCGM 102:2011, 6.2.
    """
    measured = [position for position in POSITIONS if position in errors]
    design = design_matrix(measured, tuple(stand_ins))
    observed = np.array([errors[position] for position in measured] + [0.0] * len(stand_ins))
    u = np.array([individual_u[position] for position in measured] + list(stand_ins.values()))
    fit = least_squares(design / u[:, None], observed / u)
    covariance = fit.cofactor.copy()
    covariance[0, 0] += common_u**2
    return Solution(fit.parameters, fit.gain / u, covariance)


def design_matrix(positions: Sequence[Position], stand_ins: Sequence[Stand] = ()) -> Array:
    """Return the design of some positions and stand-ins, one row each."""
    rows = [design_row(position) for position in positions]
    rows += [tuple(float(name == contrast) for contrast in CONTRASTS) for name in stand_ins]
    return np.array(rows)
