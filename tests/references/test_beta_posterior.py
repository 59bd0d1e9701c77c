"""Gelman et al., Bayesian Data Analysis, 3rd ed., 2.4: 437 girls of 980 births, uniform prior (value from memory)."""

import pytest

from core.statistics.posterior import learn_chance


def test_the_posterior_is_beta_438_544():
    after = learn_chance(0.5, 2, 437, 980)
    assert (after.yes, after.no) == (438, 544)
    assert after.mean == pytest.approx(0.446, abs=5e-4)
    assert (after.low, after.high) == pytest.approx((0.415, 0.477), abs=5e-4)
