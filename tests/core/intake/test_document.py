"""A report as JSON is read as the contract says, or refused with a fault for each thing that cannot be."""

import json

import pytest

from core.errors import UnusableInput
from core.intake import load_lexicon, read_report
from core.knowledge import load_knowledge
from core.words import load_words

LEXICON = load_lexicon()
KNOWLEDGE = load_knowledge()
FULL = {
    "readings": {"nominal_mm": 1.0, "front_left": 1.02, "front_right": [0.98, 0.99], "back_left": 1.0,
                 "back_right": None, "centre": "1,01"},
    "findings": [{"id": "glossy_raft", "where": "right"}],
    "absent": ["delaminated_raft"],
    "settings": {"layer_height_mm": 0.05, "burn_in_layers": 5, "burn_in_s": 30, "transition_layers": 5,
                 "exposure_s": 2.6, "rest_s": 1, "lift_mm_per_min": 60, "raised_exposure": False},
    "raft": {"area_mm2": 9000, "style": "solid", "sliced_mm": 0.8, "measured_mm": 0.6},
    "machine": {"plate_width_mm": 150, "plate_depth_mm": 85, "adjusters": "four_screws", "screw_thread": "M4",
                "homing": "switch"},
    "resin": {"temperature_c": 22, "viscosity_pa_s": 0.3, "penetration_depth_mm": 0.15, "critical_time_s": 1.2},
}  # fmt: skip


def read(document):
    raw = document if isinstance(document, bytes | str) else json.dumps(document)
    return read_report(raw, KNOWLEDGE, lexicon=LEXICON)


def faults_of(document) -> list[str]:
    with pytest.raises(UnusableInput) as refused:
        read(document)
    words = load_words()
    assert all(words.fault(fault) for fault in refused.value.faults)
    return [f"{fault.field}:{fault.code}" for fault in refused.value.faults]


def test_a_full_report_is_read_and_written_out_as_it_came():
    written = json.loads(read(FULL).report.model_dump_json())
    want = json.loads(json.dumps(FULL))
    want["readings"] |= {"front_left": [1.02], "back_left": [1.0], "centre": [1.01]}
    assert written == want


@pytest.mark.parametrize("raw", ["{}", b"{}", b"\xef\xbb\xbf{}", ' {"readings": null} '])
def test_every_key_is_optional(raw):
    assert read(raw).report.readings is None


@pytest.mark.parametrize(
    ("value", "want"),
    [("1,01", (1.01,)), ("980 µm", (0.98,)), ("0.98/0.99", (0.98, 0.99)), ("lost", None), (None, None), (1, (1.0,)),
     ([], ()), (["0,98", "990 um"], (0.98, 0.99)), ([0.98, "990 um"], (0.98, 0.99)), ("980", (0.98,))],
)  # fmt: skip
def test_a_coupon_may_be_a_number_a_list_a_text_or_null(value, want):
    assert read({"readings": {"front_left": value}}).report.readings.front_left == want


