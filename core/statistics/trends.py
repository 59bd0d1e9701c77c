"""A share in each of several months in, whether it changes over them out; and many such answers weighed together.

Twenty causes tested at 5 % cry wolf once a month. So each trend gets a p-value, and all of a table are then adjusted
together for the share of false alarms among those reported. This file must never know what is counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, ndtr

MOST_EXACT = 30
"""Up to so many cases with the thing counted (or without it, if those are fewer) the exact distribution is used."""


@dataclass(frozen=True, slots=True)
class Trend:
    """Whether a share rises or falls over the months.

    Attributes:
        z: Standardised slope, positive where it rises; 0 where nothing can be told.
        p: Two-sided p-value of no change; 1 where nothing can be told.
        method: ``exact`` or ``normal``; ``none`` where a trend cannot show: fewer than two months with cases, or all
            cases alike.
    """

    z: float
    p: float
    method: Literal["exact", "normal", "none"]


def find_trend(counts: Sequence[int], totals: Sequence[int]) -> Trend:
    """Test a trend of a share over equally spaced months.

    The statistic is the sum of month number times count. Given all the totals it has, without a trend, the mean and
    variance of a sum drawn without replacement: with K = Σ counts of N = Σ totals and month numbers t,
    mean = K·t̄ and variance = K(N-K)/(N(N-1)) · Σ totals·(t - t̄)². Up to ``MOST_EXACT`` the whole
    conditional distribution is enumerated, and the p-value is the probability of a sum at least as far from its mean;
    above, it is the normal one with half a step taken off the distance, since the sum moves in whole steps. A month
    without cases counts as a month and says nothing.

    It looks for a steady change only: a share that rises and falls again has no trend.

    Source:
        Cochran, Biometrics 10 (1954) 417; Armitage, Biometrics 11 (1955) 375; conditional variance and exact form:
        Agresti, Categorical Data Analysis, 2nd ed., 5.3.5 and 3.5 (clauses from memory).

    Raises:
        ValueError: Lengths differ, or not 0 <= count <= total somewhere.
    """
    if len(counts) != len(totals) or any(not 0 <= count <= total for count, total in zip(counts, totals, strict=True)):
        raise ValueError("each month needs a count between 0 and its total")
    n = np.array(totals, dtype=np.float64)
    x = np.array(counts, dtype=np.float64)
    t = np.arange(len(totals), dtype=np.float64)
    everything, having = float(n.sum()), float(x.sum())
    if np.count_nonzero(n) < 2 or having in {0.0, everything}:  # noqa: PLR2004 - a trend needs two points
        return Trend(0.0, 1.0, "none")
    centre = float(t @ n) / everything
    spread = having * (everything - having) / (everything * (everything - 1)) * float(n @ (t - centre) ** 2)
    away = float(t @ x) - having * centre
    z = away / sqrt(spread)
    fewer = min(having, everything - having)
    if fewer > MOST_EXACT:
        return Trend(z, min(float(2 * ndtr((0.5 - abs(away)) / sqrt(spread))), 1.0), "normal")
    # Counting those without turns the sum around its mean, so the distance from it stays the same.
    chances = _distribution(n.astype(int).tolist(), int(fewer))
    distance = np.abs(np.arange(chances.size) - fewer * centre)
    return Trend(z, min(float(chances[distance >= abs(away) - 1e-9].sum()), 1.0), "exact")


def adjust_for_many(p_values: Sequence[float]) -> tuple[float, ...]:
    """Return Benjamini-Hochberg adjusted p-values, in the order given.

    With p(1) <= … <= p(m): adjusted p(i) = min over j >= i of min(1, m·p(j)/j), so they keep the order of the
    p-values. Reporting those at most q keeps the expected share of false alarms among the reported at most q, if the
    tests are independent or positively dependent.

    Source:
        Benjamini & Hochberg, Journal of the Royal Statistical Society B 57 (1995) 289.

    Raises:
        ValueError: A p-value outside [0, 1].
    """
    p = np.array(p_values, dtype=np.float64)
    if not ((p >= 0) & (p <= 1)).all():
        raise ValueError("a p-value must be between 0 and 1")
    order = np.argsort(p, kind="stable")
    scaled = p[order] * len(p) / np.arange(1, len(p) + 1)
    adjusted = np.empty_like(p)
    adjusted[order] = np.minimum(np.minimum.accumulate(scaled[::-1])[::-1], 1.0)
    return tuple(adjusted.tolist())


def _distribution(totals: Sequence[int], having: int) -> NDArray[np.float64]:
    """Return the chance of each sum of month numbers when ``having`` of all cases are drawn without replacement.

    Independent binomial counts of one chance, given their sum, are such draws; so months are folded together one by one
    and only the wanted sum is kept.
    """
    widest = having * (len(totals) - 1)
    chance = having / sum(totals)
    joint = np.zeros((having + 1, widest + 1))
    joint[0, 0] = 1.0
    for month, total in enumerate(totals):
        k = np.arange(min(total, having) + 1)
        log_ways = gammaln(total + 1) - gammaln(k + 1) - gammaln(total - k + 1)
        drawn = np.exp(log_ways + k * np.log(chance) + (total - k) * np.log1p(-chance))
        folded = np.zeros_like(joint)
        for count in np.flatnonzero(drawn > _NEGLIGIBLE).tolist():
            shift = count * month
            folded[count:, shift:] += drawn[count] * joint[: having + 1 - count, : widest + 1 - shift]
        joint = folded
    return np.asarray(joint[having] / joint[having].sum())


_NEGLIGIBLE = 1e-25
