"""Published tables against an attacker who solves the system of everything that was ever published."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from core.statistics.suppression import (
    Group,
    Total,
    add_periods,
    close_periods,
    pool_adjacent,
    pool_small,
    publish_table,
    refuse_rings,
)

LEAST = 10
MOST_ATTACKED = 14
"""Counts tried in each example; which ones is drawn."""
SIDES = {"cause": 4, "adjusters": 3, "outcome": 3}
TABLES = (("cause", "adjusters"), ("cause", "outcome"))


class Attacker:
    """Knows every published figure and that counts are not negative, and asks how low and high a count may be."""

    def __init__(self, shape):
        self.shape = shape
        self.rows, self.sums = [], []

    def learns(self, marked, count):
        self.rows.append(marked.ravel())
        self.sums.append(count)

    def width(self, marked):
        ends = [
            linprog(sign * marked.ravel(), A_eq=np.array(self.rows), b_eq=self.sums, bounds=(0, None)).fun
            for sign in (1, -1)
        ]
        return -ends[1] - ends[0]


def mark(shape, period, **fixed):
    """Mark the cases of a period that have the given values, lists of positions, on some sides."""
    marked = np.zeros(shape)
    at = [fixed.get(side, range(size)) for side, size in SIDES.items()]
    marked[np.ix_([period], *at)] = 1
    return marked


def names(side):
    return [f"{side}{k}" for k in range(SIDES[side])]


def at(side, group):
    return [names(side).index(name) for name in group.names]


def counts_of(cases, side):
    axis = tuple(k for k, one in enumerate(SIDES) if one != side)
    return dict(zip(names(side), cases.sum(axis=axis).tolist(), strict=True))


def counts_of_two(cases, one, other):
    (axis,) = (k for k, side in enumerate(SIDES) if side not in {one, other})
    table = cases.sum(axis=axis)
    return {(a, b): int(table[i, j]) for (i, a), (j, b) in product(enumerate(names(one)), enumerate(names(other)))}


def publish_everything(attacker, cases):
    """Tell the attacker all tables of all periods; return what was not shown, as marked counts."""
    hidden = []
    for period, of_period in enumerate(cases):
        attacker.learns(mark(attacker.shape, period), of_period.sum())
        for side in SIDES:
            counts = counts_of(of_period, side)
            for group in pool_small(counts, LEAST):
                attacker.learns(mark(attacker.shape, period, **{side: at(side, group)}), group.count)
            shown = {group.names[0] for group in pool_small(counts, LEAST) if len(group.names) == 1}
            hidden += [
                mark(attacker.shape, period, **{side: [k]}) for k, name in enumerate(names(side)) if name not in shown
            ]
        for one, other in TABLES:
            counts = counts_of_two(of_period, one, other)
            table = publish_table(counts, LEAST)
            shown = set()
            for (i, row), (j, column) in product(enumerate(table.rows), enumerate(table.columns)):
                if table.cells[i][j] is not None:
                    cell = {one: at(one, row), other: at(other, column)}
                    attacker.learns(mark(attacker.shape, period, **cell), table.cells[i][j])
                    shown |= {(*row.names, *column.names)}
            hidden += [
                mark(attacker.shape, period, **{one: [i], other: [j]})
                for (i, a), (j, b) in product(enumerate(names(one)), enumerate(names(other)))
                if (a, b) not in shown
            ]
    return hidden


@st.composite
def cases_of_two_periods(draw):
    """Counts of every cause, adjuster and outcome, mostly small, some large, so that tables are mixed."""
    seed = draw(st.integers(0, 10**6))
    scale = draw(st.sampled_from([1, 3, 8, 20, 60]))
    rng = np.random.default_rng(seed)
    cases = np.stack([rng.poisson(scale * rng.gamma(0.5, 2, tuple(SIDES.values()))) for _ in range(2)])
    cases[:, 0, 0, 0] += LEAST
    return cases


@settings(max_examples=18, deadline=None)
@given(cases_of_two_periods())
def test_no_withheld_count_is_known_to_within_ten(cases):
    """All one-sided and two-sided tables of two periods together; sums over the periods are sums of these figures."""
    attacker = Attacker(cases.shape)
    hidden = publish_everything(attacker, cases)
    for at_random in np.random.default_rng(1).permutation(len(hidden))[:MOST_ATTACKED].tolist():
        assert attacker.width(hidden[at_random]) >= LEAST - 1e-6


def test_the_attacker_recovers_a_cell_where_only_small_cells_are_left_out():
    """Or the test above could not fail: one small cell beside a total is a subtraction."""
    shape = (1, *SIDES.values())
    cases = np.full(shape, 20)
    cases[0, 1, 1, :] = 1
    attacker = Attacker(shape)
    for one in ("cause", "adjusters"):
        for k, count in enumerate(counts_of(cases[0], one).values()):
            attacker.learns(mark(shape, 0, **{one: [k]}), count)
    for (i, j), count in np.ndenumerate(cases[0].sum(axis=2)):
        if count >= LEAST:
            attacker.learns(mark(shape, 0, cause=[i], adjusters=[j]), count)
    assert attacker.width(mark(shape, 0, cause=[1], adjusters=[1])) == pytest.approx(0.0, abs=1e-6)
    protected = Attacker(shape)
    publish_everything(protected, cases)
    assert protected.width(mark(shape, 0, cause=[1], adjusters=[1])) >= LEAST


@settings(max_examples=200, deadline=None)
@given(st.dictionaries(st.sampled_from("abcdefgh"), st.integers(0, 40), min_size=1))
def test_a_pool_partitions_the_names_and_shows_nothing_small(counts):
    groups = pool_small(counts, LEAST)
    if sum(counts.values()) < LEAST:
        assert groups == ()
        return
    assert sorted(name for group in groups for name in group.names) == sorted(counts)
    for group in groups:
        assert group.count == sum(counts[name] for name in group.names) >= LEAST
        assert len(group.names) > 1 or counts[group.names[0]] >= LEAST


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(0, 200), max_size=24), st.lists(st.integers(0, 200), max_size=12))
def test_a_later_month_changes_no_earlier_period(before, later):
    """Figures once published stay: periods close for good, hold enough cases, and leave no month out."""
    first, then = close_periods(before, 200), close_periods([*before, *later], 200)
    assert then[: len(first)] == first
    assert [start for start, _ in then] == [0, *(end for _, end in then)][: len(then)]
    assert all(sum([*before, *later][start:end]) >= 200 for start, end in then)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(0, 30), max_size=20))
def test_neighbouring_bins_join_until_each_group_is_large_enough(counts):
    groups = pool_adjacent(counts, LEAST)
    if sum(counts) < LEAST:
        assert groups == ()
        return
    assert [k for start, end, _ in groups for k in range(start, end)] == list(range(len(counts)))
    assert all(count == sum(counts[start:end]) >= LEAST for start, end, count in groups)


def test_a_lone_small_group_takes_the_smallest_large_one_with_it():
    assert pool_small({"tilt": 40, "debris": 3, "crown": 12}, LEAST) == (
        Group(("tilt",), 40),
        Group(("debris", "crown"), 15),
    )


def test_a_group_without_cases_is_not_shown_as_none():
    assert pool_small({"tilt": 40, "crown": 12, "debris": 0}, LEAST)[-1] == Group(("crown", "debris"), 12)


def test_a_table_of_large_cells_is_shown_whole():
    table = publish_table({("a", "x"): 10, ("a", "y"): 30, ("b", "x"): 20, ("b", "y"): 11}, LEAST)
    assert table.cells == ((10, 30), (20, 11))


def test_a_small_cell_takes_a_block_with_it_and_leaves_the_rest():
    counts = {(row, column): 50 for row in "abc" for column in "xyz"} | {("a", "x"): 2}
    cells = publish_table(counts, LEAST).cells
    assert cells == ((None, None, 50), (None, None, 50), (50, 50, 50))


def test_a_longer_time_adds_published_figures_and_says_what_a_pool_leaves_open():
    spring = pool_small({"tilt": 40, "debris": 12, "crown": 11}, LEAST)
    summer = pool_small({"tilt": 30, "debris": 4, "crown": 9}, LEAST)
    assert add_periods([spring, summer]) == {"tilt": Total(70, 70), "debris": Total(12, 25), "crown": Total(11, 24)}
    assert Total(70, 70).exact
    assert not Total(12, 25).exact


def test_a_pool_too_large_to_hold_anything_but_small_ones_says_so():
    """What follows from the rule is told: with 50 in a pool and 30 the smallest shown, no pooled name can have ten."""
    small = dict.fromkeys("bcdefg", 9)
    groups = pool_small({"a": 30, **small}, LEAST)
    assert add_periods([groups], LEAST)["b"] == Total(0, 9)
    drawn = pool_small({"a": 30, "b": 12, "c": 3}, LEAST)
    assert add_periods([drawn], LEAST) == {"a": Total(30, 30), "b": Total(0, 15), "c": Total(0, 15)}


def test_a_small_community_closes_a_quarter_and_a_middling_one_waits_for_enough():
    """Thirty in three months are enough only where five hundred would be too long in coming."""
    assert close_periods([10] * 6, 500, (3, 30)) == ((0, 3), (3, 6))
    assert close_periods([125] * 8, 500, (3, 30)) == ((0, 4), (4, 8))
    assert close_periods([84] * 6, 500, (3, 30)) == ((0, 6),)
    assert close_periods([5] * 5, 500, (3, 30)) == ()


def test_three_tables_in_a_ring_are_refused():
    """Two tables that share a side may be published together; a third one that closes the ring narrows their cells."""
    refuse_rings([("cause", "adjusters"), ("cause", "homing"), ("remedy", "outcome")])
    with pytest.raises(ValueError, match="ring"):
        refuse_rings([("cause", "adjusters"), ("cause", "homing"), ("homing", "adjusters")])
