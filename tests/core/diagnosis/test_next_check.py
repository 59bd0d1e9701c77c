"""What to look at next: exact gains where there is an independent sum, and the order a good helper would choose."""

import math

import pytest

from core.diagnosis import diagnose
from core.diagnosis.densities import binary_entropy
from core.diagnosis.geometry_shifts import GEOMETRIC, Contrast
from core.diagnosis.next_check import MOST_CHECKS, candidate_events, told_by_contrast, told_by_test

TILTED = (1.22, 0.78, 1.24, 0.76, 1.0)


@pytest.fixture(scope="module")
def ask(tell, gauge, knowledge):
    def asked(*findings, **parts):
        report = tell(*findings, **parts)
        return diagnose(report, gauge(report), knowledge).next_checks

    return asked


@pytest.mark.parametrize("probability", [0.05, 0.3, 0.5, 0.9])
@pytest.mark.parametrize(("most", "least"), [(2.0, -1.0), (0.5, -0.2), (3.0, -3.0)])
def test_a_test_gives_the_mutual_information_of_its_table(probability, most, least):
    """The table is rebuilt from its two likelihood ratios and summed as H(cause) + H(answer) - H(both)."""
    yes_sound = (1 - math.exp(least)) / (math.exp(most) - math.exp(least))
    table = [
        (1 - probability) * yes_sound,
        (1 - probability) * (1 - yes_sound),
        probability * yes_sound * math.exp(most),
        probability * (1 - yes_sound * math.exp(most)),
    ]
    assert math.log((table[3] / probability) / (table[1] / (1 - probability))) == pytest.approx(least)
    joint = -sum(cell * math.log2(cell) for cell in table)
    expected = binary_entropy(probability) + binary_entropy(table[0] + table[2]) - joint
    assert told_by_test(probability, most, least) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("cause", GEOMETRIC)
def test_a_better_measurement_tells_more_and_never_more_than_there_is_to_know(cause, knowledge):
    told = [told_by_contrast(cause, 0.4, u, knowledge) for u in (1.0, 0.3, 0.1, 0.03, 0.01)]
    assert told == sorted(told)
    assert 0 < told[0] < told[-1] < binary_entropy(0.4)


@pytest.mark.parametrize("cause", GEOMETRIC)
def test_what_is_certain_needs_no_measuring(cause, knowledge):
    assert told_by_contrast(cause, 0.0, 0.03, knowledge) == pytest.approx(0)
    assert told_by_contrast(cause, 1.0, 0.03, knowledge) == pytest.approx(0)


def test_measuring_again_tells_most_where_the_first_look_left_it_open(knowledge):
    """At 0.28 mm seen with 0.09 mm of uncertainty it is open; at 0.05 and at 1.00 mm it is not."""

    def told(value, u):
        return told_by_contrast("tilt", 0.2, 0.03, knowledge, Contrast(about="", value=value, u=u))

    assert told(0.28, 0.09) > 3 * max(told(0.05, 0.09), told(1.0, 0.09))
    assert told(0.28, 0.15) > told(0.28, 0.06) > told(0.28, 0.03) == 0


def test_a_finer_grid_would_say_the_same(knowledge, monkeypatch):
    coarse = {cause: told_by_contrast(cause, 0.3, 0.03, knowledge) for cause in GEOMETRIC}
    monkeypatch.setattr("core.diagnosis.next_check._CELLS", 1501)
    for cause, bits in coarse.items():
        assert told_by_contrast(cause, 0.3, 0.03, knowledge) == pytest.approx(bits, abs=0.05)


def test_there_are_never_more_than_two(ask):
    assert len(ask("missing_parts")) == MOST_CHECKS
    assert len(ask("glossy_raft@right", "torn_supports@scattered", "soft_parts")) <= MOST_CHECKS


def test_each_check_is_of_the_data_with_its_effort_and_a_gain(ask, knowledge):
    for check in ask("missing_parts"):
        assert knowledge.checks[check.id].about == check.about
        assert knowledge.checks[check.id].effort == check.effort
        assert check.gain_bits >= knowledge.norm("next_gain_least")


