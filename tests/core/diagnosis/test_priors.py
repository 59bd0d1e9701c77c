"""What readings and settings say: which way, how strongly, and where they keep silent. Bands: common practice."""

import math
from itertools import pairwise

import pytest

from core.diagnosis.geometry_shifts import GEOMETRIC, contrast_of, geometry_ratio
from core.diagnosis.priors import add_up, shift_priors, starting_odds
from core.diagnosis.settings_shifts import RULES, given_fields
from core.report import Machine, Raft, Resin, Settings

U = 0.03


@pytest.fixture(scope="module")
def weigh(tell, gauge, knowledge):
    """Return the sum of log-odds per cause that a report's readings and settings give."""

    def weighed(**parts):
        report = tell(**parts)
        return add_up(shift_priors(report, gauge(report), knowledge))

    return weighed


# ---- readings -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spread", "least", "most"),
    [
        (0.00, -6, -2.5),
        (0.15, -4, -1.5),
        (0.20, -3, -0.5),
        (0.25, -0.5, 1),
        (0.30, 1, 2.5),
        (0.40, 4, 6),
        (0.60, 6, 30),
    ],
)
def test_the_spread_turns_between_a_quarter_and_three_tenths(spread, least, most, knowledge):
    assert least <= geometry_ratio("tilt", spread, U, knowledge) <= most


@pytest.mark.parametrize(("cause", "toward"), [("start_far", 1), ("start_close", -1)])
def test_a_start_is_probable_once_the_offset_leaves_the_norm_and_only_its_own_way(cause, toward, knowledge):
    """Up to 0.20 mm is fine (common practice): the cause stays doubtful there, and is plain at 0.28 mm."""

    def probability(offset):
        odds = knowledge.causes[cause].prior / (1 - knowledge.causes[cause].prior)
        odds *= math.exp(geometry_ratio(cause, toward * offset, U, knowledge))
        return odds / (1 + odds)

    assert probability(0.0) < 0.01
    assert probability(0.10) < knowledge.causes[cause].prior
    assert probability(0.15) < 0.25
    assert 0.25 < probability(0.20) < 0.65
    assert probability(0.28) > 0.80
    assert probability(-0.30) < 0.001


@pytest.mark.parametrize("sign", [1, -1])
def test_a_crown_turns_near_an_eighth_of_a_millimetre_either_way(sign, knowledge):
    assert geometry_ratio("crown", sign * 0.08, U, knowledge) < 0 < geometry_ratio("crown", sign * 0.15, U, knowledge)


@pytest.mark.parametrize("cause", GEOMETRIC)
def test_a_poor_measurement_says_little(cause, knowledge):
    value = 0.5 if cause != "start_close" else -0.5
    assert abs(geometry_ratio(cause, value, 2.0, knowledge)) < 0.5 < geometry_ratio(cause, value, U, knowledge)


def test_the_tilt_is_judged_by_the_plane_whatever_way_it_leans(tell, gauge):
    """2(|tilt_x| + |tilt_y|) is the plane's highest minus lowest corner."""
    for readings in ((0.9, 1.1, 0.9, 1.1, 1.0), (0.9, 0.9, 1.1, 1.1, 1.0), (0.9, 1.0, 1.0, 1.1, 1.0)):
        assert contrast_of("tilt", gauge(tell(readings=readings))).value == pytest.approx(0.2)


def test_no_piece_of_evidence_goes_beyond_the_limit(tell, gauge, knowledge):
    report = tell(
        readings=(3.0, 0.2, 3.0, 0.2, 1.6),
        settings={"burn_in_layers": 200, "burn_in_s": 600, "exposure_s": 0.1, "transition_layers": 0, "rest_s": 120},
        resin={"temperature_c": -10},
    )
    shifts = shift_priors(report, gauge(report), knowledge)
    assert len(shifts) > 8
    assert all(abs(shift.log_odds) <= knowledge.norm("evidence_limit") for shift in shifts)