CASES = [
    (b"\xff\xfe{}", ["report:not_utf8"]),
    (b"", ["report:json_cut_off"]),
    ('{"readings": {"front_left": 1.0', ["report:json_cut_off"]),
    ('{"readings": {"front_le', ["report:json_cut_off"]),
    ("{'readings': 1}", ["report:not_json"]),
    ("{} {}", ["report:not_json"]),
    ("[]", ["report:not_an_object"]),
    ("3", ["report:not_an_object"]),
    ("NaN", ["report:not_an_object"]),
    ('{"readings": {"front_left": NaN, "centre": -Infinity}}',
     ["readings.front_left:json_constant", "readings.centre:json_constant"]),
    ('{"absent": [], "absent": []}', ["absent:key_twice"]),
    ('{"readings": {"centre": 1, "centre": 1.1}}', ["readings.centre:key_twice"]),
    ("[" * 50_000, ["report:too_deep"]),
    (" " * 100_001, ["report:too_large"]),
    ({"reading": {}}, ["reading:unknown_key_meant"]),
    ({"zzz": {}}, ["zzz:unknown_key"]),
    ({"readings": {"front_lft": 1}}, ["readings.front_lft:unknown_key_meant"]),
    ({"readings": []}, ["readings:want_object"]),
    ({"readings": {"front_left": True}}, ["readings.front_left:want_coupon"]),
    ({"readings": {"front_left": {}}}, ["readings.front_left:want_coupon"]),
    ({"readings": {"front_left": [0.98, None]}}, ["readings.front_left[1]:want_coupon"]),
    ({"readings": {"front_left": [1.0] * 21}}, ["readings.front_left:too_many_repeats"]),
    ({"readings": {"front_left": 980, "centre": 0, "back_left": -1}},
     ["readings.front_left:too_thick_meant", "readings.back_left:signed_meant", "readings.centre:zero"]),
    ('{"readings": {"front_left": 1e999}}', ["readings.front_left:too_thick"]),
    ({"readings": {"front_left": ["0.98/0.99/0.98/0.99"] * 6}}, ["readings.front_left:too_many_repeats"]),
    ({"readings": {"front_left": [0.98, "0.98/0.99"]}}, ["readings.front_left[1]:want_coupon"]),
    ({"readings": {"front_left": ["0.98", "lost"]}}, ["readings.front_left:lost_and_value"]),
    ({"readings": {"front_left": ""}}, ["readings.front_left:not_a_number"]),
    ({"readings": {"front_left": "one"}}, ["readings.front_left:not_a_number"]),
    ({"readings": {"nominal_mm": 9}}, ["readings.nominal_mm:out_of_range"]),
    ({"readings": {"nominal_mm": None}}, ["readings.nominal_mm:want_number"]),
    ({"findings": {}}, ["findings:want_list"]),
    ({"findings": ["glossy_raft"]}, ["findings[0]:want_object"]),
    ({"findings": [{}]}, ["findings[0].id:want_text"]),
    ({"findings": [{"id": "glosy_raft"}]}, ["findings[0].id:unknown_finding_meant"]),
    ({"findings": [{"id": "glossy_raft", "where": "upstairs"}]}, ["findings[0].where:unknown_place"]),
    ({"findings": [{"id": "glossy_raft", "were": "left"}]}, ["findings[0].were:unknown_key_meant"]),
    ({"findings": [{"id": "stuck_fast", "where": "left"}]}, ["findings[0].where:finding_has_no_place"]),
    ({"findings": [{"id": "stuck_fast"}], "absent": ["stuck_fast"]}, ["absent[0]:present_and_absent"]),
    ({"absent": ["zzz", 3]}, ["absent[0]:unknown_finding", "absent[1]:want_text"]),
    ({"absent": ["stuck_fast"] * 61}, ["absent:too_many"]),
    ({"settings": None}, ["settings:want_object"]),
    ({"settings": {"burn_in_s": "30"}}, ["settings.burn_in_s:want_number"]),
    ({"settings": {"burn_in_s": 0, "burn_in_layers": 5.5, "raised_exposure": "yes", "rest_s": True}},
     ["settings.burn_in_layers:want_whole", "settings.burn_in_s:out_of_range_above", "settings.rest_s:want_number",
      "settings.raised_exposure:want_true_or_false"]),
    ('{"settings": {"burn_in_s": 1e999}}', ["settings.burn_in_s:out_of_range_above"]),
    ({"raft": {"style": "sollid"}}, ["raft.style:not_a_choice_meant"]),
    ({"machine": {"screw_thread": "UNC", "adjusters": 4}},
     ["machine.adjusters:not_a_choice", "machine.screw_thread:not_a_thread"]),
]  # fmt: skip


@pytest.mark.parametrize(("document", "faults"), CASES, ids=range(len(CASES)))
def test_what_cannot_be_is_named_by_its_path(document, faults):
    assert sorted(faults_of(document)) == sorted(faults)


def test_a_cut_off_document_says_where_it_ends():
    with pytest.raises(UnusableInput) as refused:
        read('{"readings":\n  {"front_left": 1.0,')
    assert refused.value.faults[0].values == {"line": 2, "column": 22}


def test_a_finding_without_place_may_say_unknown():
    assert read({"findings": [{"id": "stuck_fast", "where": "unknown"}]}).report.findings[0].where == "unknown"


def test_a_finding_named_twice_counts_once_and_is_said():
    heard = read({"findings": [{"id": "stuck_fast"}, {"id": "stuck_fast"}]})
    assert len(heard.report.findings) == 1
    assert [note.code for note in heard.notes] == ["finding_twice"]


def test_five_point_zero_is_a_whole_number():
    """JSON has one kind of number."""
    assert read('{"settings": {"burn_in_layers": 5.0}}').report.settings.burn_in_layers == 5
