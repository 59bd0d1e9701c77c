"""The printing note says what to print, in which order to measure, and never to raise the exposure."""

import re

import pytest

from core.coupons import design_coupons, printing_note, prints_mirrored, reading_order
from core.knowledge import load_knowledge
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
LINES = printing_note(design_coupons(150, 85), WORDS, KNOWLEDGE)


def test_the_note_names_the_numbers_of_this_set():
    assert re.search(r"150 × 85 mm.*16 × 15 mm.*3\.5 mm.*1\.00 mm.*1\.4 ml", LINES[0])


def test_the_note_forbids_a_longer_exposure():
    assert "Do not raise the exposure" in LINES[1]


def test_the_steps_are_numbered_short_and_in_order():
    steps = [line for line in LINES if re.match(r"\d+\. ", line)]
    assert [int(step.partition(".")[0]) for step in steps] == list(range(1, len(steps) + 1))
    assert len(steps) <= 9
    order = [next(i for i, step in enumerate(steps) if word in step) for word in ("tape", "Scrape", "cure", "caliper")]
    assert order == sorted(order)


@pytest.mark.parametrize("dots", [1, 2, 3, 4])
def test_the_order_of_measuring_is_the_worked_out_one(dots):
    """The guide's text is written by hand; ``reading_order`` is tested with matrices."""
    order = " ".join(map(str, reading_order(dots)))
    wanted = f"1 dot there: {order}" if dots == 1 else f"{dots} dots: {order}"
    assert any(wanted in line for line in LINES)


def test_the_guide_says_which_dots_mean_a_mirrored_print():
    assert [dots for dots in (1, 2, 3, 4) if prints_mirrored(dots)] == [1, 4]
    assert any("With 1 or 4, your printer makes mirror images" in line for line in LINES)


def test_the_cautions_of_measuring_close_the_note_in_their_order():
    wanted = sorted(KNOWLEDGE.remedies["measure_coupons"].cautions, key=lambda name: KNOWLEDGE.cautions[name].order)
    assert len(wanted) >= 5
    assert list(LINES[-len(wanted) :]) == [WORDS.say(f"cautions.{name}") for name in wanted]
