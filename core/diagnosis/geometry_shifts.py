"""What the coupons say about each mechanical cause, as log likelihood ratios with the person's own numbers.

In: Geometry, Knowledge. Out: ``Shift`` values, bounded and smooth: no threshold turns a hundredth of a millimetre
into a different verdict. This file must never know findings, settings or words.

Each ratio compares how a contrast varies on sound and on faulty machines, both seen through the contrast's own
uncertainty, so that a poor measurement says little by itself. A suspect reading takes away half of what all of them
say (norm ``doubted_weight``), since any contrast may be the one it spoiled.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from core.diagnosis.densities import one_sided_ratio, scale_ratio, two_sided_ratio
from core.diagnosis.model import Shift
from core.geometry.model import Estimate, Geometry
from core.knowledge import Knowledge

GEOMETRIC = ("tilt", "start_close", "start_far", "crown")
"""The causes that five coupons speak about directly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """What one cause is judged by: a value and its standard uncertainty, mm."""

    about: str
    value: float
    u: float


def shift_by_geometry(geometry: Geometry, knowledge: Knowledge) -> tuple[Shift, ...]:
    """Return what the readings say for and against each cause they bear on."""
    return tuple(_shifts(geometry, knowledge))


def geometry_ratio(cause: str, value: float, u: float, knowledge: Knowledge) -> float:
    """Return the unbounded log likelihood ratio of one of ``GEOMETRIC`` at a value of its contrast.

    ``value`` and ``u`` in mm: for ``tilt`` the spread of the fitted plane, for the starts the offset, for ``crown``
    the crown.
    The error is positive where the plate is far from the film.
    """
    norm = knowledge.norm
    if cause == "tilt":
        return scale_ratio(value, u, norm("tilt_sound_sd_mm"), norm("tilt_faulty_sd_mm"))
    if cause == "crown":
        return two_sided_ratio(value, u, norm("crown_sound_sd_mm"), norm("crown_faulty_sd_mm"))
    toward = {"start_close": -1, "start_far": 1}[cause]
    return one_sided_ratio(toward * value, u, norm("offset_sound_sd_mm"), norm("offset_faulty_sd_mm"))


def contrast_of(cause: str, geometry: Geometry) -> Contrast:
    """Return what the readings say about one of ``GEOMETRIC``.

    The spread of the fitted plane is 2(|tilt_x| + |tilt_y|): its highest minus its lowest corner, free of twist.
    """
    if cause == "tilt":
        spread = 2 * (abs(geometry.tilt_x.value) + abs(geometry.tilt_y.value))
        return Contrast(about="geometry.spread", value=spread, u=2 * math.hypot(geometry.tilt_x.u, geometry.tilt_y.u))
    name, estimate = ("crown", geometry.crown) if cause == "crown" else ("offset", geometry.offset)
    return Contrast(about=f"geometry.{name}", value=estimate.value, u=estimate.u)


def geometry_weight(geometry: Geometry, knowledge: Knowledge) -> float:
    """Return 1, or the norm ``doubted_weight`` where a reading is suspect or the twist is beyond measuring."""
    doubted = geometry.suspect is not None or geometry.twist_significant
    return knowledge.norm("doubted_weight") if doubted else 1.0


def _shifts(geometry: Geometry, knowledge: Knowledge) -> Iterator[Shift]:
    limit = knowledge.norm("evidence_limit")
    weight = geometry_weight(geometry, knowledge)
    for cause in GEOMETRIC:
        contrast = contrast_of(cause, geometry)
        ratio = geometry_ratio(cause, contrast.value, contrast.u, knowledge)
        # Bounded first and weighed afterwards, or a large ratio would hide that it is doubted.
        moved = weight * max(-limit, min(limit, ratio))
        yield Shift(cause, contrast.about, moved, _code(cause, moved), _values(cause, geometry, knowledge))
    if geometry.twist_significant:
        values = {"twist_mm": abs(geometry.twist.value), **_interval(geometry.twist)}
        yield Shift("debris", "geometry.twist", knowledge.norm("twist_debris"), "twist_debris_for", values)


def _code(cause: str, moved: float) -> str:
    name = {"tilt": "spread", "crown": "crown"}.get(cause, "offset")
    return f"{name}_{'for' if moved > 0 else 'against'}"


def _values(cause: str, geometry: Geometry, knowledge: Knowledge) -> Mapping[str, object]:
    doubted = geometry.suspect is not None or geometry.twist_significant
    if cause == "tilt":
        own: dict[str, object] = {
            "spread_mm": geometry.spread.value,
            **_interval(geometry.spread),
            "good_mm": knowledge.norm("spread_good_mm"),
            "high_at": geometry.highest.value,
            "low_at": geometry.lowest.value,
        }
    elif cause == "crown":
        middle = "thicker" if geometry.crown.value > 0 else "thinner"
        own = {"crown_mm": abs(geometry.crown.value), **_interval(geometry.crown), "middle": middle}
    else:
        way = "thin" if geometry.offset.value < 0 else "thick"
        own = {"offset_mm": abs(geometry.offset.value), **_interval(geometry.offset), "way": way}
        own["fine_mm"] = knowledge.norm("offset_ok_mm")
    return {**own, "doubted": doubted, "missing": geometry.missing.value if geometry.missing else None}


def _interval(estimate: Estimate) -> dict[str, object]:
    return {"low_mm": estimate.low, "high_mm": estimate.high}
