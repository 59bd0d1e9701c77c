"""Benjamini & Hochberg, Journal of the Royal Statistical Society B 57 (1995) 289: the example of 15 p-values."""

import pytest

from core.statistics.trends import adjust_for_many

P_VALUES = (
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201),
    *(0.0278, 0.0298, 0.0344, 0.0459, 0.3240),
    *(0.4262, 0.5719, 0.6528, 0.7590, 1.0),
)


def test_four_of_fifteen_are_rejected_at_a_false_discovery_rate_of_one_in_twenty():
    adjusted = adjust_for_many(P_VALUES)
    assert [p <= 0.05 for p in adjusted] == [True] * 4 + [False] * 11


def test_the_order_of_the_p_values_does_not_matter():
    adjusted = dict(zip(P_VALUES, adjust_for_many(P_VALUES), strict=True))
    backwards = adjust_for_many(P_VALUES[::-1])
    assert backwards == pytest.approx([adjusted[p] for p in P_VALUES[::-1]])
