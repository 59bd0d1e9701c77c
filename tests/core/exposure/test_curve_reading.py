"""Reading a curve at a time or a depth: the band is the textbook's, the times its inverse. Squares are invented."""

from math import inf, log, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from core.exposure import fit_working_curve
from core.exposure.curve_reading import depth_at, time_needed
from core.exposure.working_curve import cure_depth

TIMES = (2.0, 4.0, 8.0, 16.0, 32.0)
THICK = (0.11, 0.21, 0.30, 0.42, 0.50)
CURVE = fit_working_curve(TIMES, THICK)


def confidence_band(times, thick, at):
    """Return value and half width of the line at ``at`` by the textbook formula on scipy's regression."""
    x = np.log(times)
    line = stats.linregress(x, thick)
    residuals = np.asarray(thick) - line.intercept - line.slope * x
    s = sqrt((residuals**2).sum() / (len(x) - 2))
    u = s * sqrt(1 / len(x) + (log(at) - x.mean()) ** 2 / ((x - x.mean()) ** 2).sum())
    return line.intercept + line.slope * log(at), stats.t.ppf(0.975, len(x) - 2) * u


@pytest.mark.parametrize("at", [0.5, 2.0, 7.0, 32.0, 90.0])
def test_the_band_is_the_confidence_band_of_a_straight_line(at):
    value, half = confidence_band(TIMES, THICK, at)
    depth = depth_at(CURVE, at)
    assert depth.value == pytest.approx(value)
    assert (depth.low, depth.high) == pytest.approx((value - half, value + half))


def test_no_depth_needs_the_critical_time_itself():
    time = time_needed(CURVE, 0.0)
    expected = CURVE.critical_time
    assert (time.value, time.low, time.high, time.u) == pytest.approx(
        (expected.value, expected.low, expected.high, expected.u)
    )


@given(st.floats(0.0, 0.7))
def test_at_the_ends_of_the_time_range_the_band_just_holds_the_depth(depth):
    """Fieller's range is the set of times at which the band of the line holds the depth."""
    time = time_needed(CURVE, depth)
    assert time.low < time.value < time.high
    assert cure_depth(time.value, CURVE.penetration_depth.value, CURVE.critical_time.value) == pytest.approx(
        depth, abs=1e-9
    )
    assert depth_at(CURVE, time.low).high == pytest.approx(depth, abs=1e-9)
    assert depth_at(CURVE, time.high).low == pytest.approx(depth, abs=1e-9)


def test_the_time_range_holds_the_truth_in_95_of_100_experiments():
    """A seeded run of 400, as for Dp and Tc: within three binomial deviations (3.3 %)."""
    rng = np.random.default_rng(21)
    truth = np.array([cure_depth(time, 0.12, 0.9) for time in TIMES])
    wanted, held = 0.075, 0
    true_time = 0.9 * np.exp(wanted / 0.12)
    for _ in range(400):
        time = time_needed(fit_working_curve(TIMES, truth + rng.normal(0, 0.008, len(TIMES))), wanted)
        held += time.low <= true_time <= time.high
    assert held / 400 == pytest.approx(0.95, abs=0.033)


def test_a_slope_that_may_be_none_leaves_the_time_open():
    time = time_needed(fit_working_curve((2.0, 4.0, 8.0), (0.20, 0.10, 0.25)), 0.1)
    assert (time.low, time.high) == (0.0, inf)
