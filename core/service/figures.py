"""Published figures in, what a moderator asks for out: shares with intervals, trends, distributions, quality.

In: a Publication. Out: frozen values; every figure says from how many cases. Pure, and made of nothing but what was
published: whatever a small group would give away is put together, withheld or rounded before it arrives here
(``core.cases.release``), so any sum or difference of it may be shown. This file must never know words or pictures.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from core.cases.published import Period, Publication
from core.cases.release import Bins
from core.cases.rows import OTHER
from core.cases.tallies import (
    BINS_STATED,
    CLASSES,
    HOURS_BIN,
    HOURS_BINS,
    IMPROVED,
    MM_BIN,
    RANGES_MM,
    UNKNOWN,
)
from core.knowledge import Knowledge
from core.service.figure import CauseTrend, Distribution, Figure, Quality
from core.statistics.agreement import Agreement, agree_by_chance
from core.statistics.calibration import Mistaken, ReliabilityBin, calibration_error, rank_mistakes
from core.statistics.distributions import Histogram, quantile_of
from core.statistics.durations import TypicalTime, typical_time
from core.statistics.intervals import Difference, difference_of, share_of
from core.statistics.suppression import Group, Published, Total, add_periods, pool_adjacent
from core.statistics.trends import adjust_for_many, find_trend

QUARTILES = (0.1, 0.25, 0.5, 0.75, 0.9)

PARTS: Mapping[str, tuple[str, ...]] = {
    "causes": ("cause", "suspected"),
    **{side: (f"cause_{side}",) for side in CLASSES},
    "remedies": ("step_ending", "fixed", "waiting"),
    "trend": ("cause",),
    "readings": (*RANGES_MM, "improved"),
    "quality": (
        *("cause", "cause_result", "stated_result", "alike", "by_chance", "brier"),
        *(f"stated_{at}" for at in range(BINS_STATED)),
    ),
}
"""What of a publication is needed for what."""


@dataclass(frozen=True)
class Figures:
    """All that can be said of a publication. ``least`` is the smallest group that is shown."""

    publication: Publication
    knowledge: Knowledge
    least: int = field(default=10)

    @cached_property
    def cases(self) -> int:
        """Ended cases that are published."""
        return sum(period.cases for period in self.publication.periods)

    @cached_property
    def causes(self) -> tuple[str, ...]:
        """Every cause a case may have, and that none is known."""
        return (*self.knowledge.causes, OTHER, UNKNOWN)

    def confirmed(self) -> tuple[Figure, ...]:
        """Return how many cases had each confirmed cause, most first; the last is how many have none."""
        return self._one_side("cause")

    def suspected(self) -> tuple[Figure, ...]:
        """Return how many cases that nobody confirmed were thought to have each cause, most first."""
        return self._one_side("suspected")

    def by_class(self, side: str) -> tuple[tuple[str, int, tuple[Figure, ...]], ...]:
        """Return, for each class of ``side`` that may be shown, its cases and how many had each confirmed cause."""
        tables = self._tables(f"cause_{side}")
        shown = []
        for name in CLASSES[side]:
            of, figures = _in_class(tables, name, self.causes)
            if of:
                shown.append((name, of, tuple(sorted(figures, key=lambda one: (-one.at_least, -one.at_most)))))
        return tuple(shown)

    def raised(self) -> Figure | None:
        """Return how many had raised exposure before, of those who told; ``None`` where that is withheld.

        Where only a few did not tell, they are among those who did.
        """
        low = high = told = 0
        for table in self._tables("cause_raised"):
            told += sum(group.count for group in table.columns if group.names != (UNKNOWN,))
            low += sum(group.count for group in table.columns if group.names == ("yes",))
            high += sum(group.count for group in table.columns if "yes" in group.names)
        return _figure("yes", Total(low, high), told) if low else None

    def kinds(self, side: str, name: str) -> tuple[Figure, ...]:
        """Return how many of a class's cases with a confirmed cause had one of each kind, most first.

        Only of the periods that show how many of the class have no confirmed cause.
        """
        low: dict[str, int] = {cause.kind: 0 for cause in self.knowledge.causes.values()}
        high = dict(low)
        of = 0
        for table in self._tables(f"cause_{side}"):
            at, none = _place(table.columns, name), _place(table.rows, UNKNOWN)
            unknown = None if at is None or none is None else table.cells[none][at]
            if at is None or unknown is None:
                continue
            of += table.columns[at].count - unknown
            left = table.columns[at].count - sum(cells[at] or 0 for cells in table.cells)
            for kind in low:
                mine = [
                    (cells[at], self._kinds_of(group)) for group, cells in zip(table.rows, table.cells, strict=True)
                ]
                low[kind] += sum(count or 0 for count, kinds in mine if kinds == {kind})
                high[kind] += sum(count or 0 for count, kinds in mine if kind in kinds)
                high[kind] += left if any(count is None and kind in kinds for count, kinds in mine) else 0
        figures = [_figure(kind, Total(low[kind], high[kind]), of) for kind in low]
        return tuple(sorted(figures, key=lambda one: -one.at_least)) if of else ()

    def _kinds_of(self, group: Group) -> set[str]:
        causes = self.knowledge.causes
        return {causes[name].kind if name in causes else name for name in group.names}

    def steps(self) -> tuple[Figure, ...]:
        """Return, of the cases in which a step was advised first, how many it fixed; most cases first."""
        tables = self._tables("step_ending")
        found = [_in_row(tables, name, "step") for name in self.knowledge.remedies]
        return tuple(sorted((one for one in found if one is not None), key=lambda one: (-one.of, one.name)))

    def compare_steps(self, first: str, second: str) -> tuple[Figure, Figure, Difference] | None:
        """Return by how much more often the first step fixed a case than the second; ``None`` if withheld."""
        by_name = {one.name: one for one in self.steps()}
        one, other = by_name.get(first), by_name.get(second)
        if one is None or other is None or not (one.exact and other.exact):
            return None
        return one, other, difference_of(share_of(one.at_least, one.of), share_of(other.at_least, other.of))

    def time_to_fix(self) -> TypicalTime:
        """Return the median time from question to fix, hours; what ended without a fix counts as still waiting."""
        done, waiting = (_spread(self._bins(name), HOURS_BINS) for name in ("fixed", "waiting"))
        return typical_time(done, waiting, HOURS_BIN)

    def trends(self) -> tuple[CauseTrend, ...]:
        """Return the trends over the periods of all causes shown by themselves in each, surest first."""
        groups = [period.shown.sides["cause"] for period in self._periods]
        totals = [period.cases for period in self._periods]
        named = []
        for name in self.knowledge.causes:
            counts = [next((one.count for one in held if one.names == (name,)), None) for held in groups]
            known = [count for count in counts if count is not None]
            if len(known) == len(groups):
                named.append((name, known))
        found = [find_trend(counts, totals) for _, counts in named]
        adjusted = adjust_for_many([one.p for one in found])
        trends = [
            CauseTrend(name, trend, p, tuple(share_of(count, of) for count, of in zip(counts, totals, strict=True)))
            for (name, counts), trend, p in zip(named, found, adjusted, strict=True)
        ]
        return tuple(sorted(trends, key=lambda one: (one.adjusted, one.name)))

    def readings(self) -> tuple[Distribution, ...]:
        """Return where spread, offset and crown of first readings lie."""
        return tuple(self._distribution(name, *range_mm) for name, range_mm in RANGES_MM.items())

    def improvement(self) -> Distribution:
        """Return by how much the spread became smaller where it was measured again."""
        return self._distribution("improved", *IMPROVED)

    def quality(self) -> Quality:
        """Return how good the triage was."""
        bins = self._reliability()
        brier = [
            (period.shown.scores["brier"], period.cases - _count_of(period.shown.sides["cause"], UNKNOWN))
            for period in self._periods
            if "brier" in period.shown.scores
        ]
        judged = sum(cases for _, cases in brier)
        return Quality(
            first=self._ranked({"first"}),
            first_three=self._ranked({"first", "three"}),
            bins=bins,
            calibration_error=calibration_error(bins),
            brier=sum(score * cases for score, cases in brier) / judged if judged else None,
            brier_cases=judged,
            agreement=self._agreement(),
            mistakes=self._mistakes(),
        )

    # ---- below ----

    @property
    def _periods(self) -> Sequence[Period]:
        return self.publication.periods

    def _tables(self, name: str) -> Sequence[Published]:
        return [period.shown.tables[name] for period in self._periods if name in period.shown.tables]

    def _bins(self, name: str) -> Sequence[Bins]:
        return [period.shown.bins[name] for period in self._periods if name in period.shown.bins]

    def _one_side(self, name: str) -> tuple[Figure, ...]:
        periods = [period for period in self._periods if name in period.shown.sides]
        of = sum(period.cases for period in periods)
        totals = add_periods([period.shown.sides[name] for period in periods], self.least)
        figures = [_figure(one, total, of) for one, total in totals.items()]
        return tuple(sorted(figures, key=lambda one: (one.name == UNKNOWN, -one.at_least, -one.at_most, one.name)))

    def _distribution(self, name: str, start: float, bins: int) -> Distribution:
        published = self._bins(name)
        below, *counts, above = _spread(published, bins + 2)
        histogram = Histogram(start, MM_BIN, tuple(counts), below, above)
        quantiles = {share: quantile_of(histogram, share) for share in QUARTILES}
        return Distribution(
            name=name,
            cases=histogram.total,
            exact=all(one.exact for one in published),
            quantiles={share: one for share, one in quantiles.items() if one is not None},
            bins=tuple(
                (start + first * MM_BIN, start + end * MM_BIN, count)
                for first, end, count in pool_adjacent(counts, self.least)
            ),
        )

    def _ranked(self, results: set[str]) -> Figure | None:
        low = high = of = 0
        for period in self._periods:
            table = period.shown.tables.get("stated_result")
            if table is not None:
                # A cause that no verdict can name was missed.
                of += sum(group.count for group in table.columns) + _count_of(period.shown.sides["cause"], OTHER)
                low += sum(group.count for group in table.columns if set(group.names) <= results)
                high += sum(group.count for group in table.columns if set(group.names) & results)
        return _figure("", Total(low, high), of) if of else None

    def _reliability(self) -> tuple[ReliabilityBin, ...]:
        sums: dict[tuple[int, int], tuple[float, int, int]] = {}
        for period in self._periods:
            table = period.shown.tables.get("stated_result")
            at = None if table is None else _place(table.columns, "first")
            if table is None or at is None:
                continue
            for group, cells in zip(table.rows, table.cells, strict=True):
                came = cells[at]
                if came is not None:
                    ends = int(group.names[0]), int(group.names[-1]) + 1
                    stated, true, of = sums.get(ends, (0.0, 0, 0))
                    mean = period.shown.scores[f"stated_{group.names[0]}"]
                    sums[ends] = (stated + mean * group.count, true + came, of + group.count)
        return tuple(
            ReliabilityBin(first / BINS_STATED, end / BINS_STATED, stated, share_of(true, of))
            for (first, end), (stated, true, of) in sorted(sums.items())
        )

    def _agreement(self) -> Agreement:
        alike = of = 0
        chance = 0.0
        for period in self._periods:
            groups = period.shown.sides.get("alike", ())
            by_chance = period.shown.scores.get("by_chance")
            yes, no = (_count_of(groups, name) for name in ("yes", "no"))
            if by_chance is not None and yes and no:
                alike, of, chance = alike + yes, of + yes + no, chance + by_chance * (yes + no)
        return agree_by_chance(alike, of, chance / of if of else 0.0)

    def _mistakes(self) -> tuple[Mistaken, ...]:
        """Return what was missed: causes that stand by themselves, and all of a kind."""
        named: dict[tuple[str, str], int] = {}
        for table in self._tables("cause_result"):
            at = _place(table.columns, "first")
            for group, cells in zip(table.rows, table.cells, strict=True):
                count, kinds = None if at is None else cells[at], self._kinds_of(group)
                if count is None:
                    continue
                for name in (*(group.names if len(group.names) == 1 else ()), *(kinds if len(kinds) == 1 else ())):
                    for said, cases in ((name, count), ("", group.count - count)):
                        named[name, said] = named.get((name, said), 0) + cases
        return rank_mistakes(named)


def _place(groups: Sequence[Group], name: str) -> int | None:
    """Return where a name stands by itself."""
    return next((at for at, group in enumerate(groups) if group.names == (name,)), None)


def _count_of(groups: Sequence[Group], name: str) -> int:
    """Return the count of a name that stands by itself, or 0."""
    at = _place(groups, name)
    return 0 if at is None else groups[at].count


def _figure(name: str, total: Total, of: int) -> Figure:
    low, high = share_of(total.at_least, of).low, share_of(total.at_most, of).high
    return Figure(name, total.at_least, total.at_most, of, low, high)


def _in_class(tables: Sequence[Published], name: str, rows: Sequence[str]) -> tuple[int, list[Figure]]:
    """Return a class's cases and causes over the periods that show it by itself; no cases where none does."""
    low: dict[str, int] = dict.fromkeys(rows, 0)
    high: dict[str, int] = dict.fromkeys(rows, 0)
    of = 0
    for table in tables:
        at = _place(table.columns, name)
        if at is None:
            continue
        column = table.columns[at].count
        of += column
        shown = sum(cells[at] or 0 for cells in table.cells)
        for group, cells in zip(table.rows, table.cells, strict=True):
            count = cells[at]
            for row in group.names:
                alone = len(group.names) == 1
                low[row] = low.get(row, 0) + (count if count is not None and alone else 0)
                high[row] = high.get(row, 0) + (min(group.count, column - shown) if count is None else count)
    return of, [_figure(row, Total(low[row], high[row]), of) for row in low] if of else []


def _in_row(tables: Sequence[Published], name: str, column: str) -> Figure | None:
    """Return how many of a row's cases stand in a column, over the periods that show the row by itself."""
    low = high = of = 0
    for table in tables:
        row = _place(table.rows, name)
        if row is None:
            continue
        of += table.rows[row].count
        at = next(at for at, group in enumerate(table.columns) if column in group.names)
        count = table.cells[row][at]
        low += count if count is not None and table.columns[at].names == (column,) else 0
        high += count if count is not None else table.rows[row].count - sum(cell or 0 for cell in table.cells[row])
    return _figure(name, Total(low, high), of) if of else None


def _spread(published: Sequence[Bins], bins: int) -> list[int]:
    """Return counts by bin, the cases of each group spread evenly over its bins."""
    counts = [0] * bins
    for one in published:
        for first, end, count in one.groups:
            width = end - first
            for at in range(width):
                counts[first + at] += (at + 1) * count // width - at * count // width
    return counts
