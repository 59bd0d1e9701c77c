"""From a report to events: places, the raft, lost coupons, and which side belongs to which finding."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.diagnosis.events import describe_events
from core.diagnosis.evidence import gather, mirrored
from core.errors import UnusableInput
from core.knowledge import load_knowledge
from core.report import Report

RIGHT_CLOSE = (1.22, 0.78, 1.22, 0.78, 1.0)
KNOWLEDGE = load_knowledge()


def only(evidence):
    (observation,) = evidence.observations
    return observation


def shares(events, finding, cause):
    return {
        event.partition("@")[2]: links.get(cause, 0.0)
        for event, (_, links) in events.items()
        if event.startswith(f"{finding}@")
    }


def test_a_placed_finding_is_seen_in_its_place_and_nowhere_else(tell, knowledge):
    seen = only(gather(tell("glossy_raft@right"), knowledge))
    assert seen.positive == ("glossy_raft@right",)
    assert set(seen.negative) == {f"glossy_raft@{place}" for place in knowledge.places if place != "right"}


def test_two_places_of_one_finding_are_one_observation(tell, knowledge):
    seen = only(gather(tell("glossy_raft@right", "glossy_raft@back"), knowledge))
    assert set(seen.positive) == {"glossy_raft@right", "glossy_raft@back"}
    assert not set(seen.positive) & set(seen.negative)


@pytest.mark.parametrize("finding", ["glossy_raft@unknown", "glossy_raft", "stuck_fast", "stuck_fast@left"])
def test_without_a_place_a_finding_stays_whole(finding, tell, knowledge):
    """So does one that has no place, whatever place was told."""
    seen = only(gather(tell(finding), knowledge))
    assert (seen.positive, seen.negative) == ((finding.partition("@")[0],), ())


def test_a_known_place_outweighs_an_unknown_one(tell, knowledge):
    assert only(gather(tell("glossy_raft", "glossy_raft@back"), knowledge)).places == ("back",)


def test_what_was_looked_for_in_vain_is_one_negative_event(tell, knowledge):
    seen = only(gather(tell(absent=["glossy_raft"]), knowledge))
    assert (seen.present, seen.positive, seen.negative) == (False, (), ("glossy_raft",))


def test_seen_and_not_seen_is_told_as_a_contradiction(tell, knowledge):
    evidence = gather(tell("glossy_raft@left", absent=["glossy_raft"]), knowledge)
    assert evidence.contradicted == ("glossy_raft",)
    assert only(evidence).present


@pytest.mark.parametrize("readings", [None, RIGHT_CLOSE, (1.0, 1.0, 1.0, 1.0, 1.25)])
def test_places_share_a_finding_without_loss(readings, tell, gauge, knowledge):
    """Leak and links of the places sum to those of the whole, whatever the readings say of sides."""
    events = describe_events(gauge(tell(readings=readings)), knowledge)
    for name, finding in knowledge.findings.items():
        if finding.placed:
            leaks = [leak for event, (leak, _) in events.items() if event.startswith(f"{name}@")]
            assert sum(leaks) == pytest.approx(finding.leak)
            for cause, link in finding.links.items():
                assert sum(shares(events, name, cause).values()) == pytest.approx(link)


def test_without_readings_sides_and_corners_share_evenly(knowledge):
    events = describe_events(None, knowledge)
    sides = [name for name, place in knowledge.places.items() if place.kind == "side_or_corner"]
    link = knowledge.findings["glossy_raft"].links["tilt"] * knowledge.profiles["tilt"].side_or_corner
    assert [shares(events, "glossy_raft", "tilt")[side] for side in sides] == pytest.approx([link / 8] * 8)


def test_squeeze_belongs_on_the_close_side_and_gap_on_the_far_one(tell, gauge, knowledge):
    events = describe_events(gauge(tell(readings=RIGHT_CLOSE)), knowledge)
    for finding, one in knowledge.findings.items():
        share = shares(events, finding, "tilt")
        if one.side == "squeezed" and "tilt" in one.links:
            assert share["right"] > 20 * share["left"]
            assert share["right"] > 4 * share["back"]
        if one.side == "gap" and "tilt" in one.links:
            assert share["left"] > 20 * share["right"]


def test_a_finding_that_is_neither_squeeze_nor_gap_leans_nowhere(tell, gauge, knowledge):
    events = describe_events(gauge(tell(readings=RIGHT_CLOSE)), knowledge)
    share = shares(events, "uneven_drag", "tilt")
    assert share["left"] == pytest.approx(share["right"])


def test_causes_other_than_tilt_and_crown_lean_nowhere(tell, gauge, knowledge):
    events = describe_events(gauge(tell(readings=RIGHT_CLOSE)), knowledge)
    share = shares(events, "glossy_raft", "burn_in_long")
    assert share["left"] == pytest.approx(share["right"])


def test_the_lean_grows_smoothly_with_the_tilt(tell, gauge, knowledge):
    leans = []
    for half in (0.0, 0.01, 0.02, 0.04, 0.08, 0.16):
        readings = (1.0 + half, 1.0 - half, 1.0 + half, 1.0 - half, 1.0)
        events = describe_events(gauge(tell(readings=readings)), knowledge)
        share = shares(events, "thin_raft", "tilt")
        leans.append(share["right"] / (share["right"] + share["left"]))
    assert leans[0] == pytest.approx(0.5, abs=1e-6)
    assert leans == sorted(leans)
    assert leans[1] < 0.75
    assert leans[-1] > 0.98


@pytest.mark.parametrize(("centre", "squeezed", "gap"), [(1.25, "edges", "centre"), (0.75, "centre", "edges")])
def test_the_rim_of_a_plate_thick_in_the_middle_is_the_close_part(centre, squeezed, gap, tell, gauge, knowledge):
    events = describe_events(gauge(tell(readings=(1.0, 1.0, 1.0, 1.0, centre))), knowledge)
    squeeze, missing = shares(events, "glossy_raft", "crown"), shares(events, "missing_parts", "crown")
    assert squeeze[squeezed] > 10 * squeeze[gap]
    assert missing[gap] > 10 * missing[squeezed]


@pytest.mark.parametrize(
    ("sliced", "measured", "finding"), [(0.8, 0.6, "thin_raft"), (0.8, 1.0, "thick_raft"), (0.5, 0.38, "thin_raft")]
)
def test_a_measured_raft_is_a_finding_by_itself(sliced, measured, finding, tell, knowledge):
    seen = only(gather(tell(raft={"sliced_mm": sliced, "measured_mm": measured}), knowledge))
    assert (seen.finding, seen.positive, seen.origin) == (finding, (finding,), "raft")


def test_a_raft_as_sliced_is_not_thin_everywhere_but_may_be_on_one_side(tell, knowledge):
    evidence = gather(tell(raft={"sliced_mm": 0.8, "measured_mm": 0.77}), knowledge)
    assert set(evidence.negative) == {"thin_raft@everywhere", "thick_raft@everywhere"}
    assert evidence.positive == ()


def test_a_place_that_the_person_names_goes_before_the_raft_s_thickness(tell, knowledge):
    raft = {"sliced_mm": 0.8, "measured_mm": 0.6}
    assert only(gather(tell("thin_raft@left", raft=raft), knowledge)).places == ("left",)


@pytest.mark.parametrize(
    ("lost", "place"),
    [
        (["back_right"], "back_right"),
        (["centre"], "centre"),
        (["front_left", "front_right"], "front"),
        (["front_right", "back_right"], "right"),
        (["front_right", "back_right", "centre"], "right"),
        (["front_left", "back_right"], "scattered"),
        (["front_left", "front_right", "back_left"], "scattered"),
        (["front_left", "front_right", "back_left", "back_right"], "edges"),
        (["front_left", "front_right", "back_left", "back_right", "centre"], "everywhere"),
    ],
)
def test_a_lost_coupon_is_a_finding_at_its_place_and_not_a_zero(lost, place, knowledge):
    report = Report.model_validate({"readings": dict.fromkeys(lost)})
    seen = only(gather(report, knowledge))
    assert (seen.finding, seen.places, seen.origin) == ("missing_parts", (place,), "coupon")


def test_a_coupon_that_was_not_given_is_no_finding(knowledge):
    report = Report.model_validate({"readings": {"front_left": [1.0]}})
    assert gather(report, knowledge).observations == ()


def test_unknown_names_are_all_refused_at_once(tell, knowledge, words):
    with pytest.raises(UnusableInput) as refused:
        gather(tell("purple_raft@left", "glossy_raft@attic", absent=["square_holes"]), knowledge)
    assert [(fault.given, fault.code) for fault in refused.value.faults] == [
        ("purple_raft", "no_such_finding"),
        ("square_holes", "no_such_finding"),
        ("attic", "no_such_place"),
    ]
    assert "everywhere" in words.fault(refused.value.faults[-1])


def test_very_many_places_are_taken_together_and_none_is_dropped(knowledge, tell):
    findings = [f"{finding}@{place}" for finding in ("glossy_raft", "thin_raft") for place in knowledge.places]
    evidence = gather(tell(*findings), knowledge)
    assert evidence.positive == ("glossy_raft", "thin_raft")


PLACED = [f"{name}@{place}" for name, one in KNOWLEDGE.findings.items() if one.placed for place in KNOWLEDGE.places]


@settings(deadline=None, max_examples=50)
@given(st.lists(st.sampled_from(PLACED), max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_telling_does_not_matter(findings, chance):
    told = [dict(zip(("id", "where"), finding.split("@"), strict=True)) for finding in findings]
    shuffled = list(told)
    chance.shuffle(shuffled)
    one, other = (Report.model_validate({"findings": order}) for order in (told, shuffled))
    assert gather(one, KNOWLEDGE) == gather(other, KNOWLEDGE)


@settings(deadline=None, max_examples=50)
@given(st.lists(st.sampled_from(PLACED), max_size=8))
def test_a_mirror_s_mirror_is_the_report(findings):
    told = [dict(zip(("id", "where"), finding.split("@"), strict=True)) for finding in findings]
    report = Report.model_validate({"findings": told})
    assert mirrored(mirrored(report, KNOWLEDGE), KNOWLEDGE).findings == report.findings
    assert [one.where for one in mirrored(report, KNOWLEDGE).findings] == [
        one.where.replace("left", "#").replace("right", "left").replace("#", "right") for one in report.findings
    ]
