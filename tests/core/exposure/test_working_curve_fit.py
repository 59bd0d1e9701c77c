"""A person's own squares: Dp and Tc with uncertainty, and what speaks against the line. All squares are invented."""

from math import inf, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from core.errors import UnusableInput
from core.exposure import fit_working_curve
from core.exposure.working_curve import cure_depth, time_for_depth

TIMES = (2.0, 4.0, 8.0, 16.0, 32.0)


def kinds(curve):
    return {doubt.kind for doubt in curve.doubts}


@given(st.floats(0.03, 0.5), st.floats(0.05, 1.5))
def test_squares_on_a_line_give_the_line_back_without_doubts(depth, critical):
    curve = fit_working_curve(TIMES, [cure_depth(time, depth, critical) for time in TIMES])
    assert curve.penetration_depth.value == pytest.approx(depth, rel=1e-9)
    assert curve.critical_time.value == pytest.approx(critical, rel=1e-8)
    assert curve.doubts == ()


@given(st.floats(0.01, 2.0), st.floats(0.03, 0.5), st.floats(0.05, 5.0))
def test_depth_and_time_are_inverse(depth, penetration, critical):
    """Within the range of the law, up to e^20 times the critical time."""
    time = time_for_depth(depth, penetration, critical)
    assert cure_depth(time, penetration, critical) == pytest.approx(min(depth, 20 * penetration))


def test_the_fit_agrees_with_an_independent_regression():
    """scipy.stats.linregress on the same points: slope, its standard error, and the Student interval."""
    thick = [0.11, 0.21, 0.30, 0.42, 0.50]
    curve, other = fit_working_curve(TIMES, thick), stats.linregress(np.log(TIMES), thick)
    assert curve.penetration_depth.value == pytest.approx(other.slope)
    assert curve.penetration_depth.u == pytest.approx(other.stderr)
    half = 3.18244630528 * other.stderr  # Student t for 95 %, 3 degrees of freedom: 3.18 in JCGM 100, table G.2
    assert curve.penetration_depth.high - curve.penetration_depth.value == pytest.approx(half)
    assert log(curve.critical_time.value) == pytest.approx(-other.intercept / other.slope)


def test_both_intervals_hold_the_truth_in_95_of_100_experiments():
    """A seeded run of 400: both intervals are exact, so 95 % within three binomial deviations (3.3 %)."""
    rng = np.random.default_rng(20)
    truth = np.array([cure_depth(time, 0.12, 0.9) for time in TIMES])
    curves = [fit_working_curve(TIMES, truth + rng.normal(0, 0.008, len(TIMES))) for _ in range(400)]
    for name, true in (("penetration_depth", 0.12), ("critical_time", 0.9)):
        held = np.mean([getattr(c, name).low <= true <= getattr(c, name).high for c in curves])
        assert held == pytest.approx(0.95, abs=0.033)


def test_a_slope_that_may_be_none_leaves_the_critical_time_open():
    curve = fit_working_curve((2.0, 4.0, 8.0), (0.20, 0.10, 0.25))
    assert (curve.critical_time.low, curve.critical_time.high) == (0.0, inf)
    assert kinds(curve) == {"few_squares"}


def test_a_line_nearly_level_still_has_a_critical_time_above_zero():
    curve = fit_working_curve((2.0, 4.0, 200.0), (3.0, 3.0, 3.001))
    assert 0 < curve.critical_time.value < 1e-300


BENT = [0.10, 0.26, 0.38, 0.46, 0.50]


@pytest.mark.parametrize(
    ("times", "thick", "expected"),
    [
        (TIMES, [0.11, 0.21, 0.30, 0.42, 0.50], set()),
        (TIMES, BENT, {"curvature"}),
        (TIMES * 2, [*BENT, *(each + 0.01 for each in BENT)], {"lack_of_fit"}),
        ((2.0, 4.0, 8.0), [0.1, 0.2, 0.31], {"few_squares"}),
        ((2.0, 2.1, 2.2, 2.3, 2.4, 40.0), [0.110, 0.113, 0.125, 0.126, 0.131, 0.5], {"leverage"}),
        ((2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0),
         [0.10, 0.142, 0.168, 0.212, 0.239, 0.36, 0.308, 0.351, 0.379], {"outlier"}),
    ],
)  # fmt: skip
def test_doubts_are_named_where_they_are_due_and_only_there(words, times, thick, expected):
    curve = fit_working_curve(times, thick)
    assert kinds(curve) == expected
    for doubt in curve.doubts:
        assert words.say(f"curve.doubts.{doubt.kind}", **doubt.values)


def test_the_doubted_square_is_the_odd_one():
    times = (2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0)
    thick = [0.10, 0.142, 0.168, 0.212, 0.239, 0.36, 0.308, 0.351, 0.379]
    assert [each.values["square"] for each in fit_working_curve(times, thick).doubts] == [6]


def test_repeats_that_look_identical_are_not_believed_beyond_the_display():
    """Rounding to 0.01 mm makes repeats agree exactly; that must not turn rounding of the line into a bend."""
    thick = [0.11, 0.21, 0.30, 0.41, 0.50]
    assert kinds(fit_working_curve(TIMES * 2, thick * 2)) == {"lack_of_fit"}
    assert kinds(fit_working_curve(TIMES * 2, thick * 2, display_step=0.01)) == set()


@pytest.mark.parametrize(
    ("times", "thick", "code"),
    [
        ((2.0, 4.0), (0.1, 0.2), "curve_too_few_times"),
        ((2.0, 2.0, 4.0, 4.0), (0.1, 0.1, 0.2, 0.2), "curve_too_few_times"),
        ((2.0, 4.0, -8.0), (0.1, 0.2, 0.3), "curve_not_positive"),
        ((2.0, 4.0, 8.0), (0.1, float("nan"), 0.3), "curve_not_positive"),
        ((2.0, 4.0, 8.0), (0.3, 0.2, 0.1), "curve_does_not_rise"),
        ((2.0, 4.0, 8.0), (0.2, 0.2, 0.2), "curve_does_not_rise"),
        ((2.0, 0.5, 1.0), (1.0, 1.0, 1.0), "curve_does_not_rise"),
    ],
)
def test_squares_that_cannot_make_a_curve_are_refused_with_what_is_accepted(words, times, thick, code):
    with pytest.raises(UnusableInput) as refused:
        fit_working_curve(times, thick)
    assert [fault.code for fault in refused.value.faults] == [code]
    assert words.fault(refused.value.faults[0])


def test_as_many_times_as_thicknesses():
    with pytest.raises(ValueError, match="3 times and 2 thicknesses"):
        fit_working_curve((1.0, 2.0, 3.0), (0.1, 0.2))
