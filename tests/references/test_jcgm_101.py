"""JCGM 101:2008, propagation of distributions by a Monte Carlo method: the additive model of clause 9.2."""

import math

import numpy as np
import pytest
import scipy.stats

from core.geometry.propagation import Gaussian, PooledScale, Rectangular, coverage_interval, half_width, propagate

TRIALS = 1_000_000


def total(*inputs):
    return sum(inputs[1:], start=inputs[0])


def rectangular(sd):
    return Rectangular(0.0, sd * math.sqrt(3))


def drawn(inputs):
    return propagate(inputs, total, TRIALS, np.random.Generator(np.random.SFC64(101)))


@pytest.mark.parametrize(
    ("inputs", "u", "end", "tolerance"),
    [
        # 9.2.2: four standard Gaussians; 2.0 and [-3.92, 3.92].
        ([Gaussian(0.0, 1.0)] * 4, 2.0, 3.919928, 0.02),
        # 9.2.3: four rectangular of unit standard deviation; [-3.88, 3.88], by annex E exactly ±2√3(2 - (3/5)^¼).
        ([rectangular(1.0)] * 4, 2.0, 2 * math.sqrt(3) * (2 - (3 / 5) ** 0.25), 0.02),
        # 9.2.4: one of them ten times as wide; u = √103 and [-17.0, 17.0] (value from memory; exactly ±17.0158).
        ([*[rectangular(1.0)] * 3, rectangular(10.0)], math.sqrt(103), 17.0158, 0.05),
    ],
    ids=["9.2.2", "9.2.3", "9.2.4"],
)
@pytest.mark.parametrize("shortest", [True, False])
def test_the_additive_model(inputs, u, end, tolerance, shortest):
    """The ends of the shortest interval scatter more between runs, most of all where the density is flat."""
    trials = drawn(inputs)
    low, high = coverage_interval(trials, shortest=shortest)
    assert trials.std(dtype=np.float64) == pytest.approx(u, rel=0.003)
    assert (high - low) / 2 == pytest.approx(end, abs=tolerance)
    assert (low + high) / 2 == pytest.approx(0, abs=0.25 if shortest else tolerance)
    assert half_width(trials) == pytest.approx(end, abs=tolerance)


def test_the_exact_end_of_four_rectangular_inputs():
    """Annex E: the 95 % end is 3.879407; the sum's own distribution function confirms it (Irwin-Hall)."""
    end = 2 * math.sqrt(3) * (2 - (3 / 5) ** 0.25)
    assert end == pytest.approx(3.879407, abs=5e-7)
    in_widths = end / (2 * math.sqrt(3)) + 2
    beyond = (4 - in_widths) ** 4 / 24
    assert beyond == pytest.approx(0.025)


@pytest.mark.parametrize(("degrees_of_freedom", "t"), [(2, 4.303), (4, 2.776), (10, 2.228)])
def test_a_pooled_standard_deviation_gives_students_t(degrees_of_freedom, t):
    """6.4.9: scaled and shifted t, here as a Gaussian times the scale; end by JCGM 100 table G.2."""
    trials = propagate(
        [Gaussian(0.0, 1.0), PooledScale(degrees_of_freedom)],
        lambda gauss, scale: gauss * scale,
        TRIALS,
        np.random.Generator(np.random.SFC64(102)),
    )
    assert half_width(trials) == pytest.approx(t, rel=0.01)
    assert scipy.stats.kstest(trials[:20_000], scipy.stats.t(degrees_of_freedom).cdf).pvalue > 0.001


@pytest.mark.parametrize(
    ("quantity", "law"),
    [
        (Rectangular(2.0, 0.5), scipy.stats.uniform(1.5, 1.0)),
        (Gaussian(2.0, 0.5), scipy.stats.norm(2.0, 0.5)),
        (PooledScale(5), None),
    ],
)
def test_every_distribution_has_the_uncertainty_it_states(quantity, law):
    """6.4.2 rectangular, 6.4.7 Gaussian: Kolmogorov-Smirnov against scipy's, and standard deviation of the draws."""
    trials = quantity.draw(np.random.Generator(np.random.SFC64(103)), 200_000)
    assert trials.std(dtype=np.float64) == pytest.approx(quantity.u, rel=0.03 if law is None else 0.01)
    if law is not None:
        assert scipy.stats.kstest(trials[:20_000], law.cdf).pvalue > 0.001


def test_blocks_hold_as_many_trials_as_were_asked_for():
    rng = np.random.Generator(np.random.SFC64(1))
    for trials in (1, 3, 19_999, 20_001, 40_000):
        assert propagate([Rectangular(0.0, 1.0), Gaussian(0.0, 1.0)], total, trials, rng).shape == (trials,)


def test_the_shortest_interval_of_a_skewed_law_leans_to_its_dense_side():
    """5.3.4, our arithmetic: for an exponential law the shortest 95 % interval starts at zero and ends at -ln 0.05."""
    trials = np.random.default_rng(5).exponential(1.0, 400_000).astype(np.float32)
    low, high = coverage_interval(trials)
    assert low == pytest.approx(0, abs=0.005)
    assert high == pytest.approx(-math.log(0.05), abs=0.03)
    low, high = coverage_interval(trials, shortest=False)
    assert low == pytest.approx(-math.log(0.975), abs=0.002)
    assert high == pytest.approx(-math.log(0.025), abs=0.05)