def test_a_suspect_reading_takes_half_of_what_all_readings_say(tell, gauge, knowledge):
    """The doubted shift is half the ratio of the same contrast, and its words are told so."""
    geometry = gauge(tell(readings=(1.34, 1.0, 1.0, 1.0, 1.0)))
    assert geometry.suspect is not None
    (shift,) = (one for one in shift_priors(tell(), geometry, knowledge) if one.cause == "tilt")
    contrast = contrast_of("tilt", geometry)
    whole = geometry_ratio("tilt", contrast.value, contrast.u, knowledge)
    assert shift.log_odds == pytest.approx(whole / 2)
    assert shift.values["doubted"] is True


def test_a_twist_speaks_for_debris(weigh):
    assert weigh(readings=(1.34, 1.0, 1.0, 1.0, 1.0))["debris"] > 0
    assert "debris" not in weigh(readings=(1.01, 1.0, 1.0, 1.0, 1.0))


def test_a_lost_corner_weakens_what_the_readings_say(weigh):
    whole, short = (1.22, 0.80, 1.20, 0.78, 1.0), (1.22, 0.80, 1.20, None, 1.0)
    assert 0 < weigh(readings=short)["tilt"] < weigh(readings=whole)["tilt"]


# ---- settings -------------------------------------------------------------------------------------

ORDINARY = {"layer_height_mm": 0.05, "burn_in_layers": 5, "burn_in_s": 30, "transition_layers": 5, "exposure_s": 2.6}
CURVE = {"penetration_depth_mm": 0.1, "critical_time_s": 0.9}


@pytest.mark.parametrize(
    ("parts", "cause", "way"),
    [
        ({"settings": ORDINARY}, "burn_in_long", -1),
        ({"settings": ORDINARY}, "burn_in_short", -1),
        ({"settings": ORDINARY}, "transition_short", -1),
        ({"settings": ORDINARY}, "transition_long", -1),
        ({"settings": {"burn_in_layers": 10, "burn_in_s": 60}}, "burn_in_long", 1),
        ({"settings": {"burn_in_layers": 10, "burn_in_s": 30}}, "burn_in_long", 1),
        ({"settings": {"burn_in_s": 60}}, "burn_in_long", 1),
        ({"settings": {"burn_in_layers": 12}}, "burn_in_long", 1),
        ({"settings": {"burn_in_layers": 2, "burn_in_s": 10}}, "burn_in_short", 1),
        ({"settings": {"burn_in_s": 6}}, "burn_in_short", 1),
        ({"settings": {"burn_in_s": 60, "exposure_s": 2}}, "burn_in_long", 1),
        ({"settings": {"raised_exposure": True}}, "burn_in_long", 1),
        ({"settings": {"raised_exposure": False}}, "burn_in_long", -1),
        ({"settings": {"transition_layers": 0}}, "transition_short", 1),
        ({"settings": {"transition_layers": 10, "burn_in_s": 30, "exposure_s": 2.5}}, "transition_long", 1),
        ({"settings": {"transition_layers": 10, "burn_in_s": 30, "exposure_s": 2.5}}, "transition_short", -1),
        ({"settings": {"layer_height_mm": 0.05, "exposure_s": 1.2}, "resin": CURVE}, "exposure_short", 1),
        ({"settings": {"layer_height_mm": 0.05, "exposure_s": 0.5}, "resin": CURVE}, "exposure_short", 1),
        ({"settings": {"layer_height_mm": 0.05, "exposure_s": 9}, "resin": CURVE}, "exposure_long", 1),
        ({"settings": {"layer_height_mm": 0.05, "exposure_s": 2.5}, "resin": CURVE}, "exposure_long", -1),
        ({"settings": {"layer_height_mm": 0.05, "exposure_s": 2.5}, "resin": CURVE}, "exposure_short", -1),
        ({"resin": {"temperature_c": 14}}, "resin_cold", 1),
        ({"resin": {"temperature_c": 26}}, "resin_cold", -1),
        ({"raft": {"style": "solid", "area_mm2": 12000}}, "raft_solid", 1),
        ({"raft": {"style": "open", "area_mm2": 12000}}, "raft_solid", -1),
        ({"raft": {"area_mm2": 600}}, "raft_solid", -1),
        ({"settings": {"lift_mm_per_min": 300}}, "lift_fast", 1),
        ({"settings": {"lift_mm_per_min": 60}}, "lift_fast", -1),
        ({"settings": {"rest_s": 0}}, "lift_fast", 1),
        ({"settings": {"rest_s": 2}}, "lift_fast", -1),
        ({"machine": {"adjusters": "ball_joint"}}, "tilt", 1),
        ({"machine": {"adjusters": "ball_joint"}}, "loose_plate", 1),
        ({"machine": {"adjusters": "four_screws"}}, "loose_plate", -1),
    ],
)
def test_which_way_a_setting_speaks(parts, cause, way, weigh):
    assert math.copysign(1, weigh(**parts)[cause]) == way


