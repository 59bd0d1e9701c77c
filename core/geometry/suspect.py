"""Which reading most likely is wrong, where the readings do not agree with each other or with a flat plate.

In: readings, errors and contrasts. Out: a Suspect or nothing. The words about it are someone else's.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from core.geometry.contrasts import Stand, solve
from core.geometry.model import Suspect
from core.knowledge.schema import Knowledge
from core.report import CORNERS, POSITIONS, THINNEST_MM, Position, Readings


@dataclass(frozen=True, slots=True)
class Ordinary:
    """How large the contrasts of an ordinary plate are: standard deviations, mm.

    The crown's and the twist's are norms of their own. For the offset the norm of a fine offset serves as one
    standard deviation; for each tilt a quarter of the spread at which a plate is out of parallel, since a
    plate tilted both ways by that much has just that spread.
    """

    offset: float
    tilt: float
    crown: float
    twist: float

    @classmethod
    def of(cls, knowledge: Knowledge) -> "Ordinary":
        """Read them from the norms."""
        return cls(
            knowledge.norm("offset_ok_mm"),
            knowledge.norm("spread_out_mm") / 4,
            knowledge.norm("crown_prior_sd_mm"),
            knowledge.norm("twist_prior_sd_mm"),
        )


def find_suspect(
    readings: Readings,
    errors: Mapping[Position, float],
    twist_z: float | None,
    knowledge: Knowledge,
) -> Suspect | None:
    """Name the reading that most likely is wrong.

    Args:
        readings: What was measured.
        errors: Error of each measured position, mm.
        twist_z: |twist| over what measuring and an honest plate explain, where that is significant; else ``None``.
        knowledge: For the norms.
    """
    ordinary = Ordinary.of(knowledge)
    nominal = readings.nominal_mm
    scattered = _most_scattered(readings, knowledge.norm("scatter_limit_mm"))
    if scattered:
        others = _implied_by_the_others(scattered, errors, ordinary)
        return Suspect(scattered, "scatter", 0.0, nominal + others)
    if twist_z is None:
        return None
    worst = max(CORNERS, key=lambda corner: _how_ordinary(corner, errors, nominal, ordinary))
    return Suspect(worst, "twist", twist_z, nominal + _implied_by_the_others(worst, errors, ordinary))


def _most_scattered(readings: Readings, limit: float) -> Position | None:
    """Return the position whose repeats differ most, if by more than the limit."""
    ranges = {position: round(max(group) - min(group), 6) for position, group in readings.measured()}
    worst = max(ranges, key=lambda position: ranges[position])
    return worst if ranges[worst] > limit else None


def _how_ordinary(
    corner: Position,
    errors: Mapping[Position, float],
    nominal: float,
    ordinary: Ordinary,
) -> float:
    """Return the log density, up to a constant, of the plate that the other readings describe if this corner is wrong.

    One twist cannot tell which of four corners made it: each of them may be off by four times the twist. But
    the four corrections leave four different plates, and the centre coupon was not touched by any. The corner
    whose correction leaves the most ordinary offset, tilt and crown is the most probable culprit; all corners
    are equally likely beforehand.
    """
    would_be = _implied_by_the_others(corner, errors, ordinary)
    if nominal + would_be < THINNEST_MM:
        return -math.inf
    plate = {**errors, corner: would_be}
    stand_ins: dict[Stand, float] = {} if Position.CENTRE in errors else {"crown": ordinary.crown}
    offset, tilt_x, tilt_y, _, crown = solve(plate, dict.fromkeys(plate, 1.0), 0.0, stand_ins).values.tolist()
    how_far = math.hypot(
        offset / ordinary.offset,
        tilt_x / ordinary.tilt,
        tilt_y / ordinary.tilt,
        crown / ordinary.crown,
    )
    return -0.5 * how_far**2


def _implied_by_the_others(position: Position, errors: Mapping[Position, float], ordinary: Ordinary) -> float:
    """Return the error that the other readings imply at a position, mm: on a plate without twist, or without crown.

    Without twist where that settles it; without crown too where the centre is in question or a second coupon
    is missing. Where the opposite corner is missing too, nothing tells of a fall along their diagonal, and
    none is supposed.
    """
    others = {place: error for place, error in errors.items() if place is not position}
    known = [error for place, error in others.items() if place in CORNERS]
    if position in CORNERS and _opposite(position) not in others:
        return sum(known) / len(known)
    stand_ins: dict[Stand, float] = {}
    if len(known) < len(CORNERS):
        stand_ins["twist"] = ordinary.twist
    if len(others) + len(stand_ins) < len(POSITIONS):
        stand_ins["crown"] = ordinary.crown
    offset, tilt_x, tilt_y, twist, crown = solve(others, dict.fromkeys(others, 1.0), 0.0, stand_ins).values.tolist()
    if position is Position.CENTRE:
        return float(offset + crown)
    return float(offset + tilt_x * position.x + tilt_y * position.y + twist * position.x * position.y)


def _opposite(position: Position) -> Position:
    """Return the position at the other end of the diagonal; the centre is its own."""
    return next(place for place in POSITIONS if (place.x, place.y) == (-position.x, -position.y))
