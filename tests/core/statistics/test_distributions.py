"""Quantiles from counts in bins, against the values themselves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.statistics.distributions import Histogram, count_values, join_histograms, quantile_of

values = st.lists(st.integers(-30, 130).map(lambda hundredth: hundredth / 100), min_size=1, max_size=80)


@given(values, st.floats(0, 1))
def test_a_quantile_differs_from_that_of_the_values_by_less_than_a_bin(drawn, share):
    """Values in hundredths, bins of five; the quantile is the inverse of the empirical distribution."""
    histogram = count_values(drawn, 0.0, 0.05, 20)
    true = float(np.quantile(drawn, share, method="inverted_cdf"))
    found = quantile_of(histogram, share)
    assert (found.low is None) or found.low - 1e-9 <= true
    assert (found.high is None) or true <= found.high + 1e-9
    if found.low is not None and found.high is not None:
        assert found.high - found.low == pytest.approx(0.05)
        assert found.low <= found.value <= found.high
        assert abs(found.value - true) <= 0.05 + 1e-9


@given(values, values)
def test_summaries_add_up(first, second):
    parts = [count_values(drawn, 0.0, 0.05, 20) for drawn in (first, second)]
    assert join_histograms(*parts) == count_values([*first, *second], 0.0, 0.05, 20)


@given(values)
def test_nothing_is_lost_outside_the_bins(drawn):
    histogram = count_values(drawn, 0.0, 0.05, 20)
    assert histogram.total == len(drawn)
    assert histogram.below == sum(value < 0 for value in drawn)
    assert histogram.above == sum(value >= 1.0 for value in drawn)


def test_an_end_in_decimal_fractions_belongs_to_the_bin_above_it():
    """0.30/0.01 is a hair below 30 in binary."""
    assert count_values([0.30], 0.0, 0.01, 40).counts.index(1) == 30


def test_a_quantile_beyond_the_bins_says_only_that():
    histogram = Histogram(0.0, 0.1, (1, 0), below=5, above=4)
    assert (quantile_of(histogram, 0.2).low, quantile_of(histogram, 0.2).high) == (None, 0.0)
    assert (quantile_of(histogram, 0.9).low, quantile_of(histogram, 0.9).high) == (0.2, None)


def test_no_values_have_no_quantile():
    assert quantile_of(Histogram(0.0, 0.1, (0, 0)), 0.5) is None


def test_other_bins_are_not_joined():
    with pytest.raises(ValueError, match="bins"):
        join_histograms(Histogram(0.0, 0.1, (1,)), Histogram(0.0, 0.2, (1,)))


def test_a_share_above_all_is_refused():
    with pytest.raises(ValueError, match="share"):
        quantile_of(Histogram(0.0, 0.1, (1,)), 1.5)
