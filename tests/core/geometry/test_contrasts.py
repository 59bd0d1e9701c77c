"""The five contrasts: what each of them is, what it ignores, and what a lost coupon costs."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.geometry.contrasts import design_matrix, solve, stand_in
from core.geometry.model import CONTRASTS
from core.report import CORNERS, POSITIONS, Position

FRONT_LEFT, FRONT_RIGHT, BACK_LEFT, BACK_RIGHT = CORNERS
ERROR = st.floats(-0.6, 0.6).map(lambda value: round(value, 4))
FIVE = st.tuples(ERROR, ERROR, ERROR, ERROR, ERROR)


def contrasts(errors, u=0.016, common_u=0.013, stand_ins=None):
    solution = solve(errors, dict.fromkeys(errors, u), common_u, stand_ins or {})
    return dict(zip(CONTRASTS, solution.values, strict=True)), solution.covariance


def of(five):
    return dict(zip(POSITIONS, five, strict=True))


@given(FIVE)
def test_the_contrasts_are_what_their_definitions_say(five):
    """Oracle: the definitions written out, each by its own arithmetic."""
    fl, fr, bl, br, c = five
    values, _ = contrasts(of(five))
    mean = (fl + fr + bl + br) / 4
    assert values == pytest.approx(
        {
            "offset": mean,
            "tilt_x": ((fr + br) / 2 - (fl + bl) / 2) / 2,
            "tilt_y": ((bl + br) / 2 - (fl + fr) / 2) / 2,
            "twist": (fl + br - fr - bl) / 4,
            "crown": c - mean,
        },
        abs=1e-12,
    )


@given(FIVE, st.floats(-0.3, 0.3))
def test_a_shift_of_all_five_changes_only_the_offset(five, shift):
    before, _ = contrasts(of(five))
    after, _ = contrasts(of([value + shift for value in five]))
    assert after == pytest.approx({**before, "offset": before["offset"] + shift}, abs=1e-12)


@given(FIVE)
def test_a_mirror_left_to_right_flips_tilt_x_and_twist(five):
    fl, fr, bl, br, c = five
    before, _ = contrasts(of(five))
    after, _ = contrasts(of((fr, fl, br, bl, c)))
    flipped = {"tilt_x": -before["tilt_x"], "twist": -before["twist"]}
    assert after == pytest.approx({**before, **flipped}, abs=1e-12)


@given(FIVE, st.floats(-3, 3))
def test_scaling_the_errors_scales_every_contrast(five, factor):
    before, _ = contrasts(of(five))
    after, _ = contrasts(of([factor * value for value in five]))
    assert after == pytest.approx({name: factor * value for name, value in before.items()}, abs=1e-12)


@given(FIVE)
def test_the_errors_can_be_put_together_again_from_the_contrasts(five):
    solution = solve(of(five), dict.fromkeys(POSITIONS, 0.01), 0.01, {})
    assert design_matrix(POSITIONS) @ solution.values == pytest.approx(np.array(five), abs=1e-12)


def test_equal_readings_give_the_variances_of_the_two_level_design():
    """XᵀX = diag(4, 4, 4) for the corner contrasts: u/2 each; u√1.25 for the crown; offset and crown share -u²/4."""
    u = 0.02
    _, covariance = contrasts(of([0.0] * 5), u=u, common_u=0.0)
    expected = np.diag([u * u / 4] * 4 + [u * u * 1.25])
    expected[0, 4] = expected[4, 0] = -u * u / 4
    assert covariance == pytest.approx(expected, abs=1e-15)


def test_what_all_share_enters_the_offset_and_nothing_else():
    _, without = contrasts(of([0.0] * 5), common_u=0.0)
    _, shared = contrasts(of([0.0] * 5), common_u=0.013)
    difference = shared - without
    assert difference[0, 0] == pytest.approx(0.013**2)
    difference[0, 0] = 0.0
    assert not difference.any()


@pytest.mark.parametrize("lost", CORNERS)
@given(st.tuples(ERROR, ERROR, ERROR))
def test_a_plane_is_estimated_right_whichever_corner_is_lost(lost, plane):
    offset, tilt_x, tilt_y = plane
    errors = {p: offset + tilt_x * p.x + tilt_y * p.y for p in POSITIONS if p is not lost}
    values, _ = contrasts(errors, stand_ins={"twist": 0.03})
    expected = {"offset": offset, "tilt_x": tilt_x, "tilt_y": tilt_y, "twist": 0.0, "crown": 0.0}
    assert values == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("lost", "name", "sd"), [*((c, "twist", 0.03) for c in CORNERS), (Position.CENTRE, "crown", 0.1)]
)
def test_the_covariance_with_a_lost_coupon_is_that_of_simulated_plates(lost, name, sd):
    """Oracle: true plates drawn from the prior, readings drawn around them, estimates by textbook formulas."""
    rng = np.random.default_rng(7)
    trials, u, common_u = 200_000, 0.016, 0.013
    truth = np.zeros((5, trials))
    truth[CONTRASTS.index(name)] = rng.normal(0, sd, trials)
    x = np.array([p.x for p in POSITIONS])
    y = np.array([p.y for p in POSITIONS])
    rim = np.array([1, 1, 1, 1, 0])
    errors = truth[3] * (x * y)[:, None] + truth[4] * (1 - rim)[:, None]
    errors = errors + rng.normal(0, u, (5, trials)) + rng.normal(0, common_u, trials)
    fl, fr, bl, br, c = errors
    if name == "crown":
        c = (fl + fr + bl + br) / 4
    else:
        parallelogram = {
            FRONT_LEFT: fr + bl - br,
            FRONT_RIGHT: fl + br - bl,
            BACK_LEFT: fl + br - fr,
            BACK_RIGHT: fr + bl - fl,
        }
        fl, fr, bl, br = (parallelogram[p] if p is lost else e for p, e in zip(CORNERS, (fl, fr, bl, br), strict=True))
    mean = (fl + fr + bl + br) / 4
    estimates = np.array([mean, (fr + br - fl - bl) / 4, (bl + br - fl - fr) / 4, (fl + br - fr - bl) / 4, c - mean])
    simulated = np.cov(estimates - truth)

    _, covariance = contrasts(
        {p: 0.0 for p in POSITIONS if p is not lost}, u=u, common_u=common_u, stand_ins={name: sd}
    )
    sds = np.sqrt(np.diag(simulated))
    assert np.sqrt(np.diag(covariance)) == pytest.approx(sds, rel=0.01)
    assert covariance / np.outer(sds, sds) == pytest.approx(simulated / np.outer(sds, sds), abs=0.015)


def test_a_lost_corner_has_the_prior_of_the_twist_four_times_over():
    """Lost corner = linear combination of the others, give or take four times the twist."""
    lost = BACK_RIGHT
    errors = {p: 0.0 for p in POSITIONS if p is not lost}
    solution = solve(errors, dict.fromkeys(errors, 0.01), 0.0, {"twist": 0.03})
    row = design_matrix([lost])[0]
    assert row @ solution.covariance @ row == pytest.approx(3 * 0.01**2 + (4 * 0.03) ** 2)


def test_nothing_stands_in_where_nothing_is_missing():
    assert stand_in(None) is None
    assert [stand_in(corner) for corner in CORNERS] == ["twist"] * 4
    assert stand_in(Position.CENTRE) == "crown"
