"""What more readings would do: the promise is kept in simulated measurements, and impossible cases say why."""

from dataclasses import replace

import numpy as np
import pytest

from core.geometry import measure
from core.geometry.model import Geometry
from core.geometry.power import MOST_REPEATS, _corner_draws, _judge_band, describe_repeats, plan_repeats
from core.report import CORNERS, Position, Readings
from core.words import load_words

WORDS = load_words("en")
BORDER = (1.00, 1.10, 1.05, 1.222, 1.10)
"""Invented: one low and one high corner, 0.22 mm apart, where 0.20 is good."""


def with_norms(knowledge, **values):
    norms = {name: knowledge.norms[name].model_copy(update={"value": value}) for name, value in values.items()}
    return replace(knowledge, norms={**knowledge.norms, **norms})


@pytest.fixture(scope="module")
def well_seated(knowledge):
    """Coupons without burrs, read by a hasty person: repeats are what counts."""
    return with_norms(knowledge, seating_limit_mm=0.004, repeatability_s_mm=0.014)


def test_a_sure_verdict_needs_no_repeats(coupons, knowledge):
    assert plan_repeats(measure(coupons(1.0, 1.02, 1.01, 1.03, 1.0), knowledge), knowledge) is None


def test_a_reading_in_doubt_comes_first(coupons, knowledge):
    twisted = measure(coupons(1.0, 1.0, 1.0, 1.21, 1.05), knowledge)
    assert twisted.suspect is not None
    assert plan_repeats(twisted, knowledge) is None


def test_the_corners_that_decide_are_to_be_read_again(coupons, well_seated):
    plan = plan_repeats(measure(coupons(*BORDER), well_seated), well_seated)
    assert set(plan.corners) <= {Position.BACK_RIGHT, Position.FRONT_LEFT}
    assert plan.about == "band"
    assert plan.reason is None
    assert 1 <= plan.repeats <= MOST_REPEATS
    assert plan.now < well_seated.norm("band_sure_probability") <= plan.expected


@pytest.mark.parametrize("high", [1.16, 1.19, 1.222, 1.31])
@pytest.mark.parametrize("repeats", [False, True])
def test_without_more_readings_the_plan_believes_what_the_geometry_believes(coupons, knowledge, high, repeats):
    """The oracle is ``measure``: the probability of its leading band, to 0.01 over sixteen sets of draws."""
    values = [(v, v + 0.02, v - 0.02) if repeats else v for v in (*BORDER[:3], high, BORDER[4])]
    geometry = measure(coupons(*values), knowledge)
    judge = _judge_band(knowledge)
    believed = np.mean([judge(_corner_draws(geometry, {}, seed, outcomes=1)) for seed in range(16)])
    assert believed == pytest.approx(max(geometry.band_probability.values()), abs=0.01)


def test_the_same_readings_get_the_same_plan(coupons, well_seated):
    geometry = measure(coupons(*BORDER), well_seated)
    assert plan_repeats(geometry, well_seated) == plan_repeats(geometry, well_seated)


def read_again(coupons_read, plan, knowledge, rng):
    """Return one imagined second visit to the caliper, from first principles.

    The mean of the readings is off by N(0, s²/k) from what the spot reads on average; more readings scatter about that
    average. What repeats do not reduce, seating and step, stays in all readings alike, so it needs no simulation.
    """
    s = knowledge.norm("repeatability_s_mm")
    given = {}
    for place, repeats in coupons_read.measured():
        more = plan.repeats if place in plan.corners else 0
        centre = np.mean(repeats) + rng.normal(0, s / np.sqrt(len(repeats)))
        given[place.value] = (*repeats, *(float(value) for value in rng.normal(centre, s, more)))
    return Readings(nominal_mm=coupons_read.nominal_mm, **given)


@pytest.mark.parametrize("high", [1.222, 1.218])
def test_after_the_planned_repeats_the_verdict_is_settled_as_often_as_promised(coupons, well_seated, high):
    """400 simulated visits through the whole of ``measure``: the share settled, and the mean probability of the band.

    Both within three standard deviations of the simulation and 0.02 for the plan's own trials.
    """
    first = coupons(*BORDER[:3], high, BORDER[4])
    plan = plan_repeats(measure(first, well_seated), well_seated)
    assert plan.reason is None
    sure = well_seated.norm("band_sure_probability")
    rng = np.random.default_rng(7)
    leading = np.array(
        [
            max(measure(read_again(first, plan, well_seated, rng), well_seated, draws=8000).band_probability.values())
            for _ in range(400)
        ]
    )
    settled = np.mean(leading >= sure)
    assert settled == pytest.approx(plan.chance, abs=3 * np.sqrt(plan.chance * (1 - plan.chance) / 400) + 0.02)
    assert leading.mean() == pytest.approx(plan.expected, abs=3 * leading.std() / 20 + 0.02)


