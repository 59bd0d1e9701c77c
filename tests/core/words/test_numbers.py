"""Numbers look alike in every language; only the few words around them are the language's own."""

import pytest

from core.words import load_words
from core.words.numbers import between, mm, mm_range, percent, roughly, seconds, times

ENGLISH, GERMAN = load_words("en"), load_words("de")


@pytest.mark.parametrize(
    ("probability", "english", "german"),
    [
        (0.0, "under 1 %", "unter 1 %"),
        (0.0099, "under 1 %", "unter 1 %"),
        (0.01, "1 %", "1 %"),
        (0.853, "85 %", "85 %"),
        (0.99, "99 %", "99 %"),
        (0.9901, "over 99 %", "über 99 %"),
        (1.0, "over 99 %", "über 99 %"),
    ],
)
def test_a_probability_is_never_said_closer_to_certain_than_a_hundredth(probability, english, german):
    assert (percent(probability, ENGLISH), percent(probability, GERMAN)) == (english, german)


@pytest.mark.parametrize(
    ("probability", "english", "german"),
    [
        (0.004, "under 1 %", "unter 1 %"),
        (0.01, "about 1 %", "etwa 1 %"),
        (0.5, "about 50 %", "etwa 50 %"),
        (0.996, "over 99 %", "über 99 %"),
    ],
)
def test_about_is_said_only_where_it_says_something(probability, english, german):
    assert (roughly(probability, ENGLISH), roughly(probability, GERMAN)) == (english, german)


def test_a_range_has_its_unit_once_and_its_word_from_the_language():
    assert mm_range(-0.001, 0.464, ENGLISH) == "0.00 to 0.46 mm"
    assert mm_range(-0.021, 0.464, GERMAN) == "-0.02 bis 0.46 mm"
    assert between("2", "30 s", GERMAN) == "2 bis 30 s"


def test_a_length_has_a_decimal_point_whatever_the_language():
    """A caliper shows a point, and what is shown can be typed back; so these take no words at all."""
    assert [mm(value) for value in (0.456, -0.001, 1)] == ["0.46 mm", "0.00 mm", "1.00 mm"]
    assert [seconds(value) for value in (2.6, 3, 35.2)] == ["2.6 s", "3 s", "35 s"]


def test_a_factor_is_told_from_its_log_odds_without_a_direction():
    assert [times(value) for value in (0.0, 1.163, -1.163, 3.7, 20)] == ["1.0", "3.2", "3.2", "40", "100"]
