"""How good stated probabilities were."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.statistics.calibration import (
    bin_by_probability,
    calibration_error,
    join_bins,
    judge_ranking,
    rank_mistakes,
    score_brier,
    score_brier_of_many,
)

statements = st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60)


@given(statements)
def test_every_statement_is_in_one_bin_that_holds_it(told):
    p, y = zip(*told, strict=True)
    bins = bin_by_probability(p, y, 7)
    assert sum(one.came_true.of for one in bins) == len(p)
    assert sum(one.came_true.count for one in bins) == sum(y)
    assert sum(one.stated for one in bins) == pytest.approx(sum(p))
    for one in bins:
        if one.mean_stated is not None:
            assert one.low - 1e-12 <= one.mean_stated <= one.high + 1e-12


@given(statements, statements)
def test_bins_of_two_halves_join_to_the_bins_of_the_whole(first, second):
    parts = [bin_by_probability(*zip(*told, strict=True)) for told in (first, second)]
    whole = bin_by_probability(*zip(*first, *second, strict=True))
    joined = join_bins(*parts)
    assert [one.came_true for one in joined] == [one.came_true for one in whole]
    assert calibration_error(joined) == pytest.approx(calibration_error(whole))


def test_bins_with_other_ends_are_not_joined():
    with pytest.raises(ValueError, match="ends"):
        join_bins(bin_by_probability([0.5], [True], 4), bin_by_probability([0.5], [True], 5))


def test_a_number_on_an_end_belongs_to_the_bin_below_it():
    assert [one.came_true.of for one in bin_by_probability([0.0, 0.5, 1.0], [False, True, True], 2)] == [2, 1]


def test_who_says_what_happens_as_often_as_said_has_no_error():
    bins = bin_by_probability([0.25] * 4 + [0.75] * 4, [True, False, False, False, True, True, True, False])
    assert calibration_error(bins) == pytest.approx(0.0)


def test_no_statements_have_no_error():
    emptied = [one for one in bin_by_probability([0.5], [True]) if not one.came_true.of]
    assert calibration_error(emptied) is None


def test_a_statement_of_two_outcomes_scores_twice_the_halved_form():
    p, y = [0.2, 0.7, 0.9], [False, True, False]
    many = score_brier_of_many([{"yes": one, "no": 1 - one} for one in p], ["yes" if came else "no" for came in y])
    assert many == pytest.approx(2 * score_brier(p, y))


def test_what_was_not_named_counts_as_impossible():
    assert score_brier_of_many([{"tilt": 1.0}], ["crown"]) == pytest.approx(2.0)


def test_the_honest_statement_is_expected_to_score_best():
    """A proper score: of all statements about a 30 % chance, 30 % has the least expected score."""
    said = np.linspace(0, 1, 101)
    expected = [0.3 * score_brier([p], [True]) + 0.7 * score_brier([p], [False]) for p in said.tolist()]
    assert said[int(np.argmin(expected))] == pytest.approx(0.3)


@pytest.mark.parametrize("score", [score_brier, score_brier_of_many, bin_by_probability])
def test_statements_without_outcomes_are_refused(score):
    with pytest.raises(ValueError, match="outcome"):
        score([], [])
    with pytest.raises(ValueError, match="outcome"):
        score([0.5], [])


def test_a_number_above_one_is_no_probability():
    with pytest.raises(ValueError, match="probability"):
        bin_by_probability([1.2], [True])


def test_right_first_counts_among_the_first_three_too():
    found = judge_ranking({1: 60, 2: 20, 3: 5, 7: 15})
    assert (found.first.count, found.first_three.count, found.first.of) == (60, 85, 100)


def test_the_worst_mistake_is_one_that_was_made_often_enough_to_be_sure():
    named = {("tilt", "tilt"): 90, ("tilt", "debris"): 10, ("crown", "tilt"): 30, ("crown", "debris"): 4}
    named |= {("crown", "crown"): 6, ("debris", "tilt"): 1, ("film_worn", "film_worn"): 8}
    worst, *others = rank_mistakes(named)
    assert worst.true == "crown"
    assert worst.instead == (("tilt", 30), ("debris", 4))
    assert (worst.missed.count, worst.missed.of) == (34, 40)
    assert [one.true for one in others] == ["debris", "tilt"]
