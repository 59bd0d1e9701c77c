"""The closed forms agree with quadrature and with an independent library (scipy)."""

import math

import pytest
from scipy import integrate, stats

from core.diagnosis.densities import (
    binary_entropy,
    one_sided_ratio,
    rectified_mean,
    scale_ratio,
    two_sided_ratio,
)

VALUES = (-0.4, -0.1, 0.0, 0.05, 0.2, 0.4, 0.9)


def seen_rayleigh(value: float, u: float, scale: float) -> float:
    """Density of a Rayleigh value seen with a normal error, by quadrature."""
    density, _ = integrate.quad(
        lambda true: stats.rayleigh.pdf(true, scale=scale) * stats.norm.pdf(value, true, u),
        0,
        8 * scale,
        points=[max(value, 0.0)],
        limit=200,
    )
    return density


@pytest.mark.parametrize("mean", [-2.0, -0.3, 0.0, 0.3, 2.0])
@pytest.mark.parametrize("sd", [0.05, 0.5])
def test_the_rectified_mean_is_the_integral_of_the_positive_part(mean, sd):
    expected, _ = integrate.quad(lambda x: x * stats.norm.pdf(x, mean, sd), 0, max(mean, 0) + 12 * sd, limit=200)
    assert rectified_mean(mean, sd) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("value", VALUES[1:])
def test_a_one_sided_ratio_is_the_ratio_of_the_two_seen_densities(value):
    """The first value is left out: its density is beyond what quadrature resolves."""
    expected = math.log(seen_rayleigh(value, 0.04, 0.45)) - stats.norm.logpdf(value, 0, math.hypot(0.12, 0.04))
    assert one_sided_ratio(value, 0.04, 0.12, 0.45) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("value", VALUES)
def test_a_two_sided_ratio_allows_either_way(value):
    faulty = (seen_rayleigh(value, 0.05, 0.2) + seen_rayleigh(-value, 0.05, 0.2)) / 2
    expected = math.log(faulty) - stats.norm.logpdf(value, 0, math.hypot(0.06, 0.05))
    assert two_sided_ratio(value, 0.05, 0.06, 0.2) == pytest.approx(expected, abs=1e-6)
    assert two_sided_ratio(value, 0.05, 0.06, 0.2) == pytest.approx(two_sided_ratio(-value, 0.05, 0.06, 0.2))


@pytest.mark.parametrize("size", [0.0, 0.1, 0.3, 1.0])
def test_a_scale_ratio_is_that_of_two_rayleigh_sizes(size):
    """The size of an isotropic pair of normals is Rayleigh; its own factor cancels in the ratio."""
    sound, faulty = math.hypot(0.1, 0.03), math.hypot(0.6, 0.03)
    small = max(size, 1e-9)
    expected = stats.rayleigh.logpdf(small, scale=faulty) - stats.rayleigh.logpdf(small, scale=sound)
    assert scale_ratio(size, 0.03, 0.1, 0.6) == pytest.approx(expected, abs=1e-9)


def test_ratios_stay_finite_where_a_density_underflows():
    assert math.isfinite(one_sided_ratio(-50.0, 0.01, 0.1, 0.4))
    assert math.isfinite(two_sided_ratio(40.0, 0.01, 0.1, 0.4))


@pytest.mark.parametrize(("probability", "bits"), [(0.0, 0.0), (0.5, 1.0), (1.0, 0.0), (0.25, 0.811278)])
def test_binary_entropy(probability, bits):
    assert binary_entropy(probability) == pytest.approx(bits, abs=1e-6)
