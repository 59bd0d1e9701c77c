"""The uncertainty budget, and intervals that hold the truth as often as they say."""

import math
import statistics

import numpy as np
import pytest

from core.geometry import measure
from core.geometry.uncertainty import draw_up, effective_degrees_of_freedom, pooled_sd
from core.report import CORNERS, POSITIONS, Position, Readings


def test_one_reading_each_takes_repeatability_from_practice(knowledge, coupons):
    """Parts by hand: step .01/√12, seating .02/√3, repeatability .010; shared .02/√3 and .01/√3."""
    budget = draw_up(coupons(1.0, 1.0, 1.0, 1.0, 1.0), knowledge)
    own = math.sqrt(0.01**2 / 12 + 0.02**2 / 3 + 0.010**2)
    assert budget.individual_u == pytest.approx(dict.fromkeys(POSITIONS, own))
    assert budget.common_u == pytest.approx(math.sqrt((0.02**2 + 0.01**2) / 3))
    assert (budget.repeatability_from, budget.degrees_of_freedom) == ("practice", math.inf)


def test_two_readings_are_too_few_to_overrule_practice(knowledge, coupons):
    budget = draw_up(coupons((1.0, 1.02), (1.0, 1.0), 1.0, 1.0, 1.0), knowledge)
    assert budget.repeatability_from == "practice"
    assert budget.counts[Position.FRONT_LEFT] == 2
    repeatability = budget.individual_u[Position.FRONT_LEFT] ** 2 - 0.01**2 / 12 - 0.02**2 / 3
    assert repeatability == pytest.approx(0.010**2 / 2)


def test_three_readings_of_one_spot_bring_in_the_persons_own_repeatability(knowledge, coupons):
    """Oracle: pooled variance of the two groups with repeats, from the statistics module; ν = 2 + 1."""
    groups = (1.00, 1.01, 1.03), (0.99, 1.02)
    budget = draw_up(coupons(groups[0], 1.0, groups[1], 1.0, 1.0), knowledge)
    pooled = (2 * statistics.variance(groups[0]) + statistics.variance(groups[1])) / 3
    assert budget.repeatability_from == "repeats"
    assert budget.degrees_of_freedom == 3
    assert budget.repeatability_s == pytest.approx(math.sqrt(pooled))
    assert budget.individual_u[Position.FRONT_LEFT] == pytest.approx(math.sqrt(0.01**2 / 12 + 0.02**2 / 3 + pooled / 3))


def test_identical_repeats_still_leave_step_and_seating(knowledge, coupons):
    geometry = measure(coupons((1.0, 1.0, 1.0), 1.0, 1.0, 1.0, 1.0), knowledge)
    assert geometry.budget.repeatability_s == 0
    assert geometry.tilt_x.u == pytest.approx(math.sqrt(0.01**2 / 12 + 0.02**2 / 3) / 2)


def test_pooling_weighs_groups_by_their_degrees_of_freedom():
    groups = {Position.FRONT_LEFT: (1.0, 1.2), Position.CENTRE: (1.0, 1.0, 1.0)}
    assert pooled_sd(groups) == (pytest.approx(math.sqrt(0.02 / 3)), 3)


def test_degrees_of_freedom_are_infinite_where_all_parts_are_known():
    assert effective_degrees_of_freedom([(0.1, math.inf), (0.2, math.inf)]) == math.inf


@pytest.mark.parametrize("name", ["offset", "tilt_x", "tilt_y", "twist", "crown"])
def test_a_closed_form_u_agrees_with_the_width_of_the_trials(knowledge, coupons, name):
    """Sums of several rectangular and Gaussian parts are nearly Gaussian: 95 % within about 1.96 u, a little less."""
    estimate = getattr(measure(coupons(1.0, 1.1, 1.2, 1.3, 1.1), knowledge), name)
    assert 1.85 * estimate.u < (estimate.high - estimate.low) / 2 < 1.98 * estimate.u