@pytest.mark.parametrize(
    ("parts", "causes"),
    [
        ({"machine": {"homing": "probe"}}, {"tilt", "loose_plate", "start_close", "start_far"}),
        ({"settings": ORDINARY}, {"exposure_short", "exposure_long"}),
        ({"settings": ORDINARY, "resin": {"penetration_depth_mm": 0.1}}, {"exposure_short", "exposure_long"}),
        ({"raft": {"style": "unknown"}}, {"raft_solid"}),
        ({}, {"tilt", "burn_in_long", "resin_cold"}),
    ],
)
def test_where_nothing_is_known_nothing_is_said(parts, causes, weigh):
    """A probe measures height and not angle; without a working curve a normal exposure cannot be judged."""
    assert not causes & set(weigh(**parts))


@pytest.mark.parametrize(
    ("field", "values", "cause"),
    [
        ("burn_in_s", (10, 20, 30, 45, 60, 90), "burn_in_long"),
        ("transition_layers", (2, 5, 8, 10, 15, 25), "transition_long"),
        ("lift_mm_per_min", (30, 80, 140, 200, 400), "lift_fast"),
    ],
)
def test_more_of_a_setting_speaks_louder(field, values, cause, weigh):
    told = [weigh(settings={**ORDINARY, field: value})[cause] for value in values]
    assert told == sorted(told)
    assert told[0] < 0 < told[-1]


def test_no_setting_jumps_at_a_threshold(weigh):
    """A second more or less of burn-in is never a different verdict."""
    told = [weigh(settings={**ORDINARY, "burn_in_s": seconds})["burn_in_long"] for seconds in range(10, 120)]
    assert max(abs(one - other) for one, other in pairwise(told)) < 0.35


def test_a_burn_in_told_whole_is_not_counted_a_second_time_by_its_parts(tell, knowledge):
    shifts = shift_priors(tell(settings={"burn_in_layers": 10, "burn_in_s": 60}), None, knowledge)
    assert [shift.about for shift in shifts if shift.cause == "burn_in_long"] == ["settings.burn_in"]


def test_an_assumed_ratio_is_said_to_be_assumed(tell, knowledge):
    told = shift_priors(tell(settings={"transition_layers": 0}), None, knowledge)
    assert all(shift.values["assumed"] for shift in told)
    told = shift_priors(tell(settings={"transition_layers": 0, "burn_in_s": 30, "exposure_s": 2.5}), None, knowledge)
    assert not any(shift.values["assumed"] for shift in told if "assumed" in shift.values)


def test_every_rule_names_a_known_cause_and_fields_that_exist(knowledge):
    fields = {name for part in (Settings, Raft, Machine, Resin) for name in part.model_fields}
    for rule in RULES:
        assert rule.cause in knowledge.causes
        assert fields.issuperset(rule.fields)
        most, least = rule.strongest(knowledge)
        assert least < 0 < most


def test_only_what_was_given_counts_as_given(tell):
    report = tell(settings={"rest_s": 0, "raised_exposure": False}, machine={"adjusters": "unknown"})
    assert given_fields(report) == {"rest_s", "raised_exposure"}


def test_the_starting_odds_are_those_of_the_data(knowledge):
    assert starting_odds(knowledge) == {name: cause.prior for name, cause in knowledge.causes.items()}