def test_fewer_readings_than_planned_would_not_do(coupons, well_seated):
    """The oracle is the simulation: one reading less of each corner does not reach the norm on average."""
    first = coupons(*BORDER[:3], 1.218, BORDER[4])
    plan = plan_repeats(measure(first, well_seated), well_seated)
    assert plan.repeats > 1
    less = replace(plan, repeats=plan.repeats - 1)
    rng = np.random.default_rng(8)
    leading = [
        max(measure(read_again(first, less, well_seated, rng), well_seated, draws=8000).band_probability.values())
        for _ in range(400)
    ]
    assert np.mean(leading) < well_seated.norm("band_sure_probability") + 3 * np.std(leading) / 20


def test_repeats_cannot_settle_what_the_seating_of_a_coupon_leaves_open(coupons, knowledge):
    plan = plan_repeats(measure(coupons(1.0, 1.1, 1.05, 1.205, 1.1), knowledge), knowledge)
    assert (plan.reason, plan.repeats, plan.corners) == ("seating", 0, ())
    assert plan.expected < knowledge.norm("band_sure_probability")
    assert "jaws" in describe_repeats(plan, WORDS)


def test_repeats_cannot_settle_what_the_caliper_leaves_open(coupons, knowledge):
    """All corners 0.185 mm thick: the spread is surely good, the height may or may not be within 0.20 mm."""
    plan = plan_repeats(measure(coupons(*[1.185] * 5), knowledge), knowledge)
    assert (plan.about, plan.reason) == ("offset", "caliper")
    assert "caliper" in describe_repeats(plan, WORDS)


def test_a_height_that_only_scatter_leaves_open_is_read_again_at_all_corners(coupons, knowledge):
    exact = with_norms(
        knowledge,
        seating_limit_mm=0.002,
        caliper_limit_mm=0.002,
        cure_shrinkage_limit_mm=0.002,
        repeatability_s_mm=0.03,
        spread_good_mm=0.5,
        spread_workable_mm=0.6,
        spread_out_mm=0.7,
    )
    plan = plan_repeats(measure(coupons(*[1.184] * 5), exact), exact)
    assert (plan.about, plan.reason) == ("offset", None)
    assert set(plan.corners) == set(CORNERS)


def test_a_lost_corner_is_printed_again_before_others_are_read_again(coupons, knowledge):
    geometry = measure(coupons(1.0, 1.1, 1.1, None, 1.1), knowledge)
    assert isinstance(geometry, Geometry)
    plan = plan_repeats(geometry, knowledge)
    assert (plan.reason, plan.corners) == ("missing", (Position.BACK_RIGHT,))
    assert "back right" in describe_repeats(plan, WORDS)


def test_a_persons_own_repeats_count_with_their_degrees_of_freedom(coupons, well_seated):
    """Three readings of each spot: the plan uses their scatter, not practice's, and still answers."""
    scattered = [tuple(value + shift for shift in (-0.02, 0.0, 0.02)) for value in BORDER]
    geometry = measure(coupons(*scattered), well_seated)
    assert geometry.budget.repeatability_from == "repeats"
    plan = plan_repeats(geometry, well_seated)
    assert plan.now < plan.expected


def test_the_sentence_names_count_places_and_chance(coupons, well_seated):
    plan = plan_repeats(measure(coupons(*BORDER), well_seated), well_seated)
    sentence = describe_repeats(replace(plan, corners=(Position.BACK_RIGHT, Position.FRONT_LEFT), repeats=2), WORDS)
    assert sentence.startswith("Two more readings each of the back right and the front left would settle it about ")


def test_every_number_of_repeats_and_every_reason_has_words(coupons, well_seated):
    plan = plan_repeats(measure(coupons(*BORDER), well_seated), well_seated)
    for repeats in range(1, MOST_REPEATS + 1):
        assert describe_repeats(replace(plan, repeats=repeats), WORDS)
    for reason in ("seating", "caliper", "too_many", "missing"):
        assert describe_repeats(replace(plan, reason=reason), WORDS)
