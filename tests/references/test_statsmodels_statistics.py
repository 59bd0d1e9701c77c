"""statsmodels as an independent hand: intervals, trends, adjusted p-values, kappa and survival on random tables."""

import numpy as np
import pytest
from statsmodels.duration.survfunc import SurvfuncRight
from statsmodels.stats.contingency_tables import Table
from statsmodels.stats.inter_rater import cohens_kappa
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from core.statistics.agreement import agree
from core.statistics.durations import survive, typical_time
from core.statistics.intervals import difference_of, share_of
from core.statistics.trends import adjust_for_many, find_trend

SEEDS = range(25)


@pytest.mark.parametrize("seed", SEEDS)
def test_wilson_intervals_agree(seed):
    rng = np.random.default_rng(seed)
    of = int(rng.integers(1, 400))
    count, level = int(rng.integers(0, of + 1)), float(rng.uniform(0.8, 0.99))
    share = share_of(count, of, level)
    low, high = proportion_confint(count, of, 1 - level, method="wilson")
    assert (share.low, share.high) == pytest.approx((max(low, 0.0), min(high, 1.0)), abs=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_differences_of_shares_agree(seed):
    rng = np.random.default_rng(seed)
    of = rng.integers(2, 200, 2).tolist()
    count = [int(rng.integers(1, n)) for n in of]
    difference = difference_of(share_of(count[0], of[0]), share_of(count[1], of[1]))
    expected = confint_proportions_2indep(count[0], of[0], count[1], of[1], method="newcomb", compare="diff")
    assert (difference.low, difference.high) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_trends_agree(seed):
    """The conditional test of linear association has the same standardised slope."""
    rng = np.random.default_rng(seed)
    totals = rng.integers(20, 200, size=int(rng.integers(2, 13)))
    counts = rng.binomial(totals, rng.uniform(0.1, 0.6, totals.size))
    expected = Table(np.array([counts, totals - counts])).test_ordinal_association(
        row_scores=np.array([1, 0]), col_scores=np.arange(totals.size)
    )
    assert find_trend(counts.tolist(), totals.tolist()).z == pytest.approx(expected.zscore, abs=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_adjusted_p_values_agree(seed):
    rng = np.random.default_rng(seed)
    p = rng.uniform(size=int(rng.integers(1, 40))) ** 3
    assert adjust_for_many(p.tolist()) == pytest.approx(multipletests(p, method="fdr_bh")[1].tolist())


@pytest.mark.parametrize("seed", SEEDS)
def test_kappa_and_its_interval_agree(seed):
    rng = np.random.default_rng(seed)
    size = int(rng.integers(2, 7))
    table = rng.integers(1, 30, (size, size)) + np.diag(rng.integers(0, 60, size))
    found = agree({(str(i), str(j)): int(count) for (i, j), count in np.ndenumerate(table)})
    expected = cohens_kappa(table)
    assert found.kappa == pytest.approx(expected.kappa)
    assert (found.low, found.high) == pytest.approx((expected.kappa_low, expected.kappa_upp))


@pytest.mark.parametrize("seed", SEEDS)
def test_survival_and_its_median_agree(seed):
    rng = np.random.default_rng(seed)
    done, still_open = rng.integers(0, 12, 30), rng.integers(0, 6, 30)
    still_open[-1] += 1  # where nothing is left at all, statsmodels takes the logarithm of nothing
    times = np.repeat(np.tile(np.arange(1, 31), 2), np.concatenate([done, still_open]))
    status = np.repeat([1, 0], [done.sum(), still_open.sum()])
    expected = SurvfuncRight(times, status)
    rows = {row.time: row for row in survive(done.tolist(), still_open.tolist(), 1.0)}
    for time, left in zip(expected.surv_times.tolist(), expected.surv_prob.tolist(), strict=True):
        assert rows[time].left == pytest.approx(left, abs=1e-12)
    found = typical_time(done.tolist(), still_open.tolist(), 1.0)
    assert found.value == expected.quantile(0.5)
    low, high = expected.quantile_ci(0.5, method="cloglog")
    assert (found.low, found.high) == (low, high)