def test_few_repeats_widen_an_interval_as_students_t_does(knowledge, coupons):
    """The same s from two degrees of freedom or from practice: only the first may be far too small."""
    few = measure(coupons((0.99, 1.00, 1.01), 1.0, 1.0, 1.0, 1.0), knowledge)
    practice = measure(coupons((0.99, 1.01), 1.0, 1.0, 1.0, 1.0), knowledge)
    assert few.budget.repeatability_s == pytest.approx(practice.budget.repeatability_s)
    assert few.crown.high - few.crown.low > 1.3 * (practice.crown.high - practice.crown.low)


def test_a_lost_corner_widens_the_intervals(knowledge, coupons):
    whole = measure(coupons(1.0, 1.1, 1.2, 1.3, 1.15), knowledge)
    lost = measure(coupons(1.0, 1.1, 1.2, None, 1.15), knowledge)
    assert lost.missing is Position.BACK_RIGHT
    assert lost.errors[Position.BACK_RIGHT] == pytest.approx(0.3)
    for name in ("offset", "tilt_x", "tilt_y", "twist", "crown", "spread"):
        wide, narrow = getattr(lost, name), getattr(whole, name)
        assert wide.value == pytest.approx(narrow.value, abs=1e-9)
        assert wide.high - wide.low > 1.3 * (narrow.high - narrow.low), name


def test_a_lost_centre_widens_the_crown_alone(knowledge, coupons):
    whole = measure(coupons(1.0, 1.1, 1.2, 1.3, 1.15), knowledge)
    lost = measure(coupons(1.0, 1.1, 1.2, 1.3, None), knowledge)
    assert lost.crown.u == pytest.approx(0.1)
    assert lost.errors[Position.CENTRE] == pytest.approx(0.15)
    for name in ("offset", "tilt_x", "tilt_y", "twist", "spread"):
        assert getattr(lost, name).u == pytest.approx(getattr(whole, name).u, rel=0.01)


def test_the_same_readings_get_the_same_answer(knowledge, coupons):
    readings = coupons(0.98, 1.02, 1.31, 1.28, 1.10)
    assert measure(readings, knowledge) == measure(readings, knowledge)
    other = measure(readings, knowledge, seed=1)
    assert other.spread.high == pytest.approx(measure(readings, knowledge).spread.high, abs=0.001)


def simulate(rng, repeats, knowledge):
    """Measure one invented plate as the budget supposes it is measured; return its truth and its Geometry."""
    limit = {name: knowledge.norm(name) for name in knowledge.norms}
    offset, tilt_x, tilt_y = rng.normal(0, 0.1, 3)
    crown = rng.normal(0, 0.05)
    true = {p: offset + tilt_x * p.x + tilt_y * p.y + crown * (p is Position.CENTRE) for p in POSITIONS}
    shared = rng.uniform(-1, 1) * limit["caliper_limit_mm"] + rng.uniform(-1, 1) * limit["cure_shrinkage_limit_mm"]
    given = {}
    for p in POSITIONS:
        step = limit["caliper_resolution_mm"]
        centre = 1 + true[p] + shared + rng.uniform(-1, 1) * limit["seating_limit_mm"] + rng.uniform(-step, step) / 2
        given[p.value] = tuple(centre + rng.normal(0, limit["repeatability_s_mm"], repeats))
    corners = [true[p] for p in CORNERS]
    truth = {"offset": offset, "tilt_x": tilt_x, "tilt_y": tilt_y, "twist": 0.0, "crown": crown}
    return {**truth, "spread": max(corners) - min(corners)}, measure(Readings(**given), knowledge, draws=4000)


@pytest.mark.parametrize("repeats", [1, 3])
def test_intervals_hold_the_truth_about_95_times_in_100(knowledge, repeats):
    """900 plates: the share within is 95 % give or take 3.5 standard errors of 0.73 %."""
    rng = np.random.default_rng(41)
    trials = 900
    held = dict.fromkeys(("offset", "tilt_x", "tilt_y", "twist", "crown", "spread"), 0)
    for _ in range(trials):
        truth, geometry = simulate(rng, repeats, knowledge)
        for name in held:
            estimate = getattr(geometry, name)
            held[name] += estimate.low <= truth[name] <= estimate.high
    for name, count in held.items():
        assert 0.925 < count / trials < 0.976, (name, count / trials)
