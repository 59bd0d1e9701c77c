"""J. Cohen, Educational and Psychological Measurement 20 (1960) 37: a common worked example of kappa, quoted."""

import pytest

from core.statistics.agreement import agree


def test_the_worked_example_has_a_kappa_of_point_four():
    found = agree({("yes", "yes"): 20, ("yes", "no"): 5, ("no", "yes"): 10, ("no", "no"): 15})
    assert found.kappa == pytest.approx(0.40)
    assert found.percent.value == pytest.approx(0.70)
