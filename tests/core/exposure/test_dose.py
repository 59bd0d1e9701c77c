"""Dose through the layer stack, the ramp, and the step at the top of the burn-in."""

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.exposure.corners import exact
from core.exposure.dose import dose_step, last_step, lit_time, profile_dose, ramp, ramp_length
from core.exposure.model import Quantity


def profile(transition=0, *, burn_in=30.0, layers=5, normal=2.5, depth=None):
    return profile_dose(
        burn_in_layers=layers,
        burn_in=burn_in,
        transition_layers=transition,
        normal=normal,
        layer_height=exact(0.05, "mm"),
        penetration_depth=depth or exact(0.10, "mm"),
        step_ratio=1.5,
    )


def test_a_ramp_falls_in_equal_times_between_its_ends():
    assert ramp(30.0, 3.0, 2) == pytest.approx([21.0, 12.0])
    assert ramp(30.0, 3.0, 0).size == 0


@given(st.floats(1.01, 100.0), st.integers(0, 40))
def test_the_last_step_of_a_ramp_is_its_steepest(ratio, layers):
    """Oracle: every neighbouring pair of the whole sequence."""
    exposures = np.array([ratio, *ramp(ratio, 1.0, layers), 1.0])
    assert last_step(ratio, layers) == pytest.approx((exposures[:-1] / exposures[1:]).max())


@given(st.floats(1.0, 200.0), st.floats(1.1, 4.0))
def test_a_ramp_is_as_short_as_its_mean_step_allows(ratio, step):
    """The mean step of n layers is R^(1/(n+1)): within the norm, and beyond it with one layer less."""
    layers = ramp_length(ratio, step)
    assert ratio ** (1 / (layers + 1)) <= step * (1 + 1e-6)
    assert layers == 0 or ratio ** (1 / layers) > step * (1 - 1e-6)


@pytest.mark.parametrize(("ratio", "layers"), [(0.8, 0), (1.0, 0), (1.5, 0), (2.25, 1), (2.3, 2), (12.0, 6)])
def test_ramps_by_hand(ratio, layers):
    """1.5² is 2.25, so one layer between takes exactly two steps; ln 12 / ln 1.5 is 6.1, so seven steps."""
    assert ramp_length(ratio, 1.5) == layers


def test_the_step_without_a_ramp_matches_its_closed_form():
    """T + c t/(1 - c) over t/(1 - c) is R(1 - c) + c."""
    c = exp(-0.5)
    assert profile().step.value == pytest.approx(12 * (1 - c) + c)


@given(st.floats(5.0, 100.0), st.floats(0.5, 4.0), st.integers(0, 30))
def test_the_step_lies_at_the_ends_of_the_resin_range(burn_in, normal, transition):
    """Monotone in Dp, so that two corners are the whole interval: no depth between them gives more or less."""
    steps = [dose_step(burn_in, normal, transition, 0.05, depth) for depth in np.geomspace(0.04, 0.2, 15)]
    assert min(steps) == pytest.approx(min(steps[0], steps[-1]))
    assert max(steps) == pytest.approx(max(steps[0], steps[-1]))


def test_a_ramp_softens_no_layer_of_the_burn_in_but_lowers_the_last_step():
    assert profile(6).ramp_step < profile(0).ramp_step
    assert profile(6).step.value > profile(0).step.value


@given(st.integers(1, 20), st.integers(0, 12))
def test_dose_never_rises_away_from_the_plate_and_holds_its_range(layers, transition):
    shown = profile(transition, layers=layers, depth=Quantity(0.09, 0.04, 0.2, "mm")).layers
    doses = [layer.dose_s for layer in shown]
    assert doses == pytest.approx(sorted(doses, reverse=True))
    for layer in shown:
        assert layer.exposure_s <= layer.low_s <= layer.dose_s <= layer.high_s
    assert [layer.kind for layer in shown[:layers]] == ["burn_in"] * layers
    assert sum(layer.kind == "transition" for layer in shown) == transition


def test_the_print_is_taken_to_go_on_beyond_what_is_shown():
    """All normal layers shown get the same, t/(1 - c), for want of an end."""
    normal = [layer.dose_s for layer in profile().layers if layer.kind == "normal"]
    assert normal == pytest.approx([2.5 / (1 - exp(-0.5))] * len(normal))


def test_lit_time_counts_burn_in_and_ramp():
    assert lit_time(profile(2, burn_in=30.0, layers=4, normal=3.0)) == pytest.approx(120 + 21 + 12)
