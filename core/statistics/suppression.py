"""Counts of cases in, tables out that can be published without giving a small group of people away.

The rule, in four sentences.

1. Cases are published in periods: as many whole calendar months as it takes to gather enough of them; a case belongs to
   the period in which it ended, a period is counted once, when its last month is over, and its figures never change.
2. What holds for a longer time is the sum of published figures, never a new count.
3. Groups too small to be shown are put together until none is: with the smallest of the others if need be.
4. In a table of two sides a small cell is withheld as part of a block: at least two rows by two columns, in the block
   all withheld, and each of its rows and columns with enough cases in the block.

Why that holds against subtraction. *Dates:* two publications differ by whole periods (1, 2), each of which is safe by
itself; a case erased, reopened or confirmed late changes no figure, so nothing can be learned from a change. *Totals:*
a pool of two or more groups says only its sum, and each of them may be anything from 0 to it (3). Even to somebody who
knows every other cell, a block says only its row sums r and column sums c, with total T: cell (i, j) may be anything
from max(0, r_i + c_j - T) to min(r_i, c_j). That is a width of min(r_i, c_j, T - r_i, T - c_j), and T - r_i is at least
another row's sum, so rule 4 makes each of the four large enough. *Commands:* all tables of a period count the same
cases (what is not known is a group too), and no two-sided tables form a ring (``refuse_rings``); then any filling of
one table fits any filling of another with the same sums at its sides, so a second table cannot narrow the first.

It does not hide from a person what that person already knows, and the choice of what joins a pool or a block follows
the counts; both are true of all suppression. Source of the limit of ten and of hiding a second cell: Office for
National Statistics; US Centers for Medicare & Medicaid Services, cell-size policy. Width of a cell with known sums:
Fréchet 1940, Hoeffding 1940 (bounds of a table with given margins; from memory). This file must never know what is
counted.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Group:
    """One published figure: the cases of one name, or of several put together."""

    names: tuple[str, ...]
    count: int


def close_periods(
    ended: Sequence[int], enough: int, enough_after: tuple[int, int] | None = None
) -> tuple[tuple[int, int], ...]:
    """Divide whole months into periods that each hold enough cases.

    Args:
        ended: Cases that ended in each complete calendar month, oldest first, starting with the first month ever. A
            later call with more months yields the same periods and perhaps further ones.
        enough: Least number of cases of a period.
        enough_after: So many months after which so many cases are enough, for a small community: one that at its pace
            would not reach ``enough`` in twice as many months.

    Returns:
        First month of each period and the month after its last. Months after the last period wait.
    """
    periods: list[tuple[int, int]] = []
    first, held = 0, 0
    months, fewer = enough_after or (len(ended) + 1, enough)
    for month, count in enumerate(ended):
        held += count
        waited = month - first + 1
        slow = waited >= 2 * months or 2 * held < enough
        if held >= enough or (held >= fewer and waited >= months and slow):
            periods.append((first, month + 1))
            first, held = month + 1, 0
    return tuple(periods)


def pool_small(counts: Mapping[str, int], least: int) -> tuple[Group, ...]:
    """Put groups with fewer than ``least`` cases together, so that every figure is at least that.

    Name every group that could have cases: the absence of a name would tell that it has none.

    A pool has at least two names. If the small ones together are too few, or there is only one, the smallest of the
    others joins them. A group without cases is small: that nobody had it tells too.

    Returns:
        A partition of the names, in their order, the pool last; one group where nothing else is possible, and none
        where all cases together are fewer than ``least``.
    """
    if sum(counts.values()) < least:
        return ()
    shown = sorted((name for name, count in counts.items() if count >= least), key=lambda name: counts[name])
    pool = {name for name, count in counts.items() if count < least}
    while shown and pool and (len(pool) == 1 or sum(counts[name] for name in pool) < least):
        pool.add(shown.pop(0))
    singles = tuple(Group((name,), count) for name, count in counts.items() if name not in pool)
    pooled = tuple(name for name in counts if name in pool)
    return (*singles, Group(pooled, sum(counts[name] for name in pooled))) if pooled else singles


def pool_adjacent(counts: Sequence[int], least: int) -> tuple[tuple[int, int, int], ...]:
    """Put neighbouring bins together until each holds at least ``least``.

    Returns:
        First bin, the bin after the last, and the count of each group, a partition of the bins; none where all cases
        together are fewer than ``least``.
    """
    groups: list[tuple[int, int, int]] = []
    first, held = 0, 0
    for at, count in enumerate(counts):
        held += count
        if held >= least:
            groups.append((first, at + 1, held))
            first, held = at + 1, 0
    if groups and first < len(counts):
        start, _, before = groups.pop()
        groups.append((start, len(counts), before + held))
    return tuple(groups)


@dataclass(frozen=True, slots=True)
class Published:
    """A two-sided table as it may be shown.

    Attributes:
        rows, columns: Its sides, put together by ``pool_small``; their counts are its totals.
        cells: Count of each row and column; ``None`` where withheld. What the withheld cells of a row or column
            hold together follows from its total.
    """

    rows: tuple[Group, ...]
    columns: tuple[Group, ...]
    cells: tuple[tuple[int | None, ...], ...]


def publish_table(
    counts: Mapping[tuple[str, str], int],
    least: int,
    rows: Sequence[Group] | None = None,
    columns: Sequence[Group] | None = None,
) -> Published:
    """Return a two-sided table in which no withheld cell can be recovered.

    Args:
        counts: (row, column) to cases; a pair that is not named has none. Every case of the period is in one cell, and
            every row and column that could have cases is named, or its absence would tell that it has none.
        least: Least figure shown, and least width of the interval in which a withheld cell may lie.
        rows: One side where it is put together already, each group with at least ``least`` cases in the table; by
            ``pool_small`` if not given.
        columns: The other side, likewise.
    """
    if rows is None:
        rows = pool_small(_side(counts, 0), least)
    if columns is None:
        columns = pool_small(_side(counts, 1), least)
    table = np.array(
        [[sum(counts.get(cell, 0) for cell in product(one.names, other.names)) for other in columns] for one in rows],
        dtype=np.int64,
    ).reshape(len(rows), len(columns))
    hidden = _withheld(table, least)
    cells = tuple(
        tuple(None if off else int(count) for count, off in zip(row, row_off, strict=True))
        for row, row_off in zip(table, hidden, strict=True)
    )
    return Published(tuple(rows), tuple(columns), cells)


def refuse_rings(tables: Collection[tuple[str, str]]) -> None:
    """Raise ``ValueError`` if two-sided tables, named by their two sides, form a ring.

    Three tables a × b, b × c and c × a over the same cases narrow each other's cells; without a ring they cannot (such
    a family of margins is decomposable: Lauritzen, Graphical Models, 1996, 4.4, from memory).
    """
    part: dict[str, str] = {}

    def root(side: str) -> str:
        while part.setdefault(side, side) != side:
            side = part[side]
        return side

    for one, other in tables:
        if root(one) == root(other):
            raise ValueError(f"tables form a ring that {one} × {other} closes")
        part[root(one)] = root(other)


@dataclass(frozen=True, slots=True)
class Total:
    """Cases of one name over several periods: those shown, and those shown or in a pool with others."""

    at_least: int
    at_most: int

    @property
    def exact(self) -> bool:
        """Whether the name was shown by itself in every period."""
        return self.at_least == self.at_most


def add_periods(periods: Sequence[Sequence[Group]], least: int = 0) -> Mapping[str, Total]:
    """Return what the published figures of several periods say about each name.

    Args:
        periods: Groups of each period, made by ``pool_small``.
        least: What they were made with, to add what follows from the rule itself: a pool that holds more than the
            small ones and another could hold has only names with fewer than ``least``.
    """
    low: dict[str, int] = {}
    high: dict[str, int] = {}
    for groups in periods:
        alone = min((group.count for group in groups if len(group.names) == 1), default=0)
        for group in groups:
            pooled = len(group.names) > 1
            only_small = pooled and group.count >= least + alone and alone
            most = min(group.count, least - 1) if only_small and least else group.count
            for name in group.names:
                low[name] = low.get(name, 0) + (0 if pooled else group.count)
                high[name] = high.get(name, 0) + most
    return {name: Total(low[name], high[name]) for name in low}


# ---- the blocks that are withheld ------------------------------------------------------------------


def _side(counts: Mapping[tuple[str, str], int], at: int) -> Mapping[str, int]:
    side: dict[str, int] = {}
    for cell, count in counts.items():
        side[cell[at]] = side.get(cell[at], 0) + count
    return side


def _withheld(table: NDArray[np.int64], least: int) -> NDArray[np.bool_]:
    """Return which cells are withheld: all small ones, each in a block.

    For each small cell in turn the block is taken that withholds the fewest further cases: of two by two, two rows by
    all columns in which they hold enough together, two columns by such rows, and the whole table, which always is a
    block since every row and column of the table holds enough.
    """
    hidden = np.zeros(table.shape, dtype=np.bool_)
    for row, column in np.argwhere(table < least).tolist():
        # A cell hidden by now is part of a block.
        if min(table.shape) > 1 and not hidden[row, column]:
            shown = np.where(hidden, 0, table)
            tried = (
                _cheapest_square(table, shown, row, column, least),
                _cheapest_pair(table, shown, row, column, least),
                _turned(_cheapest_pair(table.T, shown.T, column, row, least)),
                (int(shown.sum()), list(range(table.shape[0])), list(range(table.shape[1]))),
            )
            _, rows, columns = min((one for one in tried if one is not None), key=lambda one: one[0])
            hidden[np.ix_(rows, columns)] = True
    return hidden


_Block = tuple[int, list[int], list[int]]
"""Cases withheld further, rows, columns."""


def _cheapest_square(
    table: NDArray[np.int64], shown: NDArray[np.int64], row: int, column: int, least: int
) -> _Block | None:
    """Return the cheapest block of two rows by two columns with a cell, if there is one."""
    across, down, corner = table[row][None, :], table[:, column][:, None], table[row, column]
    fits = (corner + down >= least) & (across + table >= least) & (corner + across >= least) & (down + table >= least)
    fits[row, :] = False
    fits[:, column] = False
    if not fits.any():
        return None
    costs = shown + shown[row][None, :] + shown[:, column][:, None] + shown[row, column]
    other, beside = divmod(int(np.where(fits, costs, np.iinfo(np.int64).max).argmin()), table.shape[1])
    return int(costs[other, beside]), [row, other], [column, beside]


def _cheapest_pair(
    table: NDArray[np.int64], shown: NDArray[np.int64], row: int, column: int, least: int
) -> _Block | None:
    """Return the cheapest block of two rows by all columns in which they hold enough, if there is one with a cell."""
    enough = table + table[row] >= least
    fits = enough[:, column] & (enough.sum(axis=1) > 1)
    fits &= ((enough * table).sum(axis=1) >= least) & ((enough * table[row]).sum(axis=1) >= least)
    fits[row] = False
    if not fits.any():
        return None
    costs = (enough * (shown + shown[row])).sum(axis=1)
    other = int(np.where(fits, costs, np.iinfo(np.int64).max).argmin())
    return int(costs[other]), [row, other], np.flatnonzero(enough[other]).tolist()


def _turned(block: _Block | None) -> _Block | None:
    return None if block is None else (block[0], block[2], block[1])
