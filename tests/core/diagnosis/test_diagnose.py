"""Properties of the whole diagnosis, and knowing when not to know."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.diagnosis import diagnose
from core.diagnosis.diagnose import OPPOSITES, geometry_known_good
from core.errors import UnusableInput
from core.geometry import measure
from core.knowledge import load_knowledge
from core.report import Report

KNOWLEDGE = load_knowledge()
PLACED = [f"{name}@{place}" for name, one in KNOWLEDGE.findings.items() if one.placed for place in KNOWLEDGE.places]
PLAIN = [name for name, one in KNOWLEDGE.findings.items() if not one.placed]
GOOD = (1.0, 1.01, 1.0, 0.99, 1.0)
TILTED = (1.22, 0.78, 1.24, 0.76, 1.0)
NAMES = ("front_left", "front_right", "back_left", "back_right", "centre")
OTHER_SIDE = {"front_left": "front_right", "front_right": "front_left", "back_left": "back_right"}
OTHER_SIDE |= {"back_right": "back_left", "left": "right", "right": "left"}

told_findings = st.lists(st.sampled_from(PLACED + PLAIN), max_size=5, unique=True)
told_readings = st.none() | st.tuples(*[st.floats(0.6, 1.4).map(lambda value: round(value, 2))] * 5)


def report_of(findings, readings=None, absent=()):
    fields = {
        "findings": [dict(zip(("id", "where"), one.split("@"), strict=False)) for one in findings],
        "absent": list(absent),
    }
    if readings is not None:
        fields["readings"] = {name: [value] for name, value in zip(NAMES, readings, strict=True)}
    return Report.model_validate(fields)


def geometry_of(report):
    return None if report.readings is None else measure(report.readings, KNOWLEDGE, draws=2_000)


def diagnosed(report):
    return diagnose(report, geometry_of(report), KNOWLEDGE)


def marginals(report):
    return {cause.id: cause.probability for cause in diagnosed(report).causes}


@pytest.fixture(scope="module")
def judge(tell, gauge, knowledge):
    def judged(*findings, **parts):
        report = tell(*findings, **parts)
        return diagnose(report, gauge(report), knowledge)

    return judged


# ---- properties -----------------------------------------------------------------------------------


@settings(deadline=None, max_examples=25)
@given(told_findings, told_readings)
def test_probabilities_are_proper_and_every_cause_is_ranked(findings, readings):
    diagnosis = diagnosed(report_of(findings, readings))
    probabilities = [cause.probability for cause in diagnosis.causes]
    assert {cause.id for cause in diagnosis.causes} == set(KNOWLEDGE.causes)
    ranked = [round(probability, 12) for probability in probabilities]
    assert ranked == sorted(ranked, reverse=True)
    assert all(0 <= probability <= 1 for probability in probabilities)
    assert sum(one.probability for one in diagnosis.sets) <= 1 + 1e-9
    assert diagnosis.log_evidence <= 1e-12


@settings(deadline=None, max_examples=25)
@given(told_findings, told_readings)
def test_left_and_right_exchanged_throughout_change_no_probability(findings, readings):
    there = report_of(findings, readings)
    names = [one.partition("@") for one in findings]
    swapped = [f"{name}@{OTHER_SIDE.get(place, place)}" if place else name for name, _, place in names]
    other = None if readings is None else (readings[1], readings[0], readings[3], readings[2], readings[4])
    here, mirrored = marginals(there), marginals(report_of(swapped, other))
    assert mirrored == pytest.approx(here, abs=1e-9)


@settings(deadline=None, max_examples=25)
@given(told_findings, st.randoms(use_true_random=False))
def test_the_order_of_evidence_changes_nothing(findings, chance):
    absent = [name for name in PLAIN if name not in findings][:6]
    shuffled, later = list(findings), list(absent)
    chance.shuffle(shuffled)
    chance.shuffle(later)
    assert diagnosed(report_of(shuffled, None, later)) == diagnosed(report_of(findings, None, absent))


@settings(deadline=None, max_examples=40)
@given(told_findings, st.sampled_from(sorted(KNOWLEDGE.findings)))
def test_not_seeing_a_finding_never_raises_a_lone_cause_that_shows_it(findings, name):
    """With the other findings' rivals it may, by leaving less room for them; with nothing else seen it never does."""
    before, after = marginals(report_of([])), marginals(report_of([], None, [name]))
    for cause in KNOWLEDGE.findings[name].links:
        assert after[cause] <= before[cause] + 1e-12
    if findings and name not in {one.partition("@")[0] for one in findings}:
        strongest = max(KNOWLEDGE.findings[name].links, key=lambda cause: KNOWLEDGE.findings[name].links[cause])
        here, there = marginals(report_of(findings)), marginals(report_of(findings, None, [name]))
        assert there[strongest] <= here[strongest] + 1e-9


def test_the_same_report_gives_the_same_diagnosis(judge):
    assert judge("glossy_raft@right", readings=TILTED) == judge("glossy_raft@right", readings=TILTED)


