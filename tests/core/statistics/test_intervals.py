"""Shares and their differences where counts are at their ends or small."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from core.statistics.intervals import Difference, Share, difference_of, normal_quantile, share_of


@given(st.integers(0, 500), st.integers(0, 500))
def test_an_interval_holds_its_share_and_stays_between_nothing_and_all(having, lacking):
    share = share_of(having, having + lacking)
    assert 0 <= share.low < share.high <= 1
    if having + lacking:
        assert share.low <= having / (having + lacking) <= share.high


@given(st.integers(0, 300), st.integers(0, 300))
def test_counting_those_without_mirrors_the_interval(having, lacking):
    one, other = share_of(having, having + lacking), share_of(lacking, having + lacking)
    assert (one.low, one.high) == pytest.approx((1 - other.high, 1 - other.low))


def test_no_cases_tell_nothing():
    assert share_of(0, 0) == Share(0, 0, None, 0.0, 1.0)


def test_the_ends_are_exact_where_none_or_all_have_it():
    assert share_of(0, 7).low == 0.0
    assert share_of(7, 7).high == 1.0


@pytest.mark.parametrize(("count", "of"), [(-1, 4), (5, 4), (1, 0), (0, -1)])
def test_a_count_beyond_its_cases_is_refused(count, of):
    with pytest.raises(ValueError, match="share"):
        share_of(count, of)


@pytest.mark.parametrize("level", [0.0, 1.0, -0.5, 2.0])
def test_a_level_is_a_chance_short_of_certainty(level):
    with pytest.raises(ValueError, match="level"):
        normal_quantile(level)


@pytest.mark.parametrize("p", [0.02, 0.1, 0.5])
@pytest.mark.parametrize("n", [15, 60])
def test_the_interval_covers_about_as_often_as_it_says(p, n):
    """Exact coverage, by summing over all outcomes: Wilson's stays near 95 %, where the textbook interval does not."""
    k = np.arange(n + 1)
    covers = [(share := share_of(int(one), n)).low <= p <= share.high for one in k]
    assert 0.92 < float(binom.pmf(k, n, p) @ covers) < 0.995


def test_a_difference_turned_round_changes_its_sign():
    one, other = share_of(12, 40), share_of(30, 50)
    there, back = difference_of(one, other), difference_of(other, one)
    assert (there.value, there.low, there.high) == pytest.approx((-back.value, -back.high, -back.low))


def test_a_difference_from_no_cases_is_as_wide_as_the_shares_allow():
    known = share_of(5, 10)
    assert difference_of(known, share_of(0, 0)) == Difference(None, known.low - 1.0, known.high)


@given(st.integers(0, 40), st.integers(1, 40), st.integers(0, 40), st.integers(1, 40))
def test_a_difference_stays_between_minus_one_and_one(a, b, c, d):
    difference = difference_of(share_of(a, a + b), share_of(c, c + d))
    assert -1 <= difference.low <= difference.value <= difference.high <= 1
