"""NIST Statistical Reference Datasets, linear regression: certified values."""

from pathlib import Path

import numpy as np
import pytest
import scipy.stats

from core.geometry.least_squares import least_squares

NORRIS = Path(scipy.stats.__file__).parent / "tests" / "data" / "nist_linregress" / "Norris.dat"


def norris():
    """Return x and y; the data stand on lines 61 to 96, as the file says of itself."""
    lines = NORRIS.read_text(encoding="utf-8").splitlines()[60:96]
    y, x = np.array([[float(value) for value in line.split()] for line in lines]).T
    return x, y


@pytest.mark.skipif(not NORRIS.exists(), reason="this build of scipy ships without its test data")
def test_norris():
    """Calibration of ozone monitors, 36 observations, lower level of difficulty."""
    x, y = norris()
    fit = least_squares(np.column_stack((np.ones_like(x), x)), y)
    assert fit.parameters == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-12)
    assert np.sqrt(np.diag(fit.covariance)) == pytest.approx([0.232818234301152, 0.429796848199937e-3], rel=1e-12)
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-12)
    assert fit.degrees_of_freedom == 34


def test_wampler1():
    """Polynomial of degree five over x = 0 to 20 that fits exactly: all parameters 1, residual 0. Generated data."""
    x = np.arange(21.0)
    design = np.vander(x, 6, increasing=True)
    fit = least_squares(design, design.sum(axis=1))
    assert fit.parameters == pytest.approx(np.ones(6), abs=1e-8)
    assert fit.residual_sd == pytest.approx(0, abs=1e-8)


def test_the_gain_is_the_same_fit():
    x, y = np.arange(21.0), np.cos(np.arange(21.0))
    fit = least_squares(np.column_stack((np.ones_like(x), x)), y)
    assert fit.gain @ y == pytest.approx(fit.parameters, rel=1e-12)
