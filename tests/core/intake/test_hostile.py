"""Whatever arrives, intake answers with a value or with faults that can be shown, and with nothing else."""

import json
import time
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UnusableInput
from core.intake import load_lexicon, read_fields, read_plate, read_readings, read_report, read_settings, read_thread
from core.intake.characters import LONGEST
from core.intake.json_shape import LARGEST
from core.knowledge import load_knowledge
from core.report import POSITIONS, THICKEST_MM, THINNEST_MM
from core.words import load_words

LEXICON = load_lexicon()
KNOWLEDGE = load_knowledge()
WORDS = load_words()

NEARLY = st.lists(
    st.sampled_from(
        [*"0123456789.,;/-–+=:xX \t\n\"'µ", "mm", "um", "in", "fl", "front", "left", "mitte", "lost", "0.98", "1,02"]
    ),
    max_size=40,
).map("".join)
NUMBERS = st.floats(min_value=0.5, max_value=2.9).map(lambda value: round(value, 2))


def answer(read):
    """Return what was read; faults must be one line each, with nothing hidden."""
    try:
        return read()
    except UnusableInput as refused:
        for fault in refused.faults:
            hidden = {unicodedata.category(sign) for sign in WORDS.fault(fault)} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
            assert not hidden
        return None


@settings(max_examples=300, deadline=None)
@given(st.text() | NEARLY)
def test_any_text_is_read_or_refused(text):
    heard = answer(lambda: read_readings(text, lexicon=LEXICON))
    if heard is not None:
        for _, repeats in heard.readings.measured():
            assert all(THINNEST_MM <= value <= THICKEST_MM for value in repeats)


@settings(max_examples=150, deadline=None)
@given(st.text() | NEARLY)
def test_any_text_in_any_field_is_read_or_refused(text):
    answer(lambda: read_fields({"front_left": text, "centre": text}, lexicon=LEXICON))
    answer(
        lambda: read_settings(
            {"layer_height": text, "burn_in_layers": text, "raised_exposure": text, text: "1"}, lexicon=LEXICON
        )
    )
    answer(lambda: read_plate(text, lexicon=LEXICON))
    answer(lambda: read_thread(text))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text()
            | st.sampled_from(
                [
                    "readings",
                    "findings",
                    "absent",
                    "settings",
                    "raft",
                    "machine",
                    "id",
                    "where",
                    "front_left",
                    "nominal_mm",
                    "style",
                    "burn_in_s",
                ]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@settings(max_examples=300, deadline=None)
@given(st.binary() | st.text() | JSON.map(json.dumps))
def test_any_document_is_read_or_refused(raw):
    answer(lambda: read_report(raw, KNOWLEDGE, lexicon=LEXICON))


@settings(max_examples=300, deadline=None)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            "readings": st.dictionaries(
                st.sampled_from(["nominal_mm", *POSITIONS]), JSON | NUMBERS | NEARLY, max_size=5
            ),
            "findings": st.lists(
                st.fixed_dictionaries(
                    {"id": st.sampled_from([*KNOWLEDGE.findings]) | JSON},
                    optional={"where": JSON | st.sampled_from([*KNOWLEDGE.places])},
                ),
                max_size=4,
            ),
            "absent": st.lists(st.sampled_from([*KNOWLEDGE.findings]) | JSON, max_size=3),
            "settings": st.dictionaries(
                st.sampled_from(["burn_in_s", "burn_in_layers", "raised_exposure"]), JSON, max_size=3
            ),
            "machine": st.dictionaries(
                st.sampled_from(["screw_thread", "adjusters", "plate_width_mm"]), JSON, max_size=3
            ),
        },
    )
)
def test_a_nearly_right_document_is_read_or_refused(document):
    answer(lambda: read_report(json.dumps(document), KNOWLEDGE, lexicon=LEXICON))


@given(
    st.lists(NUMBERS, min_size=5, max_size=5),
    st.sampled_from([" ", ", ", ";", "\n", " | "]),
    st.sampled_from([".", ","]),
)
@settings(deadline=None)
def test_five_numbers_survive_every_way_of_writing_them(numbers, between, point):
    """Printing and reading is the identity, whatever separates values and decimals."""
    typed = between.join(f"{number:.2f}".replace(".", point) for number in numbers)
    readings = read_readings(typed, lexicon=LEXICON).readings
    assert [readings.at(place) for place in POSITIONS] == [(number,) for number in numbers]


@given(st.lists(NUMBERS, min_size=5, max_size=5))
@settings(deadline=None)
def test_micrometres_and_millimetres_are_the_same(numbers):
    in_um = read_readings(" ".join(f"{number * 1000:.0f}" for number in numbers) + " um", lexicon=LEXICON)
    in_mm = read_readings(" ".join(f"{number}" for number in numbers), lexicon=LEXICON)
    assert in_um.readings == in_mm.readings


@pytest.mark.parametrize("sign", ["\x00", "\x1b", "\x85", "\u202e", "\u2066", "\u200f", "\xad", "\ud800", "\U000e0041"])
def test_hidden_characters_are_named(sign):
    with pytest.raises(UnusableInput) as refused:
        read_readings(f"0.98{sign} 1 1 1 1", lexicon=LEXICON)
    (fault,) = refused.value.faults
    assert fault.code == "bad_character"
    assert str(fault.values["character"]).startswith(f"U+{ord(sign):04X}")


def test_a_text_may_be_as_long_as_the_limit_and_no_longer():
    assert read_readings("0.98 1 1 1 1".ljust(LONGEST), lexicon=LEXICON).readings.front_left == (0.98,)
    with pytest.raises(UnusableInput) as refused:
        read_readings("0.98 1 1 1 1".ljust(LONGEST + 1), lexicon=LEXICON)
    assert refused.value.faults[0].values == {"count": LONGEST + 1, "most": LONGEST}


@pytest.mark.parametrize("raw", [b"[" * LARGEST, b'{"a":' * 19_000, b'{"readings": ' + b"9" * 90_000 + b"}"])
def test_a_bomb_is_a_fault(raw):
    with pytest.raises(UnusableInput):
        read_report(raw, KNOWLEDGE, lexicon=LEXICON)


@pytest.mark.parametrize("unit", ["1", "1,", ",1", "a ", "/", "1/", "-", "fl ", "front ", "1.1.", "nose 1 ", "\n- "])
def test_the_longest_text_is_no_burden(unit):
    """Reading takes time in proportion to the text; a pattern that backtracks would take seconds."""
    text = (unit * LONGEST)[:LONGEST]
    began = time.process_time()
    answer(lambda: read_readings(text, lexicon=LEXICON))
    assert time.process_time() - began < 1.0
