"""Units are worth what their definitions say, and single options are read in them."""

import pytest

from core.errors import UnusableInput
from core.intake import (
    limits_of,
    load_lexicon,
    read_choice,
    read_nominal,
    read_plate,
    read_quantity,
    read_settings,
    read_thread,
    read_yes_no,
)
from core.intake.units import UNITS
from core.report import Resin, Settings

LEXICON = load_lexicon()


def codes_of(read) -> list[str]:
    with pytest.raises(UnusableInput) as refused:
        read()
    return [fault.code for fault in refused.value.faults]


@pytest.mark.parametrize(
    ("unit", "number", "canonical"),
    [
        ("inch", 1, 25.4),  # exactly; international yard and pound agreement, 1959
        ("thou", 1000, 25.4),
        ("um", 1020, 1.02),
        ("cm", 1.5, 15),
        ("minute", 0.5, 30),
        ("ms", 2600, 2.6),
        ("mm_per_s", 1, 60),
        ("fahrenheit", 212, 100),  # boiling and freezing water, by definition of the scale
        ("fahrenheit", 32, 0),
        ("mpa_s", 300, 0.3),
        ("cm2", 90, 9000),
    ],
)
def test_a_unit_is_worth_its_definition(unit, number, canonical):
    assert UNITS[unit].convert(number) == pytest.approx(canonical, abs=1e-6)


def test_every_unit_has_a_word_and_every_word_a_unit():
    assert set(LEXICON.units.values()) == set(UNITS)


def test_settings_are_read_in_their_units():
    heard = read_settings(
        {
            "layer_height": "0,05", "burn_in_layers": "5 layers", "burn_in": "30 s", "transition_layers": "0",
            "exposure": "2600ms", "rest": "", "lift": "1 mm/s", "raised_exposure": "Yes",
        },
        lexicon=LEXICON,
    )  # fmt: skip
    assert heard.settings.model_dump() == {
        "layer_height_mm": 0.05, "burn_in_layers": 5, "burn_in_s": 30, "transition_layers": 0, "exposure_s": 2.6,
        "lift_mm_per_min": 60, "raised_exposure": True,
    }  # fmt: skip
    assert heard.notes == ()


def test_a_bare_layer_height_of_fifty_is_micrometres_and_said():
    heard = read_settings({"layer_height": "50"}, lexicon=LEXICON)
    assert heard.settings.layer_height_mm == 0.05
    assert [note.code for note in heard.notes] == ["bare_quantity"]


def test_every_setting_that_cannot_be_is_named_at_once():
    fields = {
        "layer_height": "5 s", "burn_in_layers": "5.5", "burn_in": "0", "exposure": "soon", "lift": "-3",
        "raised_exposure": "perhaps", "lifft": "3", "rest": "900",
    }  # fmt: skip
    assert codes_of(lambda: read_settings(fields, lexicon=LEXICON)) == [
        "unknown_unit", "not_whole", "out_of_range_above", "not_a_number", "out_of_range_above",
        "not_yes_or_no", "unknown_setting_meant", "out_of_range",
    ]  # fmt: skip


def test_limits_are_those_of_the_report():
    limits = limits_of(Settings, "burn_in_s")
    assert (limits.low, limits.high, limits.open_low) == (0, 600, True)
    assert not limits.hold(float("nan"))


def test_a_temperature_may_be_below_zero():
    limits = limits_of(Resin, "temperature_c")
    assert read_quantity("-5 °C", "temperature", "temperature", limits, lexicon=LEXICON)[0] == -5
    assert read_quantity("68 F", "temperature", "temperature", limits, lexicon=LEXICON)[0] == 20


@pytest.mark.parametrize("typed", ["150x85", "150 × 85 mm", "150 X 85", "150mm x 85mm", "15 by 8,5 cm", "150*85"])
def test_a_plate_is_width_and_depth(typed):
    assert read_plate(typed, lexicon=LEXICON) == (150, 85)


@pytest.mark.parametrize("typed", ["", "150", "150x85x180", "150 & 85", "x", "1500000x85", "5x5", "150 s x 85 s"])
def test_what_is_no_plate_is_refused(typed):
    assert codes_of(lambda: read_plate(typed, lexicon=LEXICON))


@pytest.mark.parametrize(
    ("typed", "thread"), [("M4", "M4"), ("m4", "M4"), ("M4x0.7", "M4x0.7"), ("m4 × 0,7 mm", "M4x0.7"), ("M 3", "M3")]
)
def test_a_thread_is_read_into_its_designation(typed, thread):
    assert read_thread(typed) == thread


@pytest.mark.parametrize(
    ("typed", "code"),
    [("4", "not_a_thread_meant"), ("M99", "not_a_thread"), ("M4x9", "not_a_thread"), ("quarter inch", "not_a_thread")],
)
def test_what_is_no_thread_is_refused(typed, code):
    assert codes_of(lambda: read_thread(typed)) == [code]


def test_a_near_miss_is_proposed_and_not_taken():
    accepted = {"four_screws": ("4 screws", "four"), "ball_joint": ("ball",)}
    assert read_choice("Four-Screws", accepted, "adjusters") == "four_screws"
    assert read_choice("4 SCREWS", accepted, "adjusters") == "four_screws"
    assert codes_of(lambda: read_choice("four screw", accepted, "adjusters")) == ["not_a_choice_meant"]
    assert codes_of(lambda: read_choice("zzz", accepted, "adjusters")) == ["not_a_choice"]


def test_yes_and_no_are_read_in_both_languages():
    assert [read_yes_no(text, "raised_exposure", lexicon=LEXICON) for text in ("Y", "ja", "No", "nein")] == [
        True, True, False, False,
    ]  # fmt: skip


def test_a_nominal_thickness_takes_a_unit():
    assert read_nominal("1,5 mm", lexicon=LEXICON)[0] == 1.5
    assert codes_of(lambda: read_nominal("9", lexicon=LEXICON)) == ["out_of_range"]
