"""JCGM 100:2008, H.3: the calibration line of a thermometer, and what it predicts outside its range."""

import numpy as np
import pytest

from core.exposure import fit_working_curve
from core.exposure.curve_reading import depth_at


def test_a_prediction_from_the_line_has_the_published_value_and_uncertainty():
    """JCGM 100:2008, H.3.4: b(30 °C) = -0.1494 with u = 0.0041; data and results read in the guide.

    The curve is a line in ln t and its thickness is positive, so temperatures enter as exp((t - 20 °C)/K) and
    corrections as 1 + b.
    """
    t = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
    b = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
    curve = fit_working_curve(np.exp(np.array(t) - 20).tolist(), [1 + each for each in b])
    predicted = depth_at(curve, float(np.exp(10.0)))
    assert predicted.value - 1 == pytest.approx(-0.1494, abs=5e-5)
    assert predicted.u == pytest.approx(0.0041, abs=5e-5)
