"""Beer-Lambert law summed over a stack of equal layers: a geometric series. Derived, not published.

With h 0.05 mm and Dp 0.10 mm a layer passes on e^-0.5 = .60653 of its light; endlessly many layers give
1/(1 - .60653) = 2.54149.
"""

from math import exp

import numpy as np
import pytest

from core.exposure.dose import stack_doses

H, DP = 0.05, 0.10


def test_the_layer_below_gets_the_carry_over():
    assert stack_doses([0.0, 1.0], H, DP)[0] == pytest.approx(0.60653, abs=5e-6)


def test_endlessly_many_layers_give_the_infinite_sum():
    assert stack_doses([1.0], H, DP, beyond=1.0)[0] == pytest.approx(2.54149, abs=5e-6)


def test_many_layers_approach_the_infinite_sum():
    assert stack_doses(np.ones(200), H, DP)[0] == pytest.approx(2.54149, abs=5e-6)


@pytest.mark.parametrize("count", [1, 2, 5, 30])
def test_a_finite_stack_matches_the_closed_form(count):
    """The sum is t (1 - c^n)/(1 - c) with c = exp(-h/Dp)."""
    c = exp(-H / DP)
    assert stack_doses(np.full(count, 3.0), H, DP)[0] == pytest.approx(3.0 * (1 - c**count) / (1 - c), rel=1e-12)


def test_unequal_layers_match_the_sum_written_out():
    """E_i = Σ_{j ≥ i} t_j exp(-(j - i)h/Dp), as a plain double loop."""
    times = [30.0, 30.0, 21.0, 12.0, 3.0, 3.0]
    written_out = [sum(times[j] * exp(-(j - i) * H / DP) for j in range(i, len(times))) for i in range(len(times))]
    assert stack_doses(times, H, DP) == pytest.approx(written_out, rel=1e-12)
