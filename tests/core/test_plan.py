"""The plan: mechanical first, sized to the person's own numbers, nothing turned while a reading is in doubt."""

import pytest

from core.engine import triage
from core.knowledge import load_knowledge
from core.report import POSITIONS, Raft, Readings, Report, Seen, Settings
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
TILTED = (0.76, 1.22, 0.80, 1.20, 0.99)
EVEN_THIN = (0.72, 0.72, 0.72, 0.72, 0.72)
SOUND = (1.00, 1.01, 0.99, 1.00, 1.01)
ONE_BAD = (1.00, 1.01, 0.99, 1.45, 1.00)


def five(values):
    return Readings(**{place.value: (value,) for place, value in zip(POSITIONS, values, strict=True)})


def judged(**report):
    return triage(Report(**report), KNOWLEDGE, WORDS)


def steps(outcome):
    return [step.id for step in outcome.plan.steps]


def avoided(outcome):
    return {item.id: item for item in outcome.plan.avoid}


def test_a_tilted_plate_is_levelled_first_and_its_height_left_for_the_next_set():
    outcome = judged(readings=five(TILTED), findings=(Seen(id="glossy_raft", where="left"),))
    assert steps(outcome)[0] == "level_plate"
    assert not {"start_further", "start_closer"} & set(steps(outcome))
    assert {"mirrored_plate", "start_before_level"} <= set(avoided(outcome))


def test_levelling_says_which_corner_moves_which_way_and_how_far():
    """Front right 1.22 is 0.225 mm above the mean of the corners (0.995), front left 0.76 is 0.235 mm below."""
    level = judged(readings=five(TILTED)).plan.steps[0]
    assert level.values["high"] == "front_right"
    assert level.values["low"] == "front_left"
    assert level.values["down"] == pytest.approx(0.225)
    assert level.values["up"] == pytest.approx(0.235)


def test_an_even_thin_set_moves_the_start_further_by_what_is_missing():
    outcome = judged(readings=five(EVEN_THIN))
    assert steps(outcome)[0] == "start_further"
    assert outcome.plan.steps[0].values["distance"] == pytest.approx(0.28)


def test_nothing_is_turned_while_a_reading_is_in_doubt():
    outcome = judged(readings=five(ONE_BAD))
    assert steps(outcome)[0] == "measure_coupons"
    assert not {"level_plate", "start_further", "start_closer"} & set(steps(outcome))
    assert "back right" in outcome.verdict.steps[0].words
    assert "1.00 mm" in outcome.verdict.steps[0].words


def test_two_lost_corners_are_printed_again_before_anything_else():
    readings = Readings(front_left=None, front_right=(1.0,), back_left=None, back_right=(1.0,), centre=(1.0,))
    outcome = judged(readings=readings)
    assert outcome.verdict.status == "insufficient"
    assert steps(outcome) == ["measure_coupons"]
    assert "front left and back left" in outcome.verdict.summary


def test_unmeasured_geometry_is_measured_before_a_guess_is_acted_on():
    outcome = judged(findings=(Seen(id="glossy_raft", where="left"),))
    assert steps(outcome)[0] == "measure_coupons"
    assert "level_plate" not in steps(outcome)
    assert avoided(outcome)["longer_exposure"].reason == "unmeasured"


def test_a_burst_hollow_is_vented_without_a_coupon():
    """A fault that has nothing to do with the plate is not sent to be measured first."""
    outcome = judged(findings=(Seen(id="burst_hollow"), Seen(id="loud_peel")))
    assert steps(outcome)[0] == "vent_hollow"


def test_an_inflated_burn_in_comes_back_down_after_the_plate_is_level():
    outcome = judged(
        readings=five(TILTED), settings=Settings(burn_in_layers=5, burn_in_s=60, exposure_s=2.5, raised_exposure=True)
    )
    assert steps(outcome).index("level_plate") < steps(outcome).index("shorten_burn_in")


@pytest.mark.parametrize(
    ("layers", "seconds", "amount", "new"),
    [
        (12, 35.0, "burn_in_layers", 6),
        (5, 80.0, "burn_in_s", 60.0),
        (5, 44.0, "burn_in_s", 38.5),
    ],
)
def test_the_burn_in_comes_down_one_step_at_a_time(layers, seconds, amount, new):
    """Layers come back to the usual six at once; seconds by at most a quarter; never both in one step."""
    outcome = judged(
        readings=five(SOUND),
        findings=(Seen(id="stuck_fast"), Seen(id="flared_base")),
        settings=Settings(burn_in_layers=layers, burn_in_s=seconds, exposure_s=2.5),
    )
    step = next(step for step in outcome.plan.steps if step.id == "shorten_burn_in")
    assert step.amount == amount
    assert step.values["new"] == pytest.approx(new)


def test_longer_exposure_is_argued_against_with_the_persons_own_gap_and_seconds():
    """Doubling the time buys Dp ln 2 (Jacobs 1992); the stated range of Dp makes that an interval."""
    outcome = judged(readings=five(TILTED), settings=Settings(burn_in_s=30))
    why = next(item.why for item in outcome.verdict.avoid if item.id == "longer_exposure")
    assert "60 s instead of 30 s" in why
    assert "0.03 to 0.14 mm deeper" in why
    assert "front right is 0.22 mm out" in why


def test_where_everything_is_squeezed_the_argument_is_the_squeeze():
    why = next(item.why for item in judged(readings=five(EVEN_THIN)).verdict.avoid if item.id == "longer_exposure")
    assert "0.28 mm too close" in why


def test_a_sound_plate_without_a_finding_is_left_alone():
    outcome = judged(readings=five(SOUND))
    assert outcome.verdict.status == "no_fault"
    assert outcome.plan.steps == ()


def test_cautions_follow_what_the_steps_involve():
    outcome = judged(readings=five(TILTED))
    expected = set(KNOWLEDGE.remedies["level_plate"].cautions)
    assert expected <= {caution.id for caution in outcome.verdict.cautions}
    orders = [KNOWLEDGE.cautions[caution.id].order for caution in outcome.verdict.cautions]
    assert orders == sorted(orders)


def test_a_solid_raft_is_opened_after_the_plate_is_level():
    outcome = judged(
        readings=five(TILTED),
        findings=(Seen(id="loud_peel"), Seen(id="glossy_raft", where="centre")),
        raft=Raft(style="solid", area_mm2=11_000),
    )
    found = steps(outcome)
    assert found[0] == "level_plate"
    if "open_raft" in found:
        assert found.index("level_plate") < found.index("open_raft")


def test_a_doubt_about_left_and_right_is_settled_before_a_corner_is_turned():
    """Squeezed on the right by what was seen, on the left by the readings: the mirror trap ."""
    outcome = judged(readings=five(TILTED), findings=(Seen(id="glossy_raft", where="right"),))
    assert "mirror" in {question.code for question in outcome.diagnosis.questions}
    assert outcome.verdict.steps[0].words.startswith("First answer the question about left and right")


def test_a_bowed_plate_gets_the_start_that_suits_rim_and_middle():
    """Corners 0.90 and centre 1.12: errors -0.10 and +0.12, so the best start is 0.01 mm closer (minimax)."""
    outcome = judged(readings=five((0.90, 0.90, 0.90, 0.90, 1.12)))
    step = next(step for step in outcome.plan.steps if step.id == "map_crown")
    assert step.values["distance"] == pytest.approx(0.01)
    assert step.values["direction"] == "closer"
    assert "0.22 mm thicker" in outcome.verdict.summary
