"""How two raters named the same cases in, how far they agree beyond chance out. Must never know what they named."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

import numpy as np

from core.statistics.intervals import Share, normal_quantile, share_of


@dataclass(frozen=True, slots=True)
class Agreement:
    """Agreement of two raters.

    Attributes:
        percent: Share of the cases that both named alike.
        kappa: Cohen's kappa: 1 full agreement, 0 as by chance; ``None`` where chance alone would agree always (both
            used one name only) or there are no cases.
        low, high: Ends of its interval, within -1 and 1; ``None`` with it.
    """

    percent: Share
    kappa: float | None
    low: float | None
    high: float | None


def agree(pairs: Mapping[tuple[str, str], int], level: float = 0.95) -> Agreement:
    """Return percent agreement and unweighted kappa of two raters.

    kappa = (po - pe)/(1 - pe), po the share on the diagonal, pe the sum of products of the margins. The interval is
    kappa ± z·s with the large-sample standard error
    s² = [Σ pii((1-pe) - (pi.+p.i)(1-po))² + (1-po)² Σ_{i≠j} pij(p.i+pj.)² - (po·pe - 2pe + po)²] / (n(1-pe)⁴),
    good from some tens of cases. With full agreement s is 0: look at the number of cases then.

    Args:
        pairs: (what the first said, what the second said) to number of cases.
        level: Coverage of the intervals.

    Source:
        Cohen, Educational and Psychological Measurement 20 (1960) 37; standard error: Fleiss, Cohen & Everitt,
        Psychological Bulletin 72 (1969) 323.
    """
    names = sorted({name for pair in pairs for name in pair})
    at = {name: row for row, name in enumerate(names)}
    counted = np.zeros((len(names), len(names)))
    for (first, second), count in pairs.items():
        counted[at[first], at[second]] += count
    n = counted.sum()
    percent = share_of(int(np.trace(counted)), int(n), level)
    if n == 0:
        return Agreement(percent, None, None, None)
    p = counted / n
    rows, columns = p.sum(axis=1), p.sum(axis=0)
    observed, by_chance = float(np.trace(p)), float(rows @ columns)
    if np.count_nonzero(rows + columns) < 2:  # noqa: PLR2004 - with one name chance agrees always
        return Agreement(percent, None, None, None)
    kappa = (observed - by_chance) / (1 - by_chance)
    both = rows + columns
    alike = float(np.diag(p) @ ((1 - by_chance) - both * (1 - observed)) ** 2)
    crossed = (columns[:, None] + rows[None, :]) ** 2 * p
    unlike = (1 - observed) ** 2 * float(crossed.sum() - np.trace(crossed))
    centred = (observed * by_chance - 2 * by_chance + observed) ** 2
    variance = max(alike + unlike - centred, 0.0) / (n * (1 - by_chance) ** 4)
    reach = normal_quantile(level) * sqrt(variance)
    return Agreement(percent, kappa, max(kappa - reach, -1.0), min(kappa + reach, 1.0))


def agree_by_chance(alike: int, of: int, by_chance: float, level: float = 0.95) -> Agreement:
    """Return agreement where only the number of pairs alike and their agreement by chance are known.

    kappa as above, with the simpler standard error s = √(po(1-po)/n)/(1-pe), which takes pe as known.

    Args:
        alike: Pairs in which both said the same.
        of: All pairs.
        by_chance: pe; where pairs of several times are put together, the mean of theirs weighted by their pairs.
        level: Coverage of the intervals.

    Source:
        Cohen, Educational and Psychological Measurement 20 (1960) 37, equation 7 (number from memory).
    """
    percent = share_of(alike, of, level)
    if percent.value is None or by_chance >= 1:
        return Agreement(percent, None, None, None)
    kappa = (percent.value - by_chance) / (1 - by_chance)
    reach = normal_quantile(level) * sqrt(percent.value * (1 - percent.value) / of) / (1 - by_chance)
    return Agreement(percent, kappa, max(kappa - reach, -1.0), min(kappa + reach, 1.0))
