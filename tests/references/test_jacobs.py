"""P. F. Jacobs, Fundamentals of Stereolithography, 1992: the working curve.

The worked numbers are quoted by way of a secondary text and recomputed: Dp 0.10 mm, Ec 8 and E 60 mJ/cm² cure
0.20149 mm. At one irradiance exposures are in the ratio of times, so 60 over 8 seconds stand for them.
"""

import pytest

from core.exposure.working_curve import cure_depth, time_for_depth


def test_the_worked_example_cures_a_fifth_of_a_millimetre():
    assert cure_depth(60.0, 0.10, 8.0) == pytest.approx(0.20149, abs=5e-6)


def test_the_worked_example_read_backwards_needs_its_exposure():
    assert time_for_depth(0.20149, 0.10, 8.0) == pytest.approx(60.0, abs=0.001)


@pytest.mark.parametrize(("exposure", "depths"), [(1.0, 0.0), (2.718281828459045, 1.0), (7.38905609893065, 2.0)])
def test_each_factor_of_e_buys_one_penetration_depth(exposure, depths):
    """Follows from Cd = Dp ln(E/Ec): the slope of the working curve on a logarithmic axis is Dp."""
    assert cure_depth(8.0 * exposure, 0.10, 8.0) == pytest.approx(0.10 * depths, abs=1e-12)
