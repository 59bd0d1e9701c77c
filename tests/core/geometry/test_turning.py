"""What is said about levelling: directions that cannot be mirrored, the person's own numbers, and reasons to wait."""

import re
from fractions import Fraction

import pytest

from core.geometry import measure
from core.geometry.screws import plan_turns
from core.geometry.turning import describe_grounds, describe_refusal, describe_turns, say_turns
from core.report import Machine, Readings
from core.words import load_words

WORDS = load_words("en")
TILTED = (0.80, 1.20, 0.84, 1.22, 1.0)
KINDS = ["four_screws", "three_screws", "two_screws", "ball_joint", "none", "unknown"]


@pytest.fixture
def plan(knowledge, coupons):
    def make(five=TILTED, **machine):
        return plan_turns(measure(coupons(*five), knowledge), Machine(**machine), knowledge)

    return make


@pytest.mark.parametrize("adjusters", KINDS)
@pytest.mark.parametrize("thread", [None, "M4", "M3x0.35"])
def test_every_screw_or_corner_is_told_which_way_the_plate_goes_there(plan, adjusters, thread):
    advised = plan(adjusters=adjusters, screw_thread=thread)
    text = "\n".join(describe_turns(advised, WORDS))
    said = re.findall(r"^(Front|Back) (left|right)\b.*goes (up, away from|down, towards) the film", text, re.MULTILINE)
    assert {(side, way.split(",")[0]) for _, side, way in said} == {("left", "up"), ("right", "down")}
    assert "as you face the printer" in text
    assert "print the five coupons again" in text


def test_no_text_about_levelling_says_clockwise():
    """Which way a screw turns depends on the machine; which way the corner goes does not."""
    texts = [text for part in ("screws", "guides", "screw_sketch") for _, text in WORDS.under(part)]
    assert len(texts) > 60
    assert [text for text in texts if re.search("clockwise", text, re.IGNORECASE)] == []


def test_one_round_says_the_hand_turn_the_exact_turn_and_the_distance(plan):
    steps = describe_turns(plan((0.8, 1.2, 0.8, 1.2, 1.0), adjusters="four_screws", screw_thread="M4"), WORDS)
    assert steps[2] == (
        "Front left screw: a third of a turn, so that the corner goes up, away from the film "
        "(0.23 mm there; exactly 0.32 turn in all)."
    )
    assert "an eighth of a turn" in steps[1]
    assert "about 0.01 mm, instead of 0.40 mm" in steps[-2]


def test_rounds_are_counted_out(plan):
    steps = describe_turns(plan((0.4, 1.6, 0.4, 1.6, 1.0), adjusters="four_screws", screw_thread="M3"), WORDS)
    rounds = [match[1] for step in steps if (match := re.search(r"round (\d) of 3", step))]
    assert rounds == ["1"] * 4 + ["2"] * 4 + ["3"] * 4


def test_a_screw_without_a_share_is_left_alone_by_name(plan):
    steps = describe_turns(plan((0.8, 1.2, 0.8, 1.2, 1.0), adjusters="three_screws", screw_thread="M4"), WORDS)
    assert "Leave the back screw as it is." in steps


@pytest.mark.parametrize(
    ("machine", "part"),
    [
        ({"adjusters": "four_screws"}, "Tell the thread"),
        ({"adjusters": "four_screws", "screw_thread": "M4"}, "usual pitch of 0.70 mm"),
        ({"adjusters": "four_screws", "screw_thread": "M4x0.5"}, "pitch of 0.50 mm"),
        ({"adjusters": "four_screws", "screw_thread": "M4x8"}, "more likely its length"),
        ({"adjusters": "four_screws", "screw_thread": "M4"}, "screws 90 % and coupons 80 %"),
        ({"adjusters": "four_screws", "plate_width_mm": 150, "plate_depth_mm": 85}, "74 % to the front and back"),
        ({"adjusters": "four_screws"}, "only 50 % of the way out, turn 56 %"),
        ({}, "Tell how your plate is adjusted"),
    ],
)
def test_the_grounds_say_what_was_taken_for_granted(plan, machine, part):
    assert part in "\n".join(describe_grounds(plan(**machine), WORDS))


def test_the_twist_that_stays_is_told(plan):
    grounds = describe_grounds(plan((0.8, 1.2, 0.88, 1.24, 1.0), adjusters="four_screws", screw_thread="M4"), WORDS)
    assert grounds[0].startswith("The readings also hold 0.01 mm of twist. No screw is asked to take it")


def test_a_hinged_plate_is_told_to_set_its_start_again(plan):
    hinged = plan((0.8, 0.8, 1.2, 1.2, 1.0), adjusters="two_screws", screw_thread="M4")
    assert "lift the middle of the plate by 0.23 mm" in "\n".join(describe_grounds(hinged, WORDS))
    hinged = plan((1.2, 1.2, 0.8, 0.8, 1.0), adjusters="two_screws", screw_thread="M4")
    assert "lower the middle of the plate by 0.23 mm" in "\n".join(describe_grounds(hinged, WORDS))


@pytest.mark.parametrize(
    ("five", "part"),
    [
        ((1.0, 1.0, 1.0, 1.1, 1.0), "Leave the screws alone: the corners differ by 0.10 mm"),
        ((0.8, 1.2, 1.2, 0.8, 1.0), "A doubtful reading first: the front right one"),
        ((0.8, 1.2, (0.8, 1.0, 0.9), 1.2, 1.0), "your repeats of the back left one disagree"),
        ((0.2, 2.0, 0.2, 2.0, 1.1), "more than screws are for"),
    ],
)
def test_a_refusal_gives_its_reason_with_the_persons_numbers(plan, five, part):
    assert part in describe_refusal(plan(five), WORDS)


def test_too_few_coupons_are_named(knowledge):
    refused = plan_turns(measure(Readings(front_left=(1.0,), centre=(1.0,)), knowledge), Machine(), knowledge)
    assert "front right, back left and back right" in describe_refusal(refused, WORDS)


@pytest.mark.parametrize(
    ("turns", "said"),
    [
        (Fraction(1, 4), "a quarter of a turn"),
        (Fraction(-5, 12), "five twelfths of a turn"),
        (Fraction(1), "one turn"),
        (Fraction(2), "2 turns"),
        (Fraction(-13, 12), "1 1/12 turns"),
        (Fraction(1, 16), "1/16 of a turn"),
    ],
)
def test_turns_are_said_as_a_hand_does_them(turns, said):
    assert say_turns(turns, WORDS) == said


def test_every_screw_in_the_data_has_a_name_and_a_part(knowledge):
    for kind in knowledge.adjusters.values():
        for name in kind.screws:
            assert WORDS.has(f"screws.names.{name}")
            assert WORDS.has(f"screws.parts.{name}")
