"""Counts of successes in, shares with their intervals out.

The methods keep their coverage where counts are small or a share is 0 or 1, which the textbook interval
p ± z√(p(1-p)/n) does not (Newcombe 1998). This file must never know what is counted.
"""

from dataclasses import dataclass
from math import hypot, sqrt

from scipy.special import ndtri


@dataclass(frozen=True, slots=True)
class Share:
    """A share of a number of cases.

    Attributes:
        count: Cases that have what was counted.
        of: All cases.
        value: ``count / of``; ``None`` of no cases.
        low, high: Ends of its interval; 0 and 1 of no cases.
    """

    count: int
    of: int
    value: float | None
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Difference:
    """The first share minus the second with its interval; ``value`` is ``None`` where either is of no cases."""

    value: float | None
    low: float
    high: float


def normal_quantile(level: float) -> float:
    """Return z so that a standard normal lies within ±z with probability ``level``, which is in (0, 1)."""
    if not 0 < level < 1:
        raise ValueError(f"a level must be between 0 and 1, not {level}")
    return float(ndtri((1 + level) / 2))


def share_of(count: int, of: int, level: float = 0.95) -> Share:
    """Return a share with its Wilson score interval.

    The ends are the p for which (count/of - p)² = z² p(1-p)/of:
    (2·count + z² ± z√(z² + 4·count·(1 - count/of))) / (2(of + z²)).
    Valid for every count; 0 of n starts at 0 exactly, n of n ends at 1 exactly, and of nothing nothing is known: 0 to
    1.

    Source:
        E. B. Wilson 1927; Newcombe, Statistics in Medicine 17 (1998) 857, method 3.

    Raises:
        ValueError: Not 0 <= count <= of, or a level outside (0, 1).
    """
    if not 0 <= count <= of:
        raise ValueError(f"{count} of {of} is no share")
    z = normal_quantile(level)
    if of == 0:
        return Share(0, 0, None, 0.0, 1.0)
    share = count / of
    reach = z * sqrt(z * z + 4 * count * (1 - share))
    middle, whole = 2 * count + z * z, 2 * (of + z * z)
    low = 0.0 if count == 0 else (middle - reach) / whole
    high = 1.0 if count == of else (middle + reach) / whole
    return Share(count, of, share, low, high)


def difference_of(first: Share, second: Share) -> Difference:
    """Return first minus second with Newcombe's hybrid score interval for two independent groups.

    With p the shares and l, u the ends of their Wilson intervals, the ends are
    p1 - p2 - √((p1 - l1)² + (u2 - p2)²) and p1 - p2 + √((u1 - p1)² + (p2 - l2)²).
    Its level is that of the two shares. Where either is of no cases the ends are those that the intervals allow.

    Source:
        Newcombe, Statistics in Medicine 17 (1998) 873, method 10.
    """
    if first.value is None or second.value is None:
        return Difference(None, first.low - second.high, first.high - second.low)
    value = first.value - second.value
    low = value - hypot(first.value - first.low, second.high - second.value)
    high = value + hypot(first.high - first.value, second.value - second.low)
    return Difference(value, low, high)
