"""Squares of a working curve are read as people type them; what cannot be is refused, every fault at once."""

import time
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UnusableInput
from core.exposure import fit_working_curve
from core.exposure.working_curve_fit import FEWEST_TIMES as FIT_NEEDS
from core.intake import load_lexicon
from core.intake.squares import FEWEST, FEWEST_TIMES, MOST, THICKNESSES, read_squares
from core.words import load_words

LEXICON, WORDS = load_lexicon(), load_words("en")
TIMES, THICK = (2.0, 4.0, 8.0), (0.21, 0.32, 0.44)


def read(text):
    return read_squares(text, lexicon=LEXICON)


def faults(text):
    with pytest.raises(UnusableInput) as refused:
        read(text)
    assert all(fault.field == "squares" for fault in refused.value.faults)
    assert all(WORDS.fault(fault).startswith("Your squares") for fault in refused.value.faults)
    return [fault.code for fault in refused.value.faults]


@pytest.mark.parametrize(
    "text",
    [
        "2 0.21, 4 0.32, 8 0.44",
        "2 0.21,4 0.32,8 0.44",
        "2,0.21 4,0.32 8,0.44",
        "2,0.21,4,0.32,8,0.44",
        "2s=0.21mm; 4s=0.32mm; 8s=0.44mm",
        "2:0.21 4:0.32 8:0.44",
        "2s 210um 4s 320um 8s 440µm",
        "2s,0.21mm,4s,0.32mm,8s,0.44mm",
        "2 s, 0.21 mm\n4 s, 0.32 mm\n8 s, 0.44 mm",
        "2\t0.21\n4\t0.32\n8\t0.44\n",
        "1) 2 0.21\n2) 4 0.32\n3) 8 0.44",
        "- 2 0.21\n- 4 0.32\n- 8 0.44",
        "| 2 | 0.21 |\n| 4 | 0.32 |\n| 8 | 0.44 |",
        "s mm\n2 0.21\n4 0.32\n8 0.44",
        "2 0,21 4 0,32 8 0,44",
        "2 0,21, 4 0,32, 8 0,44",
        "2;0,21;4;0,32;8;0,44",
        "2s:0,21mm,4s:0,32mm,8s:0,44mm",
        "2s -> 0.21mm, 4s → 0.32mm, 8s => 0.44 mm.",
        "2-0.21, 4 - 0.32, 8 – 0.44",
        "2/0.21 4/0.32 8/0.44",
        "0.21mm 2s, 0.32mm 4s, 0.44mm 8s",
        "2 4 8\n0.21 0.32 0.44",
        "s: 2 4 8\nmm: 0.21 0.32 0.44",
        "2\n0.21\n4\n0.32\n8\n0.44",
        "2 sec is 0.21, 4 sec is 0.32 and 8 sec is 0.44",
        "2000 ms 0.021 cm, 4 seconds 320 microns, 8 0.44 in mm",
        "٢ ٠.٢١, ٤ ٠.٣٢, ٨ ٠.٤٤",
    ],
)
def test_squares_are_read_as_people_type_them(text):
    heard = read(text)
    assert (heard.times_s, heard.thickness_mm, heard.notes) == (TIMES, THICK, ())


def test_a_running_number_is_not_mistaken_for_an_exposure_nor_an_exposure_for_a_running_number():
    assert read("1: 0.10\n2: 0.21\n3: 0.27").times_s == (1.0, 2.0, 3.0)


def test_repeats_of_a_square_are_joined_by_slashes():
    heard = read("2: 0.21/0.22, 4: 0.32, 8: 440/450um")
    assert heard.times_s == (2.0, 2.0, 4.0, 8.0, 8.0)
    assert heard.thickness_mm == (0.21, 0.22, 0.32, 0.44, 0.45)


