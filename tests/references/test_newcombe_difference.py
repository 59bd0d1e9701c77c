"""R. G. Newcombe, Statistics in Medicine 17 (1998) 873, table II, method 10 (value from memory, recomputes)."""

import pytest

from core.statistics.intervals import difference_of, share_of


def test_the_example_of_two_independent_shares():
    difference = difference_of(share_of(56, 70), share_of(48, 80))
    assert difference.value == pytest.approx(0.2)
    assert (round(difference.low, 4), round(difference.high, 4)) == (0.0524, 0.3339)
