"""Five readings are understood however a tired person types them, or refused with every fault at once."""

import tomllib
from pathlib import Path

import pytest

from core.errors import UnusableInput
from core.intake import load_lexicon, read_fields, read_one, read_readings
from core.report import POSITIONS, Position
from core.words import load_words

CASES = tomllib.loads((Path(__file__).parents[2] / "cases" / "readings_typed.toml").read_text("utf-8"))["case"]
UNDERSTOOD = [case for case in CASES if "want" in case]
REFUSED = [case for case in CASES if "faults" in case]
LEXICON = load_lexicon()


def faults_of(read) -> list[str]:
    with pytest.raises(UnusableInput) as refused:
        read()
    return [f"{fault.field}:{fault.code}" for fault in refused.value.faults]


def test_the_table_of_ways_to_type_is_long():
    assert len(CASES) >= 60


@pytest.mark.parametrize("case", UNDERSTOOD, ids=[case["typed"] for case in UNDERSTOOD])
def test_what_can_be_understood_is(case):
    readings = read_readings(case["typed"], lexicon=LEXICON).readings
    want = [None if one == "lost" else tuple(one) for one in case["want"]]
    assert [readings.at(place) for place in POSITIONS] == want


@pytest.mark.parametrize("case", REFUSED, ids=[case["typed"] or "empty" for case in REFUSED])
def test_what_cannot_be_is_refused_one_by_one(case):
    assert sorted(faults_of(lambda: read_readings(case["typed"], lexicon=LEXICON))) == sorted(case["faults"])


@pytest.mark.parametrize("case", REFUSED, ids=[case["typed"] or "empty" for case in REFUSED])
def test_every_refusal_has_a_clear_line(case):
    words = load_words()
    with pytest.raises(UnusableInput) as refused:
        read_readings(case["typed"], lexicon=LEXICON)
    for fault in refused.value.faults:
        line = words.fault(fault)
        assert "\n" not in line
        assert line.startswith(words.texts[f"fields.{fault.field}"])


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("9.8", "0.98"),
        ("98", "0.98"),
        ("10.2", "1.02"),
        ("131", "1.31"),
        ("O.98", "0.98"),
        ("-1.02", "1.02"),
        ("~1.1", "1.1"),
    ],
)
def test_a_slipped_point_is_proposed_and_not_taken(typed, meant):
    with pytest.raises(UnusableInput) as refused:
        read_readings(f"{typed} 1.02 1.31 1.28 1.10", lexicon=LEXICON)
    assert [fault.values["meant"] for fault in refused.value.faults] == [meant]


def test_what_was_assumed_is_said():
    """A converted bare number never passes silently."""
    heard = read_readings("980 1.02 1.31 1.28 1.10", lexicon=LEXICON)
    (note,) = heard.notes
    assert load_words().say(f"notes.{note.code}", **note.values) == "I read 980 as µm, that is 0.980 mm."
    assert read_readings("0.98 1.02 1.31 1.28 1.10", lexicon=LEXICON).notes == ()


def test_the_thickest_accepted_follows_nominal():
    """Two millimetres over nominal is the limit."""
    assert read_readings("fl 2.5", nominal_mm=0.5, lexicon=LEXICON).readings.front_left == (2.5,)
    assert faults_of(lambda: read_readings("fl 2.51", nominal_mm=0.5, lexicon=LEXICON)) == ["front_left:too_thick"]
    assert read_readings("fl 5", nominal_mm=3, lexicon=LEXICON).readings.front_left == (5.0,)
    assert faults_of(lambda: read_readings("fl 1", nominal_mm=float("nan"), lexicon=LEXICON)) == [
        "nominal:out_of_range"
    ]


def test_more_than_twenty_repeats_are_too_many():
    typed = "fl " + "/".join(["0.98"] * 21)
    assert faults_of(lambda: read_readings(typed, lexicon=LEXICON)) == ["front_left:too_many_repeats"]
    assert len(read_readings(typed.removesuffix("/0.98"), lexicon=LEXICON).readings.front_left or ()) == 20


@pytest.mark.parametrize(
    ("typed", "want"),
    [
        ("1,02", (1.02,)), ("0.98 0.99", (0.98, 0.99)), ("0,98/0,99", (0.98, 0.99)), ("0.98, 0.99 mm", (0.98, 0.99)),
        ("-", None), ("lost", None), ("did not stick", None), ("", ()), (" ", ()), ("980", (0.98,)),
        ("fl 0.98", (0.98,)),
    ],
)  # fmt: skip
def test_one_field_takes_one_coupon(typed, want):
    assert read_one(typed, "front_left", lexicon=LEXICON)[0] == want


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("fr 0.98", "not_a_number"),
        ("0.08", "bare_unclear"),
        ("40", "bare_thou"),
        (":", "not_a_number"),
        ("/", "dangling_slash"),
    ],
)
def test_one_field_refuses_what_is_no_coupon(typed, code):
    assert f"front_left:{code}" in faults_of(lambda: read_one(typed, "front_left", lexicon=LEXICON))


def test_blank_fields_are_not_given():
    heard = read_fields({"front_left": "0,98", "front_right": " ", "centre": "-", "plate": "150x85"}, lexicon=LEXICON)
    assert heard.readings.model_dump() == {"nominal_mm": 1.0, "front_left": (0.98,), "centre": None}
    assert faults_of(lambda: read_fields({"front_left": ""}, lexicon=LEXICON)) == ["readings:nothing_given"]


def test_fields_share_the_unit_that_fits_all():
    """0.0516 alone might be millimetres; beside 0.0385 it is inches."""
    heard = read_fields({"front_left": "0.0385", "centre": "0.0516"}, lexicon=LEXICON)
    assert heard.readings.centre == (1.31064,)


def test_all_fields_with_faults_are_named():
    faults = faults_of(lambda: read_fields({"front_left": "one", "centre": "0", "back_left": "1"}, lexicon=LEXICON))
    assert sorted(faults) == ["centre:zero", "front_left:not_a_number"]


def test_every_word_of_the_lexicon_is_a_position_that_reads():
    for phrase, place in LEXICON.positions.items():
        assert read_readings(f"{phrase} 1.02", lexicon=LEXICON).readings.at(Position(place)) == (1.02,), phrase


def test_every_mark_for_a_lost_coupon_reads():
    for mark in LEXICON.lost:
        assert read_readings(f"fl: {mark}, fr 1.02", lexicon=LEXICON).readings.front_left is None, mark
