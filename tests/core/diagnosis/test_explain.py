"""Weights are leave-one-out differences of the exact posterior; every code has its words, with the person's numbers."""

import math
from itertools import product

import pytest

from core.diagnosis import diagnose, explain_in_words
from core.diagnosis.events import compile_network
from core.diagnosis.evidence import gather
from core.diagnosis.explain import ask_in_words, explain_next, weigh_findings
from core.diagnosis.infer import infer, pose
from core.diagnosis.model import EvidenceItem, Question
from core.diagnosis.priors import add_up, shift_priors
from core.diagnosis.settings_shifts import RULES

TILTED = (1.22, 0.78, 1.24, 0.76, 1.0)


def log_odds(probability):
    return math.log(probability) - math.log1p(-probability)


def test_a_finding_weighs_what_the_posterior_loses_without_it(tell, gauge, knowledge):
    """The two sides of the difference are inferred by themselves."""
    report = tell("glossy_raft@right", "stuck_fast", absent=["delaminated_raft"], readings=TILTED)
    geometry = gauge(report)
    ratios = add_up(shift_priors(report, geometry, knowledge))
    network = compile_network(geometry, knowledge)
    evidence = gather(report, knowledge)
    whole = infer(network, evidence.positive, evidence.negative, ratios).marginals
    _, weights = weigh_findings(pose(network, evidence.positive, evidence.negative, ratios), evidence)
    for left_out, weight in zip(evidence.observations, weights.T, strict=True):
        rest = [one for one in evidence.observations if one is not left_out]
        positive = [event for one in rest for event in one.positive]
        negative = [event for one in rest for event in one.negative]
        without = infer(network, positive, negative, ratios).marginals
        for cause, column in network.cause_at.items():
            assert weight[column] == pytest.approx(log_odds(whole[cause]) - log_odds(without[cause]), abs=1e-7)


def test_the_strongest_evidence_comes_first(tell, gauge, knowledge):
    report = tell("glossy_raft@right", "thin_raft@right", absent=["stuck_fast"], readings=TILTED)
    for cause in diagnose(report, gauge(report), knowledge).causes:
        sizes = [round(abs(item.log_odds), 9) for item in cause.evidence]
        assert sizes == sorted(sizes, reverse=True)


def test_evidence_tells_the_person_s_own_numbers(tell, gauge, knowledge, words):
    report = tell(readings=(1.22, 0.78, 1.24, 0.76, 1.0))
    (item,) = diagnose(report, gauge(report), knowledge).causes[0].evidence
    said = explain_in_words(item, words)
    assert "0.48 mm" in said
    assert "sound plates stay below 0.20 mm" in said


def test_what_a_cause_would_show_and_did_not_is_listed(tell, knowledge):
    diagnosis = diagnose(tell("glossy_raft@everywhere", absent=["thin_raft", "soft_parts"]), None, knowledge)
    missed = {cause.id: cause.expected_absent for cause in diagnosis.causes}
    assert missed["start_close"] == ("thin_raft",)
    assert missed["exposure_short"] == ("soft_parts",)
    assert missed["screen_uneven"] == ()


def test_every_rule_has_words_both_ways(tell, knowledge, words):
    """Each rule is driven to both sides with settings that make it speak; its sentence holds no unfilled hole."""
    burn_in = [{"burn_in_s": 8.0}, {"burn_in_s": 90.0}, {"burn_in_layers": 2}, {"burn_in_layers": 20}]
    burn_in += [{"burn_in_layers": 2, "burn_in_s": 8.0}, {"burn_in_layers": 20, "burn_in_s": 90.0}]
    rest = [
        {"exposure_s": 0.9, "layer_height_mm": 0.05, "raised_exposure": True, "rest_s": 0, "lift_mm_per_min": 400},
        {"exposure_s": 9.0, "layer_height_mm": 0.05, "raised_exposure": False, "rest_s": 3, "lift_mm_per_min": 30},
        {"exposure_s": 2.5, "transition_layers": 0},
        {"exposure_s": 2.5, "transition_layers": 30},
    ]
    others = [
        {
            "resin": {"temperature_c": 12, "penetration_depth_mm": 0.1, "critical_time_s": 0.8},
            "raft": {"style": "solid", "area_mm2": 15000},
            "machine": {"adjusters": "ball_joint"},
        },
        {
            "resin": {"temperature_c": 27, "penetration_depth_mm": 0.1, "critical_time_s": 0.8},
            "raft": {"style": "open"},
            "machine": {"adjusters": "four_screws"},
        },
        {"raft": {"area_mm2": 500}},
    ]
    spoken = set()
    for one, two, three in product(burn_in, rest, others):
        report = tell(settings={**one, **two}, **three)
        for shift in shift_priors(report, None, knowledge):
            said = explain_in_words(EvidenceItem(shift.about, shift.log_odds, shift.code, shift.values), words)
            assert said.endswith(".")
            assert "{" not in said
            spoken.add(shift.code)
    assert spoken == {f"{rule.name}_{way}" for rule in RULES for way in ("for", "against")}


@pytest.mark.parametrize(
    ("findings", "parts"),
    [
        (("glossy_raft@left", "stuck_fast"), {"readings": TILTED, "absent": ["missing_parts"]}),
        (("glossy_raft@right", "glossy_raft@back"), {"readings": (1.22, 0.78, None, 0.76, 1.0)}),
        ((), {"readings": (1.4, 1.0, 1.0, 1.0, 1.0)}),
        ((), {"readings": (1.0, 1.0, 1.0, 1.0, 1.3), "raft": {"sliced_mm": 0.8, "measured_mm": 0.6}}),
        ((), {"readings": (0.7, 0.7, 0.7, 0.7, 0.4), "raft": {"sliced_mm": 0.8, "measured_mm": 0.81}}),
        (("missing_parts",), {}),
        (("thick_raft@everywhere", "thin_raft@everywhere"), {"absent": ["thick_raft"]}),
        (("weak_zone@left", "soft_parts"), {"resin": {"temperature_c": 22}}),
        ((), {"readings": (1.0, None, 1.0, None, 1.0)}),
    ],
)
def test_everything_a_diagnosis_holds_can_be_said(findings, parts, tell, gauge, knowledge, words):
    report = tell(*findings, **parts)
    diagnosis = diagnose(report, gauge(report), knowledge)
    said = [explain_in_words(item, words) for cause in diagnosis.causes for item in cause.evidence]
    said += [explain_next(check, words) for check in diagnosis.next_checks]
    said += [ask_in_words(question, words) for question in diagnosis.questions]
    assert said
    assert not [one for one in said if "{" in one or "None" in one or not one.endswith((".", "?"))]


QUESTIONS = {
    "mirror": {"high_at": "back_left", "low_at": "front_right"},
    "repeat_reading": {"position": "back_left", "measured_mm": 1.3, "would_be_mm": 1.01},
    "readings_disagree": {"first": "tilt"},
    "human_helper": {},
    "reprint_coupons": {"missing_all": ("front_left", "centre")},
    "seen_or_not": {"finding": "glossy_raft"},
    "which_first": {"first": "tilt", "second": "debris"},
}


def test_every_question_has_words_and_every_word_its_question(words):
    assert {key for key, _ in words.under("questions")} == set(QUESTIONS)
    for code, values in QUESTIONS.items():
        assert "{" not in ask_in_words(Question(code, values), words)
