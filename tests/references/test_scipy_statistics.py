"""scipy.stats as an independent hand: Wilson intervals, exact two-month trends, adjusted p-values, Beta intervals."""

import numpy as np
import pytest
import scipy.stats

from core.statistics.intervals import share_of
from core.statistics.posterior import learn_chance
from core.statistics.trends import adjust_for_many, find_trend


@pytest.mark.parametrize("seed", range(25))
def test_wilson_intervals_agree(seed):
    rng = np.random.default_rng(seed)
    of = int(rng.integers(1, 400))
    count = int(rng.integers(0, of + 1))
    share, expected = share_of(count, of), scipy.stats.binomtest(count, of).proportion_ci(method="wilson")
    assert (share.low, share.high) == pytest.approx((expected.low, expected.high), abs=1e-12)


@pytest.mark.parametrize("seed", range(25))
def test_a_trend_over_two_months_is_a_test_of_a_two_by_two_table(seed):
    """All tables with the same totals, as far from the mean as the one seen: hypergeometric probabilities."""
    rng = np.random.default_rng(seed)
    totals = rng.integers(2, 25, 2).tolist()
    counts = [int(rng.integers(0, n + 1)) for n in totals]
    having = sum(counts)
    if having in {0, sum(totals)} or min(having, sum(totals) - having) > 30:
        counts = [1, 0]
        having = 1
    later = np.arange(max(0, having - totals[0]), min(having, totals[1]) + 1)
    mean = having * totals[1] / sum(totals)
    far = np.abs(later - mean) >= abs(counts[1] - mean) - 1e-9
    expected = scipy.stats.hypergeom.pmf(later[far], sum(totals), totals[1], having).sum()
    assert find_trend(counts, totals).p == pytest.approx(min(expected, 1.0), abs=1e-12)


@pytest.mark.parametrize("seed", range(25))
def test_adjusted_p_values_agree(seed):
    p = np.random.default_rng(seed).uniform(size=20) ** 2
    assert adjust_for_many(p.tolist()) == pytest.approx(scipy.stats.false_discovery_control(p).tolist())


@pytest.mark.parametrize("seed", range(25))
def test_beta_intervals_agree(seed):
    rng = np.random.default_rng(seed)
    before, weight, of = float(rng.uniform(0.01, 0.9)), float(rng.uniform(1, 80)), float(rng.uniform(0, 300))
    count = float(rng.uniform(0, of))
    after = learn_chance(before, weight, count, of)
    expected = scipy.stats.beta(weight * before + count, weight * (1 - before) + of - count)
    assert after.mean == pytest.approx(expected.mean())
    assert (after.low, after.high) == pytest.approx(expected.interval(0.95))