@pytest.mark.parametrize("text", ["2 210, 4 320, 8 440", "2 210 4 320 8 440", "2,210 4,320 8,440"])
def test_bare_micrometres_are_read_and_said_back(text):
    heard = read(text)
    assert heard.thickness_mm == THICK
    said = [WORDS.say(f"notes.{note.code}", **note.values) for note in heard.notes]
    assert said == ["I read the thicknesses 210, 320, 440 as µm."]


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("", ["squares_nothing"]),
        ("no idea", ["squares_nothing"]),
        ("2 0.21", ["squares_too_few"]),
        ("2 0.21 4 0.32", ["squares_too_few"]),
        ("2 0.2 2 0.21 4 0.3", ["squares_few_times"]),
        (" ".join(f"{n} 0.3" for n in range(1, MOST + 2)), ["squares_too_many"]),
        ("2 0.21, 4, 8 0.44", ["square_not_a_pair"]),
        ("2 0.21\n4\n8 0.44\n16", ["square_not_a_pair", "square_not_a_pair"]),
        ("0.21 2, 0.32 4, 0.44 8", ["squares_swapped"]),
        ("2s 4s, 0.2mm 0.3mm, 8s 0.44mm", ["square_units", "square_units"]),
        ("2 -0.21, 0 0.3, 8 9", ["square_thickness", "square_time", "square_thickness"]),
        ("-2 0.21, 4 0.32, 8 0.44", ["square_time"]),
        ("2 0, 4 0.3, 8 0.4", ["square_thickness"]),
        ("900 0.2, 4 0.3, 8 0.4", ["square_time"]),
        ("1.2.3 0.2, 1e3 0.3, 4 0.4, 8 ?", ["square_unread", "square_unread", "square_unread", "square_not_a_pair"]),
        ("2 0.21 kg, 4 0.32, 8 0.44", ["square_unread"]),
        ("2 21, 4 32, 8 44", ["square_thickness"] * 3),
        ("2 0.21/0.22/, 4 0.32, 8 0.44", ["square_unread"]),
    ],
)
def test_what_cannot_be_is_refused_with_every_fault_at_once(text, codes):
    assert sorted(faults(text)) == sorted(codes)


def test_a_fault_shows_the_pair_it_is_about():
    with pytest.raises(UnusableInput) as refused:
        read("2s = 0.21mm; 4s = 32 mm; 8s = 0.44mm")
    assert "“4s = 32” a thickness of 32 mm" in WORDS.fault(refused.value.faults[0])


def test_intake_asks_for_no_less_than_the_fit_needs():
    assert FEWEST_TIMES == FIT_NEEDS
    assert FEWEST >= FEWEST_TIMES
    curve = fit_working_curve(*(read("2 0.21, 4 0.32, 8 0.44").times_s, THICK))
    assert curve.degrees_of_freedom == FEWEST - 2


SQUARES = st.lists(
    st.tuples(st.floats(0.5, 300).map(lambda x: round(x, 1)), st.floats(0.05, 2.5).map(lambda x: round(x, 2))),
    min_size=FEWEST,
    max_size=12,
    unique_by=lambda square: square[0],
)


@settings(max_examples=200, deadline=None)
@given(SQUARES, st.sampled_from(["{}s {}mm", "{} s = {} mm", "{}s:{}mm", "{}s, {}mm"]), st.sampled_from("\n;,"))
def test_whatever_is_written_with_units_comes_back(squares, form, between):
    heard = read(f"{between} ".join(form.format(f"{seconds:g}", f"{thick:g}") for seconds, thick in squares))
    assert list(zip(heard.times_s, heard.thickness_mm, strict=True)) == squares


@settings(max_examples=200, deadline=None)
@given(SQUARES, st.sampled_from([" ", ": ", "\t", "="]))
def test_decimal_commas_with_a_pair_on_each_line_come_back(squares, link):
    text = "\n".join(f"{seconds:g}{link}{thick:g}".replace(".", ",") for seconds, thick in squares)
    heard = read(text)
    assert list(zip(heard.times_s, heard.thickness_mm, strict=True)) == squares


NEARLY = st.lists(
    st.sampled_from([*"0123456789.,;:/-–+=xe \t\n\"'µ|()", "mm", "um", "in", "s", "min", "0.21", "0,32", "2s"]),
    max_size=60,
).map("".join)


@settings(max_examples=500, deadline=None)
@given(st.text() | NEARLY)
def test_any_text_is_read_or_refused(text):
    try:
        heard = read(text)
    except UnusableInput as refused:
        for fault in refused.faults:
            assert fault.field == "squares"
            assert not {unicodedata.category(sign) for sign in WORDS.fault(fault)} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
        return
    assert len(heard.times_s) == len(heard.thickness_mm) >= FEWEST
    assert all(0 < seconds <= 600 for seconds in heard.times_s)
    assert all(THICKNESSES.hold(thickness) for thickness in heard.thickness_mm)
    assert all(WORDS.say(f"notes.{note.code}", **note.values) for note in heard.notes)


@pytest.mark.parametrize("text", ["9" * 2000, "1," * 1000, "1/" * 1000, "-" * 2000, "2 0.2 " * 333, "s" * 2000])
def test_long_texts_are_refused_soon(text):
    began = time.perf_counter()
    assert faults(text)
    assert time.perf_counter() - began < 2.0
