"""Typical times with open cases among them."""

import numpy as np
import pytest

from core.statistics.durations import survive, typical_time


def test_without_open_cases_what_is_left_is_the_share_not_done():
    assert [row.left for row in survive((2, 3, 5), (0, 0, 0), 1.0)] == pytest.approx([0.8, 0.5, 0.0])


def test_open_cases_make_the_typical_time_longer():
    """Dropping them would call a community fast whose slow cases are still open."""
    honest = typical_time((10, 5, 5, 5, 5, 5), (0, 0, 0, 0, 0, 40), 1.0)
    dropped = typical_time((10, 5, 5, 5, 5, 5), (0,) * 6, 1.0)
    assert dropped.value == 3.0
    assert honest.value is None
    assert (honest.done, honest.open) == (35, 40)


def test_the_median_of_a_known_distribution_is_found_in_spite_of_censoring():
    """Exponential times with mean 5, watched for a random time: ln 2 · 5 = 3.47 lies in the interval, within a bin."""
    rng = np.random.default_rng(11)
    times, watched = rng.exponential(5.0, 4000), rng.uniform(0, 12, 4000)
    done = np.histogram(times[times <= watched], bins=48, range=(0, 12))[0].tolist()
    still_open = np.histogram(watched[times > watched], bins=48, range=(0, 12))[0].tolist()
    found = typical_time(done, still_open, 0.25)
    assert found.low <= 3.4657 + 0.25
    assert found.high >= 3.4657
    assert found.value == pytest.approx(3.4657, abs=0.3)
    assert found.resolution == 0.25


def test_the_interval_stays_between_all_and_none():
    for row in survive((1, 0, 2, 0, 1, 1), (0, 1, 0, 2, 0, 0), 1.0):
        assert 0 <= row.low <= row.left <= row.high <= 1


def test_the_last_case_done_does_not_make_the_upper_end_certain():
    """With two cases done the share left is 0, but the time by which half are done is hardly known."""
    assert typical_time((0, 1, 0, 0, 1), (0,) * 5, 1.0).high is None


def test_no_cases_tell_no_time():
    assert survive((0, 0), (0, 0), 1.0) == ()
    assert typical_time((0, 0), (0, 0), 1.0).value is None


@pytest.mark.parametrize(("done", "still_open"), [((1,), ()), ((-1,), (2,)), ((1,), (-2,))])
def test_counts_that_do_not_fit_are_refused(done, still_open):
    with pytest.raises(ValueError, match="bin"):
        survive(done, still_open, 1.0)
