"""NIST Statistical Reference Datasets, Norris (linear regression, n = 36), through the fit of a working curve.

The certified line is y = B0 + B1 x. The fit wants times, so x becomes t = exp(x/10), and thicknesses above 0, so y
is shifted by 1: then Dp = 10 B1 and Tc = exp(-(B0 + 1)/(10 B1)). The certified values survive this to the rounding of
exp and ln. The data file is the one scipy ships with its own tests.
"""

from importlib.resources import files
from math import exp, sqrt

import numpy as np
import pytest

from core.exposure import fit_working_curve

B0, B0_SE = -0.262323073774029, 0.232818234301152
B1, B1_SE = 1.00211681802045, 0.429796848199937e-3
RESIDUAL_SD = 0.884796396144373


@pytest.fixture(scope="module")
def curve():
    lines = (files("scipy.stats") / "tests/data/nist_linregress/Norris.dat").read_text().splitlines()
    y, x = np.array([[float(word) for word in line.split()] for line in lines[60:96]]).T
    assert len(x) == 36
    return fit_working_curve(np.exp(x / 10).tolist(), (y + 1).tolist()), x


def test_the_slope_is_the_certified_one(curve):
    depth = curve[0].penetration_depth
    assert depth.value / 10 == pytest.approx(B1, rel=1e-12)
    assert depth.u / 10 == pytest.approx(B1_SE, rel=1e-11)


def test_the_residual_scatter_is_the_certified_one(curve):
    assert curve[0].residual_s == pytest.approx(RESIDUAL_SD, rel=1e-12)
    assert curve[0].degrees_of_freedom == 34


def test_the_critical_time_follows_from_the_certified_line(curve):
    assert curve[0].critical_time.value == pytest.approx(exp(-(B0 + 1) / (10 * B1)), rel=1e-10)


def test_the_uncertainty_of_the_critical_time_follows_from_the_certified_standard_errors(curve):
    """First order, JCGM 100:2008, 5.2.2: u(ln Tc) from both standard errors and cov(B0, B1) = -mean(x) u²(B1)."""
    fitted, x = curve
    crossing = -(B0 + 1) / B1
    variance = B0_SE**2 + crossing**2 * B1_SE**2 - 2 * crossing * x.mean() * B1_SE**2
    expected = exp(crossing / 10) * sqrt(variance) / B1 / 10
    assert fitted.critical_time.u == pytest.approx(expected, rel=1e-9)