def test_they_come_by_bits_per_effort(ask):
    first, second = ask("missing_parts")
    assert first.gain_bits / first.effort >= second.gain_bits / second.effort


@pytest.mark.parametrize("findings", [("glossy_raft@right",), ("glossy_raft@left", "thin_raft@left")])
def test_a_plate_that_is_suspected_and_unmeasured_is_measured(findings, ask):
    assert "measure_coupons" in {check.id for check in ask(*findings)}


def test_where_nothing_was_told_the_coupons_come_first(ask):
    assert ask()[0].id == "measure_coupons"


def test_a_measured_plate_is_not_measured_again(ask):
    assert not [check for check in ask("missing_parts", readings=(1.0, 1.0, 1.0, 1.0, 1.0)) if "coupon" in check.id]


def test_a_suspect_reading_is_measured_again_by_name(ask):
    first = ask(readings=(1.34, 1.0, 1.0, 1.0, 1.0))[0]
    assert (first.about, first.values["position"]) == ("reading:front_left", "front_left")


def test_a_missing_reading_is_asked_for_once_looking_has_told_what_it_can(ask, knowledge):
    looked_at = [name for name, finding in knowledge.findings.items() if not finding.check]
    asked = ask(readings=(1.22, 0.98, 1.02, (), 1.0), absent=looked_at)
    assert "reading:back_right" in {check.about for check in asked}


def test_what_was_seen_or_looked_for_is_not_asked_again(tell, gauge, knowledge):
    report = tell("glossy_raft@right", absent=["stuck_fast", "thin_raft"])
    asked = diagnose(report, gauge(report), knowledge).next_checks
    assert not {check.about for check in asked} & {"finding:glossy_raft", "finding:stuck_fast", "finding:thin_raft"}


def test_only_what_bears_on_a_live_cause_is_a_candidate(knowledge):
    from core.diagnosis.evidence import Evidence  # noqa: PLC0415 - beside its only use

    nothing = Evidence(observations=(), contradicted=())
    candidates = candidate_events(nothing, frozenset({"suction"}), knowledge)
    assert set(candidates) == {name for name, finding in knowledge.findings.items() if "suction" in finding.links}
    assert candidates["burst_hollow"] == ("burst_hollow",)
    assert len(candidates["torn_supports"]) == len(knowledge.places)


def test_a_setting_is_asked_for_where_it_would_tell(ask):
    """Gummy parts with the warmth of the resin unknown: the thermometer is cheap."""
    told = ("soft_parts", "layer_cracks@everywhere", "missing_parts@everywhere")
    readings = (1.0, 1.01, 1.0, 1.0, 1.0)
    assert "setting:temperature_c" in {check.about for check in ask(*told, readings=readings)}
    warm = ask(*told, readings=readings, resin={"temperature_c": 24})
    assert "setting:temperature_c" not in {check.about for check in warm}


def test_a_check_says_who_would_lead_after_it(ask, tell, gauge, knowledge):
    """The outlook is what a diagnosis with the answer added says, up to the finding's unknown place."""
    for check in ask("missing_parts"):
        if not check.about.startswith("finding:"):
            continue
        name = check.about.removeprefix("finding:")
        seen = diagnose(tell("missing_parts", name), None, knowledge).causes[0].id
        absent = diagnose(tell("missing_parts", absent=[name]), None, knowledge).causes[0].id
        assert (check.values["first_if_seen"], check.values["first_if_absent"]) == (seen, absent)
        assert check.code == ("finding_turns" if seen != absent else "finding_firms")


def test_where_nothing_is_wrong_there_is_nothing_to_look_for(ask):
    assert ask(readings=(1.0, 1.01, 1.0, 1.0, 1.0)) == ()


def test_a_settled_tilt_needs_no_further_look(ask):
    assert ask("glossy_raft@right", "thin_raft@right", readings=TILTED) == ()
