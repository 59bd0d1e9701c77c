"""What a fitted working curve says, in sentences, and as data of the person's resin where it is good enough for that.

In: WorkingCurve, norms. Out: sentences; a Resin or the reason why not. This file must never know a cause or a remedy,
nor whether the plate is level.
"""

from collections.abc import Iterator
from math import log
from typing import Literal

from pydantic import ValidationError

from core.exposure.curve_reading import depth_at, time_needed
from core.exposure.working_curve import gain_of_doubling
from core.exposure.working_curve_fit import Fitted, WorkingCurve
from core.knowledge.schema import Knowledge
from core.report import Resin
from core.words import Words
from core.words.numbers import mm, mm_range

Unusable = Literal["squares_disagree", "bent", "too_wide", "not_a_resin"]

DIGITS = 4
"""Significant digits kept of resin data: more than any square knows."""
BOUNDED = 100.0
"""An end of a range further off than this factor bounds nothing."""
SHORTEST_SAID, LONGEST_SAID = 0.001, 1000.0
"""Seconds beyond which a number would only puzzle."""
WHOLE_FROM = 10
"""Seconds from which on a decimal says nothing more."""


def describe_curve(curve: WorkingCurve, words: Words) -> tuple[str, ...]:
    """Return Dp and Tc with 95 % intervals, what doubling an exposure buys, and every doubt with what to do about it.

    An interval that the squares leave open is said so in words.
    """
    return tuple(_sentences(curve, words))


def describe_layer(curve: WorkingCurve, layer_height_mm: float, knowledge: Knowledge, words: Words) -> tuple[str, ...]:
    """Return which exposure a layer of this height needs, with what the squares leave open, and its caution.

    A layer is taken to need a cure depth between two norms times its height. The last sentence says that none of this
    is a reason to expose longer on a crooked or unmeasured plate.
    """
    least, most = knowledge.norm("cure_over_layer_low"), knowledge.norm("cure_over_layer_high")
    short, long = (time_needed(curve, factor * layer_height_mm) for factor in (least, most))
    if _open_ends(short) or _open_ends(long):
        lines = [words.say("curve_summary.layer_open", height=f"{layer_height_mm:g} mm")]
    else:
        lines = [
            words.say(
                "curve_summary.layer",
                height=f"{layer_height_mm:g} mm",
                least=f"{least:g}",
                most=f"{most:g}",
                about=_seconds_range(short.value, long.value, words),
                range=_seconds_range(short.low, long.high, words),
            )
        ]
        if short.value < curve.shortest_time or long.value > curve.longest_time:
            own = _seconds_range(curve.shortest_time, curve.longest_time, words)
            lines.append(words.say("curve_summary.layer_beyond", own=own))
    lines.append(words.say("curve_summary.level_first"))
    return tuple(lines)


def describe_unusable(curve: WorkingCurve, knowledge: Knowledge, words: Words) -> str | None:
    """Return why the curve is not used as the person's resin data, or ``None`` where it is."""
    reason = why_unusable(curve, knowledge)
    if reason is None:
        return None
    half = max(_half_width(depth_at(curve, time)) for time in (curve.shortest_time, curve.longest_time))
    return words.say(f"curve_summary.unusable.{reason}", half=mm(half))


def resin_of(curve: WorkingCurve, knowledge: Knowledge) -> Resin | None:
    """Return penetration depth and critical time as resin data, or ``None`` where ``why_unusable`` gives a reason.

    Nothing is clamped: a value beyond what a report accepts is a sign of wrong times or units and not of a resin at
    the limit.
    """
    if why_unusable(curve, knowledge) is not None:
        return None
    return _resin(curve)


def why_unusable(curve: WorkingCurve, knowledge: Knowledge) -> Unusable | None:
    """Return why a curve must not stand for the person's resin, or ``None``.

    ``squares_disagree``: an outlier has pulled the line, so first that square is made again. ``bent``: lack of fit or
    curvature, and resin data are used outside the person's own times, where a bent curve misleads. Leverage and few
    squares do not forbid by themselves, since they widen the range. ``too_wide``: somewhere within its own times the
    line is open, or known worse than the rest of the program would believe data given as numbers, which is a norm's
    share of Dp and of Tc, together share·Dp·(ln(t/Tc) + 1) of depth. ``not_a_resin``: beyond what a report accepts.
    """
    kinds = {doubt.kind for doubt in curve.doubts}
    if "outlier" in kinds:
        return "squares_disagree"
    if kinds & {"lack_of_fit", "curvature"}:
        return "bent"
    if _resin(curve) is None:
        return "not_a_resin"
    if curve.penetration_depth.low <= 0 or _open_ends(curve.critical_time):
        return "too_wide"
    share = knowledge.norm("resin_data_relative")
    for time in (curve.shortest_time, curve.longest_time):
        depth = curve.penetration_depth.value
        believed = share * depth * (max(0.0, log(time / curve.critical_time.value)) + 1)
        if _half_width(depth_at(curve, time)) > believed:
            return "too_wide"
    return None


def _sentences(curve: WorkingCurve, words: Words) -> Iterator[str]:
    depth, critical = curve.penetration_depth, curve.critical_time
    floor = "" if depth.low > 0 else "_open"
    yield words.say(
        f"curve_summary.depth{floor}",
        value=mm(depth.value),
        range=mm_range(depth.low, depth.high, words),
        high=mm(depth.high),
    )
    yield words.say(
        f"curve_summary.critical{_open_ends(critical)}",
        value=_seconds(critical.value, words),
        range=_seconds_range(critical.low, critical.high, words),
        low=_seconds(critical.low, words),
        high=_seconds(critical.high, words),
    )
    value, low, high = (gain_of_doubling(each) for each in (depth.value, depth.low, depth.high))
    yield words.say(f"curve_summary.doubling{floor}", value=mm(value), range=mm_range(low, high, words), high=mm(high))
    for doubt in curve.doubts:
        yield words.say(f"curve.doubts.{doubt.kind}", **doubt.values)


def _open_ends(fitted: Fitted) -> str:
    below, above = fitted.low < fitted.value / BOUNDED, fitted.high > fitted.value * BOUNDED
    return {(True, True): "_open", (True, False): "_open_below", (False, True): "_open_above"}.get((below, above), "")


def _resin(curve: WorkingCurve) -> Resin | None:
    try:
        return Resin(
            penetration_depth_mm=_rounded(curve.penetration_depth.value),
            critical_time_s=_rounded(curve.critical_time.value),
        )
    except ValidationError:
        return None


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _half_width(fitted: Fitted) -> float:
    return fitted.high - fitted.value


def _seconds(value: float, words: Words) -> str:
    if value < SHORTEST_SAID:
        return words.say("curve_summary.under", value=f"{SHORTEST_SAID:g}")
    if value > LONGEST_SAID:
        return words.say("curve_summary.over", value=f"{LONGEST_SAID:g}")
    return f"{value:.2g} s" if value < WHOLE_FROM else f"{value:.0f} s"


def _seconds_range(low: float, high: float, words: Words) -> str:
    return words.say("curve_summary.range", low=_seconds(low, words).removesuffix(" s"), high=_seconds(high, words))
