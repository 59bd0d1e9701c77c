"""A chance believed beforehand, with counts added."""

import pytest

from core.statistics.posterior import learn_chance


def test_without_cases_the_belief_stays():
    assert learn_chance(0.16, 40, 0, 0).mean == pytest.approx(0.16)


def test_as_many_cases_as_the_belief_is_worth_meet_it_half_way():
    assert learn_chance(0.1, 50, 25, 50).mean == pytest.approx(0.3)


def test_more_cases_narrow_the_interval():
    few, many = learn_chance(0.2, 10, 2, 10), learn_chance(0.2, 10, 200, 1000)
    assert many.high - many.low < (few.high - few.low) / 4


@pytest.mark.parametrize(
    ("before", "weight", "count", "of", "level"),
    [(0.0, 1, 0, 1, 0.95), (0.5, 0, 0, 1, 0.95), (0.5, 1, 2, 1, 0.95), (0.5, 1, 0, 1, 1.0)],
)
def test_what_is_no_chance_is_refused(before, weight, count, of, level):
    with pytest.raises(ValueError, match="no chance"):
        learn_chance(before, weight, count, of, level)