# ---- knowing when not to know ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("findings", "parts", "status"),
    [
        ((), {}, "insufficient"),
        ((), {"settings": {"burn_in_layers": 5, "burn_in_s": 30}}, "insufficient"),
        ((), {"readings": (1.0, (), (), 1.1, ())}, "insufficient"),
        ((), {"readings": GOOD}, "no_fault"),
        ((), {"readings": TILTED}, "diagnosed"),
        (("glossy_raft@right",), {"readings": TILTED}, "diagnosed"),
        ((), {"readings": (1.34, 1.0, 1.0, 1.0, 1.0)}, "undecided"),
        (("missing_parts",), {}, "undecided"),
        (("glossy_raft@left",), {"absent": ["glossy_raft"]}, "undecided"),
        (("thin_raft@everywhere",), {"readings": GOOD}, "undecided"),
        (("thin_raft@everywhere", "thick_raft@everywhere"), {}, "undecided"),
        (("glossy_raft@right", "thin_raft@right", "missing_parts@left"), {"readings": GOOD}, "undecided"),
    ],
)
def test_the_status_says_how_much_is_known(findings, parts, status, judge):
    assert judge(*findings, **parts).status == status


@pytest.mark.parametrize(
    ("findings", "parts", "question"),
    [
        (("glossy_raft@left",), {"readings": TILTED}, "mirror"),
        (("missing_parts@right",), {"readings": TILTED}, "mirror"),
        ((), {"readings": (1.34, 1.0, 1.0, 1.0, 1.0)}, "repeat_reading"),
        ((), {"readings": (1.0, None, 1.0, None, 1.0)}, "reprint_coupons"),
        (("glossy_raft@left",), {"absent": ["glossy_raft"]}, "seen_or_not"),
        (("glossy_raft@right", "thin_raft@right", "missing_parts@left"), {"readings": GOOD}, "readings_disagree"),
        (("thin_raft@everywhere",), {"readings": GOOD}, "human_helper"),
        (("thin_raft@everywhere", "thick_raft@everywhere"), {}, "human_helper"),
        (("floating_scraps", "missing_parts@back_left"), {}, "which_first"),
    ],
)
def test_what_only_the_person_can_settle_is_asked(findings, parts, question, judge):
    assert question in {one.code for one in judge(*findings, **parts).questions}


@pytest.mark.parametrize(
    ("findings", "readings"),
    [
        (("glossy_raft@right",), TILTED),
        (("missing_parts@left",), TILTED),
        (("glossy_raft@everywhere",), TILTED),
        (("glossy_raft@back",), (1.2, 1.2, 0.8, 0.8, 1.0)),
        (("glossy_raft@left",), GOOD),
        (("glossy_raft@left",), None),
    ],
)
def test_the_mirror_is_not_asked_about_where_nothing_is_swapped(findings, readings, judge):
    assert "mirror" not in {one.code for one in judge(*findings, readings=readings).questions}


def test_a_finding_on_the_wrong_side_speaks_against_the_tilt(judge):
    """And one on the right side for it."""

    def weight(place):
        tilt = next(one for one in judge(f"glossy_raft@{place}", readings=TILTED).causes if one.id == "tilt")
        return next(item.log_odds for item in tilt.evidence if item.about == "finding:glossy_raft")

    assert weight("left") < 0 < weight("right")


def test_opposites_exclude_each_other_in_the_data(knowledge):
    for pair in OPPOSITES:
        assert set(pair) <= set(knowledge.causes)


def test_conflict_is_negative_where_one_cause_carries_everything(judge):
    assert judge("glossy_raft@right", "thin_raft@right", readings=TILTED).surprise < -1
    assert judge("thin_raft@everywhere", readings=GOOD).surprise > 1


def test_geometry_is_reported_as_known_only_when_measured(judge):
    assert (judge().geometry_known, judge().geometry_good) == (False, None)
    assert (judge(readings=GOOD).geometry_known, judge(readings=GOOD).geometry_good) == (True, True)
    assert judge(readings=TILTED).geometry_good is False
    assert judge(readings=(1.0, None, 1.0, None, 1.0)).geometry_good is None


def test_geometry_is_known_good_only_when_everything_about_it_is(tell, gauge, knowledge):
    cases = {
        (1.0, 1.01, 1.0, 0.99, 1.0): True,
        (1.0, 1.24, 1.0, 1.24, 1.1): False,
        (1.3, 1.3, 1.3, 1.3, 1.3): False,
        (1.0, 1.0, 1.0, None, 1.0): False,
        (1.2, 1.0, 1.0, 1.0, 1.0): False,
        (1.0, 1.0, 1.0, 1.0, 1.3): False,
    }
    for readings, good in cases.items():
        assert geometry_known_good(gauge(tell(readings=readings)), knowledge) is good, readings


def test_more_findings_than_can_be_weighed_are_refused_and_none_is_dropped(tell, knowledge):
    everything = tell(*knowledge.findings)
    with pytest.raises(UnusableInput) as refused:
        diagnose(everything, None, knowledge)
    assert refused.value.faults[0].code == "too_many_findings"


def test_a_cause_that_is_not_in_the_data_has_no_probability(judge):
    with pytest.raises(KeyError):
        judge().probability("gremlins")


def test_a_full_report_is_diagnosed_well_within_a_breath(tell, knowledge):
    """Eight findings seen and twelve not; processor time, the median of nine, so that a busy machine fails nothing."""
    places = ("right", "left", "back", "everywhere", "centre", "edges", "front_left", "scattered")
    placed = [name for name, one in knowledge.findings.items() if one.placed][: len(places)]
    absent = [name for name in knowledge.findings if name not in placed][:12]
    report = tell(*(f"{name}@{place}" for name, place in zip(placed, places, strict=True)), absent=absent)
    spent = []
    for _ in range(9):
        start = time.process_time()
        diagnose(report, None, knowledge)
        spent.append(time.process_time() - start)
    assert sorted(spent)[4] < 0.1
