"""Montgomery, Design and Analysis of Experiments, addition of centre points to the 2^k design (values from memory).

A 2² design in standard order with five centre points; they recompute from the definitions. Our contrasts are half the
effects, since an effect is the change from low to high and a contrast that from the middle to high.
"""

import statistics

import pytest

from core.geometry.contrasts import solve
from core.geometry.model import CONTRASTS
from core.report import CORNERS, Position

CORNER_YIELDS = (39.3, 40.9, 40.0, 41.5)
CENTRE_YIELDS = (40.3, 40.5, 40.7, 40.2, 40.6)


@pytest.fixture
def contrasts():
    """Standard order is (-,-), (+,-), (-,+), (+,+): front left, front right, back left, back right."""
    yields = dict(zip(CORNERS, CORNER_YIELDS, strict=True)) | {Position.CENTRE: statistics.mean(CENTRE_YIELDS)}
    solution = solve(yields, dict.fromkeys(yields, 1.0), 0.0, {})
    return dict(zip(CONTRASTS, solution.values.tolist(), strict=True))


def test_main_effects_and_interaction(contrasts):
    assert 2 * contrasts["tilt_x"] == pytest.approx(1.55)
    assert 2 * contrasts["tilt_y"] == pytest.approx(0.65)
    assert 2 * contrasts["twist"] == pytest.approx(-0.05)
    assert contrasts["offset"] == pytest.approx(40.425)


def test_curvature(contrasts):
    """Sum of squares n_F n_C (mean_F - mean_C)² / (n_F + n_C) = 0.0027; the difference itself is our crown."""
    assert contrasts["crown"] == pytest.approx(40.46 - 40.425)
    assert 4 * 5 * contrasts["crown"] ** 2 / 9 == pytest.approx(0.0027, abs=0.00005)


def test_error_mean_square():
    """Variance of the centre points, four degrees of freedom: 0.0430."""
    assert statistics.variance(CENTRE_YIELDS) == pytest.approx(0.0430)
