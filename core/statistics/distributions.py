"""Counts in bins of equal width in, where a share of the values lies out. Summaries of one shape add up.

A million readings are kept as some dozens of counts. What that costs is stated: a quantile is known to within one bin.
This file must never know what was measured or in which unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from typing import Literal


@dataclass(frozen=True, slots=True)
class Histogram:
    """Counts in equal bins.

    Attributes:
        start: Lower end of the first bin.
        width: Width of a bin: the resolution of all that follows.
        counts: Values in start + k·width <= value < start + (k+1)·width.
        below, above: Values before the first and after the last bin.
    """

    start: float
    width: float
    counts: tuple[int, ...]
    below: int = 0
    above: int = 0

    @property
    def total(self) -> int:
        """All values, those outside the bins too."""
        return self.below + sum(self.counts) + self.above

    @property
    def end(self) -> float:
        """Upper end of the last bin."""
        return self.start + self.width * len(self.counts)


@dataclass(frozen=True, slots=True)
class Quantile:
    """Where a share of the values lies.

    Attributes:
        value: Interpolated within the bin; the end of the bins for a value outside.
        low, high: Ends of its bin, between which the true quantile lies; ``None`` on the open side outside the bins.
    """

    value: float
    low: float | None
    high: float | None


_HAIR = 1e-9
"""Of a bin: 0.30/0.01 must fall into bin 30, whatever binary fractions make of it."""


def find_bin(value: float, start: float, width: float, bins: int) -> int | Literal["below", "above"]:
    """Return the bin of one value. A value within a billionth of a bin below an end belongs above it."""
    at = floor((value - start) / width + _HAIR)
    if at < 0:
        return "below"
    return at if at < bins else "above"


def count_values(values: Sequence[float], start: float, width: float, bins: int) -> Histogram:
    """Return the histogram of some values."""
    counts = [0] * bins
    outside = {"below": 0, "above": 0}
    for value in values:
        at = find_bin(value, start, width, bins)
        if isinstance(at, str):
            outside[at] += 1
        else:
            counts[at] += 1
    return Histogram(start, width, tuple(counts), outside["below"], outside["above"])


def join_histograms(first: Histogram, second: Histogram) -> Histogram:
    """Return the histogram of all values of both. Raises ``ValueError`` where their bins differ."""
    if (first.start, first.width, len(first.counts)) != (second.start, second.width, len(second.counts)):
        raise ValueError("only histograms with the same bins can be joined")
    counts = tuple(one + other for one, other in zip(first.counts, second.counts, strict=True))
    return Histogram(first.start, first.width, counts, first.below + second.below, first.above + second.above)


def quantile_of(histogram: Histogram, share: float) -> Quantile | None:
    """Return where ``share`` of the values lies below; ``None`` of no values.

    The smallest value with at least ``share`` of all at or below it (the inverse of the empirical distribution), with
    the values of a bin taken as spread evenly over it. It differs from that of the values themselves by less than one
    bin.

    Raises:
        ValueError: A share outside [0, 1].
    """
    if not 0 <= share <= 1:
        raise ValueError(f"a share must be between 0 and 1, not {share}")
    if not histogram.total:
        return None
    # At least one value, or the quantile of share 0 would lie below all of them.
    wanted = max(share * histogram.total, 1.0) if share < 1 else float(histogram.total)
    if wanted <= histogram.below + _HAIR:
        return Quantile(histogram.start, None, histogram.start)
    seen = float(histogram.below)
    for k, count in enumerate(histogram.counts):
        if count and wanted <= seen + count + _HAIR:
            low = histogram.start + k * histogram.width
            value = low + histogram.width * min((wanted - seen) / count, 1.0)
            return Quantile(value, low, low + histogram.width)
        seen += count
    return Quantile(histogram.end, histogram.end, None)
