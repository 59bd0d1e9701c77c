"""R. G. Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3: Wilson score intervals at 95 %."""

import pytest

from core.statistics.intervals import share_of


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_table_of_score_intervals(count, of, low, high):
    share = share_of(count, of)
    assert (round(share.low, 4), round(share.high, 4)) == (low, high)
