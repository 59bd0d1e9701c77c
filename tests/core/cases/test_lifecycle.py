"""How what is added joins a case, for every report there can be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.cases.lifecycle import join, sets_of
from core.report import POSITIONS, Machine, Raft, Readings, Report, Resin, Seen, Settings

NAMES = tuple(position.value for position in POSITIONS)
FINDINGS = ("glossy_raft", "missing_parts", "curled_edges", "stuck_fast")
PLACES = ("unknown", "left", "right", "centre", "everywhere")


def given_or_not(**fields):
    """Any subset of the fields, since what was not given is part of a report."""
    return st.fixed_dictionaries({}, optional=fields)


thickness = st.floats(0.5, 1.5, allow_nan=False)
coupon = st.none() | st.lists(thickness, min_size=1, max_size=3).map(tuple)
readings = given_or_not(nominal_mm=st.floats(0.5, 2.0), **dict.fromkeys(NAMES, coupon)).map(lambda v: Readings(**v))
full_sets = st.fixed_dictionaries(dict.fromkeys(NAMES, coupon)).map(lambda values: Readings(**values))
settings = given_or_not(
    burn_in_layers=st.integers(0, 20), burn_in_s=st.floats(1, 90), raised_exposure=st.booleans()
).map(lambda values: Settings(**values))
seen = st.builds(Seen, id=st.sampled_from(FINDINGS), where=st.sampled_from(PLACES))


@st.composite
def reports(draw):
    """Any report whose findings are not both seen and absent: intake refuses those."""
    parts = draw(
        given_or_not(
            readings=readings,
            settings=settings,
            raft=given_or_not(sliced_mm=st.floats(0.1, 2)).map(lambda values: Raft(**values)),
            machine=given_or_not(plate_width_mm=st.floats(60, 300)).map(lambda values: Machine(**values)),
            resin=given_or_not(temperature_c=st.floats(5, 40)).map(lambda values: Resin(**values)),
            findings=st.lists(seen, unique=True, max_size=4).map(tuple),
            absent=st.lists(st.sampled_from(FINDINGS), unique=True, max_size=3).map(tuple),
        )
    )
    if "absent" in parts:
        present = {one.id for one in parts.get("findings", ())}
        parts["absent"] = tuple(name for name in parts["absent"] if name not in present)
    return Report(**parts)


@given(reports())
def test_joining_nothing_changes_nothing(report):
    joined = join(report, Report())
    assert joined == report
    assert joined.model_dump_json() == report.model_dump_json()


@given(reports())
def test_a_first_report_is_the_case(added):
    joined = join(Report(), added)
    for name in Report.model_fields.keys() - {"findings"}:
        assert getattr(joined, name) == getattr(added, name)
    assert {one.id for one in joined.findings} == {one.id for one in added.findings}


@given(reports(), reports())
def test_joining_twice_equals_joining_once(report, added):
    once = join(report, added)
    assert join(once, added) == once


@given(reports(), reports())
def test_a_case_never_holds_a_finding_as_seen_and_as_absent(report, added):
    joined = join(report, added)
    assert not {one.id for one in joined.findings} & set(joined.absent)


@given(reports(), reports())
def test_a_joined_report_is_a_report(report, added):
    """The case goes through JSON between two messages; nothing may be lost or refused there."""
    joined = join(report, added)
    assert Report.model_validate_json(joined.model_dump_json()) == joined


@given(reports(), full_sets)
def test_a_full_set_takes_the_place_of_the_earlier_one(report, new):
    assert join(report, Report(readings=new)).readings == new


@given(full_sets, st.sampled_from(NAMES), coupon)
def test_a_part_of_a_set_replaces_only_those_coupons(earlier, name, value):
    joined = join(Report(readings=earlier), Report(readings=Readings(**{name: value}))).readings
    assert {other: getattr(joined, other) for other in NAMES} == {
        other: value if other == name else getattr(earlier, other) for other in NAMES
    }


@given(reports(), settings)
def test_settings_are_overlaid_value_by_value(report, new):
    joined = join(report, Report(settings=new)).settings
    for name in Settings.model_fields:
        source = new if name in new.model_fields_set else report.settings
        assert getattr(joined, name) == getattr(source, name)


GLOSSY_LEFT, GLOSSY_RIGHT = Seen(id="glossy_raft", where="left"), Seen(id="glossy_raft", where="right")
GLOSSY = Seen(id="glossy_raft")


@pytest.mark.parametrize(
    ("case", "added", "findings", "absent"),
    [
        pytest.param([GLOSSY_LEFT], {"findings": [GLOSSY_RIGHT]}, [GLOSSY_LEFT, GLOSSY_RIGHT], [], id="another place"),
        pytest.param([GLOSSY], {"findings": [GLOSSY_LEFT]}, [GLOSSY_LEFT], [], id="a place that was unknown"),
        pytest.param([GLOSSY_LEFT], {"findings": [GLOSSY]}, [GLOSSY_LEFT], [], id="the same without its place"),
        pytest.param([GLOSSY_LEFT], {"findings": [GLOSSY_LEFT]}, [GLOSSY_LEFT], [], id="the same once more"),
        pytest.param([GLOSSY_LEFT, GLOSSY_RIGHT], {"absent": ["glossy_raft"]}, [], ["glossy_raft"], id="taken back"),
    ],
)
def test_findings_join_by_place(case, added, findings, absent):
    joined = join(Report(findings=case), Report(**added))
    assert (list(joined.findings), list(joined.absent)) == (findings, absent)


def test_a_finding_that_turns_up_is_no_longer_absent():
    joined = join(Report(absent=["glossy_raft", "stuck_fast"]), Report(findings=[GLOSSY_LEFT]))
    assert (joined.findings, joined.absent) == ((GLOSSY_LEFT,), ("stuck_fast",))


def test_a_set_put_right_takes_the_place_of_the_one_before():
    first = Readings(**{position.value: (1.0,) for position in POSITIONS})
    right = first.model_copy(update={"back_right": (1.2,)})
    level = Readings(**{position.value: (1.1,) for position in POSITIONS})
    assert sets_of([None, first, first, right, level]) == (right, level)
