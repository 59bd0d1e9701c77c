"""Spread, its band, the probability of each band, and the best move of the start."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.geometry import BANDS, TooFew, measure
from core.geometry.bands import Limits, best_start, estimate_spread, spread, spread_draws
from core.report import CORNERS, POSITIONS, Position, Readings

LIMITS = Limits(0.20, 0.30, 0.40)
READING = st.integers(60, 160).map(lambda hundredths: hundredths / 100)


@pytest.mark.parametrize(
    ("corners", "band"),
    [
        ((1.10, 1.00, 1.00, 0.90), "good"),
        ((1.00, 1.00, 1.00, 0.79), "workable"),
        ((1.15, 1.00, 1.00, 0.85), "workable"),
        ((1.16, 1.00, 1.00, 0.85), "marginal"),
        ((1.19, 1.00, 1.00, 0.80), "marginal"),
        ((1.30, 1.00, 1.00, 0.90), "out_of_parallel"),
        ((1.20, 1.00, 1.00, 0.80), "out_of_parallel"),
    ],
)
def test_a_reading_on_a_limit_is_not_at_the_mercy_of_binary_fractions(corners, band):
    assert LIMITS.band(spread(corners)) == band


@settings(max_examples=40, deadline=None)
@given(st.tuples(READING, READING, READING, READING, READING))
def test_the_estimate_is_whole(knowledge, five):
    """Probabilities sum to 1, the interval holds the value, highest and lowest are where the spread comes from."""
    given_ = {p.value: (value,) for p, value in zip(POSITIONS, five, strict=True)}
    geometry = measure(Readings(**given_), knowledge, draws=2000)
    assert sum(geometry.band_probability.values()) == pytest.approx(1)
    assert tuple(geometry.band_probability) == BANDS
    assert geometry.spread.low <= geometry.spread.value <= geometry.spread.high
    top, bottom = geometry.errors[geometry.highest], geometry.errors[geometry.lowest]
    assert geometry.spread.value == pytest.approx(top - bottom, abs=1e-6)
    assert top == max(geometry.errors[p] for p in CORNERS)
    assert geometry.band == LIMITS.band(geometry.spread.value)


@pytest.mark.parametrize(
    ("five", "likely"),
    [
        ((1.00, 1.00, 1.02, 1.01, 1.00), "good"),
        ((1.00, 1.00, 1.25, 1.25, 1.12), "workable"),
        ((1.00, 1.00, 1.34, 1.34, 1.17), "marginal"),
        ((0.98, 1.02, 1.61, 1.58, 1.30), "out_of_parallel"),
    ],
)
def test_well_inside_a_band_that_band_is_the_probable_one(knowledge, coupons, five, likely):
    geometry = measure(coupons(*five), knowledge)
    assert geometry.band == likely
    assert geometry.band_probability[likely] > 0.75


def test_near_a_limit_both_bands_have_a_fair_share(knowledge, coupons):
    geometry = measure(coupons(1.0, 1.1, 1.3, 1.4, 1.2), knowledge)
    shares = geometry.band_probability
    assert geometry.band == "out_of_parallel"
    assert 0.4 < shares["out_of_parallel"] < 0.6
    assert 0.4 < shares["marginal"] < 0.6


def test_draws_of_the_spread_are_those_of_a_plain_loop():
    """Oracle: highest minus lowest, one trial at a time, each with its mirror image."""
    rng = np.random.default_rng(3)
    deviations = rng.normal(0, 0.02, (4, 300)).astype(np.float32)
    corners = (0.0, 0.1, -0.05, 0.08)
    plain = []
    for column in deviations.T:
        for sign in (1, -1):
            errors = [corner + sign * float(d) for corner, d in zip(corners, column, strict=True)]
            plain.append(max(errors) - min(errors))
    assert np.sort(spread_draws(corners, deviations), axis=None) == pytest.approx(np.sort(plain), abs=1e-6)


def test_the_standard_uncertainty_of_a_spread_is_the_standard_deviation_of_its_draws():
    """Oracle: numpy's, in double precision; also where the deviation is small beside the spread."""
    for mean, sd in ((0.05, 0.01), (2.0, 0.002)):
        drawn = np.sort(np.random.default_rng(5).normal(mean, sd, 5000)).astype(np.float32)
        assert estimate_spread(mean, drawn).u == pytest.approx(float(drawn.astype(np.float64).std()), rel=1e-6)


def test_an_interval_is_extended_to_hold_the_value_that_draws_of_a_range_leave_out():
    drawn = np.sort(np.random.default_rng(3).normal(0.05, 0.01, 2000)).astype(np.float32)
    estimate = estimate_spread(0.0, drawn)
    assert estimate.low == 0.0
    assert estimate.high == pytest.approx(0.0696, abs=0.003)


@given(st.lists(st.floats(-0.5, 0.5), min_size=5, max_size=5))
def test_no_other_start_centres_the_errors_better(errors):
    """Minimax: after the move the thinnest and the thickest are equally far from nominal."""
    move = best_start(errors)
    shift = move.distance if move.direction == "further" else -move.distance
    moved = [error + shift for error in errors]
    assert max(moved) == pytest.approx(-min(moved), abs=2e-6)
    assert move.distance >= 0


@pytest.mark.parametrize(("thickness", "direction", "distance"), [(0.88, "further", 0.12), (1.12, "closer", 0.12)])
def test_thin_everywhere_means_start_further_from_the_film(knowledge, coupons, thickness, direction, distance):
    move = measure(coupons(*[thickness] * 5), knowledge).move_start
    assert (move.direction, move.distance) == (direction, pytest.approx(distance))


def test_the_centre_counts_when_the_start_is_centred(knowledge, coupons):
    move = measure(coupons(1.0, 1.0, 1.0, 1.0, 1.2), knowledge).move_start
    assert (move.direction, move.distance) == ("closer", pytest.approx(0.1))


def test_an_offset_far_outside_its_norm_has_no_chance_of_being_fine(knowledge, coupons):
    assert measure(coupons(*[1.0] * 5), knowledge).offset_ok_probability == 1
    assert measure(coupons(*[1.4] * 5), knowledge).offset_ok_probability == 0
    assert measure(coupons(*[1.2] * 5), knowledge).offset_ok_probability == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize(
    ("five", "missing"),
    [
        ((None, 1.0, 1.0, 1.0, None), (Position.FRONT_LEFT, Position.CENTRE)),
        ((1.0, 1.0, (), None, 1.0), (Position.BACK_LEFT, Position.BACK_RIGHT)),
        (((), (), (), (), ()), POSITIONS),
    ],
)
def test_two_missing_coupons_must_be_printed_again(knowledge, coupons, five, missing):
    assert measure(coupons(*five), knowledge) == TooFew(missing)
