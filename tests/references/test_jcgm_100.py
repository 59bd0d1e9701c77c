"""JCGM 100:2008, Guide to the expression of uncertainty in measurement (GUM): its examples through our functions."""

import math

import numpy as np
import pytest

from core.geometry.least_squares import least_squares
from core.geometry.uncertainty import coverage_factor, effective_degrees_of_freedom, rectangular_u, step_u

THERMOMETER_C = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTION_C = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


def test_a_rectangular_limit_is_divided_by_root_three():
    """4.3.7, example 1: copper's expansion, a = 0.40e-6 per kelvin, u = 0.23e-6."""
    assert rectangular_u(0.40e-6) == pytest.approx(0.23e-6, abs=0.005e-6)


def test_a_digital_step_leaves_029_of_itself():
    """F.2.2.1: u = 0.29 δx; a step of 0.01 mm leaves 0.002887 mm."""
    assert step_u(1.0) == pytest.approx(0.29, abs=0.005)
    assert step_u(0.01) == pytest.approx(0.002887, abs=5e-7)


@pytest.mark.parametrize(
    ("degrees_of_freedom", "t"),
    [
        (1, 12.71),
        (2, 4.30),
        (3, 3.18),
        (4, 2.78),
        (5, 2.57),
        (10, 2.23),
        (16, 2.12),
        (20, 2.09),
        (50, 2.01),
        (math.inf, 1.960),
    ],
)
def test_the_coverage_factor_is_students_t(degrees_of_freedom, t):
    """Table G.2, column 95 %."""
    assert coverage_factor(degrees_of_freedom) == pytest.approx(t, abs=0.005)


def test_four_equal_parts_of_ten_degrees_of_freedom_have_forty():
    """G.4.1, Welch-Satterthwaite."""
    assert effective_degrees_of_freedom([(0.5, 10)] * 4) == pytest.approx(40)


def test_the_thermometer_calibration_line():
    """H.3: line through eleven corrections, reference temperature 20 °C; table H.6 and H.3.3."""
    t = np.array(THERMOMETER_C)
    fit = least_squares(np.column_stack((np.ones_like(t), t - 20)), CORRECTION_C)
    u = np.sqrt(np.diag(fit.covariance))
    assert fit.parameters[0] == pytest.approx(-0.1712, abs=0.00005)
    assert fit.parameters[1] == pytest.approx(0.00218, abs=0.000005)
    assert u[0] == pytest.approx(0.0029, abs=0.00005)
    assert u[1] == pytest.approx(0.00067, abs=0.000005)
    assert fit.covariance[0, 1] / (u[0] * u[1]) == pytest.approx(-0.930, abs=0.0005)
    assert fit.residual_sd == pytest.approx(0.0035, abs=0.00005)
    value, standard = fit.predict((1.0, 10.0))
    assert value == pytest.approx(-0.1494, abs=0.00005)
    assert standard == pytest.approx(0.0041, abs=0.00005)
