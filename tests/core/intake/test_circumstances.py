"""Whole commands: what their options add to a report, with one fault for each thing that cannot be."""

import pytest

from core.errors import UnusableInput
from core.intake import load_lexicon
from core.intake.circumstances import read_readings_command, read_settings_command, read_symptoms_command
from core.knowledge import load_knowledge
from core.report import Seen

KNOWLEDGE = load_knowledge()
LEXICON = load_lexicon()
NAMES = {name: (name.replace("_", " "),) for name in KNOWLEDGE.findings}
PLACES = {name: (name.replace("_", " "),) for name in (*KNOWLEDGE.places, "unknown")}


def symptoms(**options):
    return read_symptoms_command(options, KNOWLEDGE, NAMES, PLACES).report


def codes(work):
    with pytest.raises(UnusableInput) as caught:
        work()
    return {(fault.field, fault.code) for fault in caught.value.faults}


def test_several_findings_share_the_places_that_were_named():
    report = symptoms(seen="glossy_raft, thin raft", where="left; front")
    assert set(report.findings) == {
        Seen(id=name, where=place) for name in ("glossy_raft", "thin_raft") for place in ("left", "front")
    }


def test_a_finding_without_a_place_may_stand_beside_one_with_a_place():
    assert set(symptoms(seen="glossy_raft, stuck_fast", where="right").findings) == {
        Seen(id="glossy_raft", where="right"),
        Seen(id="stuck_fast"),
    }


def test_a_place_for_a_finding_that_has_none_is_refused():
    assert codes(lambda: symptoms(seen="stuck_fast", where="left")) == {("where", "place_not_wanted")}


def test_a_finding_cannot_be_seen_and_absent():
    assert codes(lambda: symptoms(seen="glossy_raft", absent="glossy raft")) == {("absent", "seen_and_absent")}


def test_every_fault_of_a_command_is_told_at_once():
    found = codes(lambda: symptoms(seen="glosy_raft", where="lft", absent="nonsense entirely"))
    assert {field for field, _ in found} == {"seen", "where", "absent"}


def test_nothing_given_is_said():
    assert codes(symptoms) == {("seen", "no_symptom")}
    assert codes(lambda: read_settings_command({}, lexicon=LEXICON)) == {("settings", "no_settings")}


def test_readings_take_plate_screws_and_nominal_with_them():
    options = {"nominal": "2", "plate": "150x85", "thread": "m4", "adjusters": "four screws"}
    report = read_readings_command(options, "2.0 2.1 2.0 2.1 2.0", None, lexicon=LEXICON).report
    assert report.readings.nominal_mm == 2.0
    assert (report.machine.plate_width_mm, report.machine.plate_depth_mm) == (150, 85)
    assert report.machine.screw_thread == "M4"
    assert report.machine.adjusters == "four_screws"


def test_the_nominal_of_the_case_is_kept_where_none_is_given():
    report = read_readings_command({}, "2.0 2.1 2.0 2.1 2.0", 2.0, lexicon=LEXICON).report
    assert report.readings.nominal_mm == 2.0


def test_the_plate_alone_may_be_added_later():
    report = read_readings_command({"plate": "150x85"}, "", None, lexicon=LEXICON).report
    assert report.readings is None
    assert report.machine.plate_width_mm == 150


def test_text_and_options_together_are_refused_so_that_nothing_is_read_twice():
    found = codes(lambda: read_readings_command({"front_left": "1.0"}, "1 1 1 1 1", None, lexicon=LEXICON))
    assert ("readings", "text_and_options") in found


def test_settings_reach_raft_resin_and_machine():
    options = {
        "burn_in": "30 s",
        "raft_style": "solid",
        "raft_area": "90 cm2",
        "temperature": "68 F",
        "penetration_depth": "150 µm",
        "critical_time": "1.2",
        "homing": "probe",
    }
    report = read_settings_command(options, lexicon=LEXICON).report
    assert report.settings.burn_in_s == 30
    assert report.raft.area_mm2 == pytest.approx(9000)
    assert report.resin.temperature_c == pytest.approx(20)
    assert report.resin.penetration_depth_mm == pytest.approx(0.15)
    assert report.machine.homing == "probe"


def test_each_setting_out_of_range_has_its_own_fault():
    options = {"burn_in": "9000", "burn_in_layers": "5.5", "temperature": "900", "raft_style": "slab"}
    assert {field for field, _ in codes(lambda: read_settings_command(options, lexicon=LEXICON))} == set(options)
