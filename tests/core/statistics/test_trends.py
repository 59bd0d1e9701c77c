"""Trends over months against a slow enumeration, and their false alarms counted."""

from itertools import product
from math import comb

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.statistics.trends import MOST_EXACT, Trend, adjust_for_many, find_trend


def enumerate_p(counts, totals):
    """Return the two-sided p-value by listing every table with the same totals."""
    having, n = sum(counts), sum(totals)
    centre = sum(t * m for t, m in enumerate(totals)) / n
    away = abs(sum(t * x for t, x in enumerate(counts)) - having * centre)
    p = 0.0
    for table in product(*(range(m + 1) for m in totals)):
        if sum(table) == having and abs(sum(t * x for t, x in enumerate(table)) - having * centre) >= away - 1e-9:
            p += np.prod([float(comb(m, x)) for m, x in zip(totals, table, strict=True)]) / comb(n, having)
    return p


@pytest.mark.parametrize(
    ("counts", "totals"),
    [
        ((0, 1, 3), (4, 5, 4)),
        ((4, 2, 0, 0), (5, 4, 3, 4)),
        ((1, 1, 1, 1), (3, 3, 3, 3)),
        ((5, 0, 4), (6, 0, 5)),
        ((0, 0, 0, 2), (9, 2, 1, 2)),
        ((6, 5, 4), (6, 6, 6)),
    ],
)
def test_small_counts_are_enumerated(counts, totals):
    trend = find_trend(counts, totals)
    assert trend.method == "exact"
    assert trend.p == pytest.approx(enumerate_p(counts, totals), abs=1e-12)


@given(st.lists(st.tuples(st.integers(0, 20), st.integers(0, 20)), max_size=10))
def test_a_trend_read_backwards_only_changes_its_sign(months):
    counts, totals = [a for a, _ in months], [a + b for a, b in months]
    there, back = find_trend(counts, totals), find_trend(counts[::-1], totals[::-1])
    assert there.z == pytest.approx(-back.z, abs=1e-9)
    assert there.p == pytest.approx(back.p, abs=1e-9)
    assert 0 <= there.p <= 1


def test_the_normal_form_is_close_where_it_takes_over(monkeypatch):
    """At the border between the methods the two p-values differ by less than .005."""
    counts, totals = (5, 6, 9, 10), (40, 55, 60, 45)
    assert sum(counts) == MOST_EXACT
    exact = find_trend(counts, totals)
    monkeypatch.setattr("core.statistics.trends.MOST_EXACT", MOST_EXACT - 1)
    normal = find_trend(counts, totals)
    assert (exact.method, normal.method) == ("exact", "normal")
    assert normal.p == pytest.approx(exact.p, abs=0.005)


@pytest.mark.parametrize(
    ("counts", "totals"),
    [((), ()), ((3,), (9,)), ((0, 0), (5, 6)), ((5, 6), (5, 6)), ((2, 0), (4, 0)), ((0, 0, 0), (0, 0, 0))],
    ids=["no month", "one month", "never", "always", "one month with cases", "no cases"],
)
def test_where_no_trend_can_show_none_is_claimed(counts, totals):
    assert find_trend(counts, totals) == Trend(0.0, 1.0, "none")


def test_a_steady_rise_is_found_and_rises():
    trend = find_trend((5, 12, 20, 31, 40), (100, 100, 100, 100, 100))
    assert trend.z > 5
    assert trend.p < 1e-6


@pytest.mark.parametrize(("counts", "totals"), [((1,), (1, 2)), ((3, 1), (2, 2)), ((-1, 1), (2, 2))])
def test_counts_beyond_their_totals_are_refused(counts, totals):
    with pytest.raises(ValueError, match="month"):
        find_trend(counts, totals)


def test_twenty_causes_without_a_trend_rarely_cry_wolf():
    """In 50 invented communities without any trend, one with any alarm is about 5 % of them, not 64 %."""
    rng = np.random.default_rng(7)
    alarms, raw = 0, 0
    for _ in range(50):
        totals = rng.integers(20, 60, size=6).tolist()
        shares = rng.uniform(0.02, 0.2, size=20)
        p = [find_trend(rng.binomial(totals, share).tolist(), totals).p for share in shares]
        alarms += min(adjust_for_many(p)) <= 0.05
        raw += min(p) <= 0.05
    assert alarms <= 7
    assert raw > 15


@given(st.lists(st.floats(0, 1), max_size=30))
def test_adjusted_values_keep_the_order_and_never_shrink(p):
    adjusted = adjust_for_many(p)
    assert all(one - 1e-12 <= other <= 1 for one, other in zip(p, adjusted, strict=True))
    order = np.argsort(p, kind="stable")
    assert (np.diff(np.array(adjusted)[order]) >= 0).all()


def test_a_value_that_is_no_probability_is_refused():
    with pytest.raises(ValueError, match="p-value"):
        adjust_for_many([0.5, 1.5])
