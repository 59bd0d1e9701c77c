"""How long things took, and how long the unfinished ones have been waiting, in; the typical time with its interval out.

Leaving the open cases out would make a slow community look fast: only quick fixes would count. They count here for as
long as they have been waiting (right censoring). This file must never know what was waited for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from core.statistics.intervals import normal_quantile


@dataclass(frozen=True, slots=True)
class Waiting:
    """What is left at the end of one bin of time.

    Attributes:
        time: End of the bin.
        at_risk: Cases that had waited until the bin began.
        done: Cases that ended in the bin.
        left: Share still waiting at the end of the bin.
        low, high: Ends of its interval.
    """

    time: float
    at_risk: int
    done: int
    left: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TypicalTime:
    """A time by which a share was done.

    Attributes:
        value: ``None`` where so many were never done within the time seen.
        low: ``None`` where not even the hopeful end of the interval was done within the time seen.
        high: ``None`` where the upper end lies beyond the time seen.
        resolution: Width of a bin: times are known to within it.
        done, open: Cases that ended, and that were still open.
    """

    value: float | None
    low: float | None
    high: float | None
    resolution: float
    done: int
    open: int


def survive(done: Sequence[int], still_open: Sequence[int], width: float, level: float = 0.95) -> tuple[Waiting, ...]:
    """Return the share still waiting after each bin of time.

    Product over bins of (1 - d/n), d done in the bin of n at risk; what is open in a bin counts as waiting through it
    (events before censorings at equal times). Greenwood's variance S²Σ d/(n(n-d)), turned into an interval on
    the scale log(-log S) so that it stays within 0 and 1. There the formula has no value at S = 1, where the interval
    is a point, and at S = 0, where it goes from 0 to the upper end before.

    Args:
        done: Cases that ended in bin k, after k·width and up to (k+1)·width.
        still_open: Cases last seen open in bin k.
        width: Of a bin.
        level: Coverage of the intervals.

    Source:
        Kaplan & Meier, Journal of the American Statistical Association 53 (1958) 457; Greenwood 1926; transformation:
        Kalbfleisch & Prentice, The Statistical Analysis of Failure Time Data, 1.4 (clause from memory).

    Raises:
        ValueError: Lengths differ, or a count is negative.
    """
    if len(done) != len(still_open) or min((*done, *still_open), default=0) < 0:
        raise ValueError("each bin needs its cases done and open, none negative")
    z = normal_quantile(level)
    at_risk, left, greenwood = sum(done) + sum(still_open), 1.0, 0.0
    rows: list[Waiting] = []
    for k, (ended, censored) in enumerate(zip(done, still_open, strict=True)):
        if not at_risk:
            break
        left *= 1 - ended / at_risk
        if ended < at_risk:
            greenwood += ended / (at_risk * (at_risk - ended))
        low, high = _ends(left, greenwood, z, rows[-1].high if rows else 1.0)
        rows.append(Waiting((k + 1) * width, at_risk, ended, left, low, high))
        at_risk -= ended + censored
    return tuple(rows)


def typical_time(
    done: Sequence[int], still_open: Sequence[int], width: float, share: float = 0.5, level: float = 0.95
) -> TypicalTime:
    """Return the time by which ``share`` of the cases were done; the median unless said otherwise.

    The first time at which no more than 1 - share are waiting; its interval is made of the times at which the interval
    of the share waiting first reaches down to 1 - share with either end. Arguments and errors are those of ``survive``.

    Source:
        Brookmeyer & Crowley, Biometrics 38 (1982) 29.
    """
    rows = survive(done, still_open, width, level)
    target = 1 - share

    def first(column: str) -> float | None:
        return next((row.time for row in rows if getattr(row, column) <= target + 1e-12), None)

    return TypicalTime(first("left"), first("low"), first("high"), width, sum(done), sum(still_open))


def _ends(left: float, greenwood: float, z: float, before: float) -> tuple[float, float]:
    if left >= 1:
        return 1.0, 1.0
    if left <= 0:
        return 0.0, before
    reach = z * sqrt(greenwood) / abs(log(left))
    return left ** exp(reach), left ** exp(-reach)
