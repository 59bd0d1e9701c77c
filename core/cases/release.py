"""Counts of one period in, what may be shown of it out, once and for all. Pure.

Everything that is ever shown is made from what leaves here, so that nothing is derived from the count of a small group.

* All tables count the same cases. A side that follows from others is never shown beside them, or it would narrow them:
  what a verdict suspected is shown of cases without a confirmed cause alone, and how right it was of confirmed ones.
* A cell that must be empty is no cell to hide others behind. So rows that can have one result only stand outside a
  table, where they are shown by themselves, or disappear in a pool.
* Figures of different commands that one subtraction would join are shown together or not at all: fixes, and those of
  them that the advised step made, differ by the fixes made otherwise, which may be few.
* A mean or a score is shown of enough cases and rounded. It is a number of another kind: of what was stated, or of
  chance, which no other figure tells; each period has its own, so that two dates give no difference between them.

This file must never know a database or a word.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from core.cases.rows import OTHER
from core.cases.tallies import (
    BINS_STATED,
    CLASSES,
    HOURS_BINS,
    IMPROVED,
    RANGES_MM,
    RESULTS,
    UNKNOWN,
)
from core.statistics.suppression import Group, Published, pool_adjacent, pool_small, publish_table

Counts = Mapping[tuple[str, str], tuple[int, float]]
"""(row, column) of a table to cases and total."""

SHOWN_DECIMALS = {"brier": 3, "by_chance": 2, "stated": 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What is enough to be shown: cases of a figure, cases of a score."""

    figure: int
    score: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """All that a case could have: an absent name would tell that nobody has it.

    Attributes:
        causes: Each with its kind.
        steps: Remedies that go against a cause.
    """

    causes: Mapping[str, str]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bins:
    """Neighbouring bins put together: first bin, the bin after the last, cases.

    ``exact`` is false where the few cases that have no value, too few to be shown, are in the largest group.
    """

    groups: tuple[tuple[int, int, int], ...]
    exact: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Released:
    """What may be shown of a period.

    Attributes:
        sides: Groups of ``cause``, of ``suspected`` in cases without a confirmed cause, and of ``alike``: whether two
            helpers who judged blind said the same.
        tables: ``cause_`` and each of ``CLASSES``; ``cause_result`` and ``stated_result`` of cases with a cause that
            verdicts can name; ``step_ending`` of cases in which a step was advised.
        bins: Of readings, of ``improved``, and of hours until a case was ``fixed`` or ended without (``waiting``).
        scores: ``brier`` and ``by_chance`` of the period, ``stated_`` and the row of ``stated_result``.
    """

    sides: Mapping[str, tuple[Group, ...]]
    tables: Mapping[str, Published]
    bins: Mapping[str, Bins]
    scores: Mapping[str, float]


TALLIED = (
    *(f"cause_{side}" for side in CLASSES),
    *("suspected", "cause_result", "stated_result", "brier", "step_ending", "hours", "pair", "improved", *RANGES_MM),
)
"""The tables of counts that a period is released from."""


def release(counts: Mapping[str, Counts], names: Names, limits: Limits) -> Released:
    """Return what may be shown of the counts of one period, name of a table to its cells."""
    least = limits.figure
    causes = (*names.causes, OTHER, UNKNOWN)
    cause = pool_small(_side(counts["cause_result"], 0, causes), least)
    tables = {
        f"cause_{side}": _by_class(_filled(counts[f"cause_{side}"], causes, classes), cause, names.causes, least)
        for side, classes in CLASSES.items()
    }
    sides = {"cause": cause, "alike": _alike(counts["pair"], least)}
    scores = {"by_chance": _by_chance(counts["pair"])} if _pairs(counts["pair"]) >= limits.score else {}
    if _alone(cause, UNKNOWN):
        # Otherwise how many have no confirmed cause is withheld, and these would tell it.
        sides["suspected"] = pool_small(_side(counts["suspected"], 0, (*names.causes, UNKNOWN)), least)
        quality, stated = _quality(counts, cause, names.causes, least)
        tables |= quality
        scores |= stated
        judged, errors = counts["brier"].get(("", ""), (0, 0.0))
        if judged >= limits.score:
            scores["brier"] = round(errors / judged, SHOWN_DECIMALS["brier"])
    steps, ending = _steps(counts["step_ending"], (*names.steps, UNKNOWN), least)
    bins = {name: _bins(_cells(counts[name]), size, least) for name, (_, size) in RANGES_MM.items()}
    return Released(
        sides=sides,
        tables=tables | steps,
        bins=bins
        | {"improved": Bins(pool_adjacent(_in_order(_cells(counts["improved"]), IMPROVED[1]), least))}
        | _hours(counts["hours"], ending, least),
        scores=scores,
    )


def _by_class(
    cells: Mapping[tuple[str, str], int], cause: Sequence[Group], kinds: Mapping[str, str], least: int
) -> Published:
    """Return a table of causes by class."""
    columns = _classes({name: sum(n for (_, one), n in cells.items() if one == name) for _, name in cells}, least)
    return publish_table(cells, least, _put_together(cells, cause, columns, kinds, least), columns)


def _classes(counts: Mapping[str, int], least: int) -> Sequence[Group]:
    """Return the classes as groups; the few who did not say join the largest one and not, by rule, the smallest."""
    large = {name: count for name, count in counts.items() if count >= least}
    if counts.keys() - large.keys() != {UNKNOWN} or len(large) < 2:  # noqa: PLR2004 - one is left beside the pool
        return pool_small(counts, least)
    most = max(large, key=lambda name: large[name])
    singles = tuple(Group((name,), count) for name, count in large.items() if name != most)
    return (*singles, Group((most, UNKNOWN), counts[most] + counts[UNKNOWN]))


def _put_together(
    cells: Mapping[tuple[str, str], int],
    cause: Sequence[Group],
    columns: Sequence[Group],
    kinds: Mapping[str, str],
    least: int,
) -> Sequence[Group]:
    """Return the groups of causes with those that have a small cell put together by their kind.

    What comes out are groups of the side, or sums of them: they tell nothing that the side does not.
    """
    rows: dict[object, Group] = {}
    for group in cause:
        of_group = [sum(cells.get(cell, 0) for cell in product(group.names, one.names)) for one in columns]
        kind = {kinds.get(name, name) for name in group.names}
        together = min(of_group, default=0) < least and len(kind) == 1 and kind <= set(kinds.values())
        key: object = kind.pop() if together else group.names
        held = rows.get(key, Group((), 0))
        rows[key] = Group((*held.names, *group.names), held.count + group.count)
    return tuple(rows.values())


# ---- how good the verdicts were -------------------------------------------------------------------


def _quality(
    counts: Mapping[str, Counts], cause: Sequence[Group], kinds: Mapping[str, str], least: int
) -> tuple[dict[str, Published], dict[str, float]]:
    """Return where the confirmed cause had been named, by cause and by what was stated."""
    # A cause that no verdict can name has one result only.
    rows = tuple(group for group in cause if group.names not in {(UNKNOWN,), (OTHER,)})
    apart = {UNKNOWN, OTHER} if _alone(cause, OTHER) else {UNKNOWN}

    def of_result(name: str) -> str | None:
        return None if name in apart else "later" if name == OTHER else name

    results = tuple(name for name in RESULTS if name not in {UNKNOWN, OTHER})
    by_cause = _merged(_filled(counts["cause_result"], (*kinds, OTHER, UNKNOWN), RESULTS), of_result)
    shown = {row for group in rows for row in group.names}
    by_cause = {cell: count for cell, count in by_cause.items() if cell[0] in shown}
    if sum(by_cause.values()) < least:
        return {}, {}
    columns = pool_small({name: sum(n for (_, one), n in by_cause.items() if one == name) for name in results}, least)
    two = _first_and_rest(columns)
    bins = tuple(str(at) for at in range(BINS_STATED))
    stated = _merged(_filled(counts["stated_result"], bins, RESULTS), of_result)
    of_bin = [sum(count for (row, _), count in stated.items() if row == name) for name in bins]
    ranges = tuple(Group(bins[first:end], count) for first, end, count in pool_adjacent(of_bin, least))
    sums = {
        group: sum(
            total
            for (row, name), (_, total) in counts["stated_result"].items()
            if row in group.names and of_result(name) is not None
        )
        for group in ranges
    }
    return (
        {
            # Two columns show more of each cause than three.
            "cause_result": publish_table(by_cause, least, _put_together(by_cause, rows, two, kinds, least), two),
            "stated_result": publish_table(stated, least, ranges, columns),
        },
        {
            f"stated_{group.names[0]}": round(total / group.count, SHOWN_DECIMALS["stated"])
            for group, total in sums.items()
        },
    )


def _first_and_rest(columns: Sequence[Group]) -> Sequence[Group]:
    rest = [group for group in columns if group.names != ("first",)]
    if len(rest) == len(columns):
        return columns
    whole = Group(tuple(name for group in rest for name in group.names), sum(group.count for group in rest))
    return tuple(group for group in columns if group.names == ("first",)) + ((whole,) if rest else ())


def _alike(pairs: Counts, least: int) -> tuple[Group, ...]:
    held = dict.fromkeys(("yes", "no", UNKNOWN), 0)
    for (first, second), (count, _) in pairs.items():
        held[UNKNOWN if first == UNKNOWN else "yes" if first == second else "no"] += count
    return pool_small(held, least)


def _pairs(pairs: Counts) -> int:
    return sum(count for (first, _), (count, _) in pairs.items() if first != UNKNOWN)


def _by_chance(pairs: Counts) -> float:
    """Return how often two helpers would agree by chance: the sum of products of the shares of what each said."""
    firsts: dict[str, int] = {}
    seconds: dict[str, int] = {}
    for (first, second), (count, _) in pairs.items():
        if first != UNKNOWN:
            firsts[first] = firsts.get(first, 0) + count
            seconds[second] = seconds.get(second, 0) + count
    both = sum(count * seconds.get(name, 0) for name, count in firsts.items())
    return round(both / _pairs(pairs) ** 2, SHOWN_DECIMALS["by_chance"])


# ---- what was advised, and how long it took -------------------------------------------------------

_Ending = tuple[str, ...]


def _steps(counts: Counts, names: Sequence[str], least: int) -> tuple[dict[str, Published], _Ending]:
    """Return the table of steps, and which endings may be counted as fixes where hours are."""
    filled = _merged(
        _filled(counts, names, ("step", "otherwise", "not")), lambda name: "step" if name == "step" else "not"
    )
    of_step = {name: filled[name, "step"] + filled[name, "not"] for name in names}
    rows = pool_small(of_step, least)
    # Without a step advised none can have fixed it.
    rows = tuple(group for group in rows if group.names != (UNKNOWN,))
    inside = {name for group in rows for name in group.names}
    by_it = sum(filled[name, "step"] for name in inside)
    left = sum(filled[name, "not"] for name in inside)
    fixed, otherwise, not_fixed = (
        sum(count for (_, one), (count, _) in counts.items() if one == name) for name in ("step", "otherwise", "not")
    )
    if not rows:
        return {}, ()
    if min(by_it, left) < least:
        whole = (Group(("step", "not"), by_it + left),)
        ending: _Ending = ("step", "otherwise") if min(fixed + otherwise, not_fixed) >= least else ()
        return {"step_ending": publish_table(filled, least, rows, whole)}, ending
    columns = (Group(("step",), by_it), Group(("not",), left))
    ending = ("step", "otherwise") if min(otherwise, not_fixed) >= least else ("step",)
    return {"step_ending": publish_table(filled, least, rows, columns)}, ending


def _hours(counts: Counts, ending: _Ending, least: int) -> dict[str, Bins]:
    """Return how long fixes took, and how long what ended otherwise."""
    done, waiting = [0] * HOURS_BINS, [0] * HOURS_BINS
    for (at, how), (count, _) in counts.items():
        (done if how in ending else waiting)[int(at)] += count
    if min(sum(done), sum(waiting)) < least:
        return {}
    return {"fixed": Bins(pool_adjacent(done, least)), "waiting": Bins(pool_adjacent(waiting, least))}


# ---- bins and sides -------------------------------------------------------------------------------


def _bins(cells: Mapping[str, int], bins: int, least: int) -> Bins:
    """Return bins put together; ends lie outside of them, at -1 and ``bins``."""
    counts = _in_order(cells, bins)
    unknown = cells.get(UNKNOWN, 0)
    if sum(counts) < least:
        return Bins(())
    if unknown < least:
        counts[counts.index(max(counts))] += unknown
    return Bins(pool_adjacent(counts, least), exact=unknown >= least)


def _in_order(cells: Mapping[str, int], bins: int) -> list[int]:
    return [cells.get(name, 0) for name in ("below", *map(str, range(bins)), "above")]


def _cells(counts: Counts) -> Mapping[str, int]:
    return {row: count for (row, _), (count, _) in counts.items()}


def _alone(groups: Sequence[Group], name: str) -> bool:
    return any(group.names == (name,) for group in groups)


def _side(counts: Counts, at: int, names: Sequence[str]) -> Mapping[str, int]:
    side = dict.fromkeys(names, 0)
    for cell, (count, _) in counts.items():
        side[_known(cell[at], names)] += count
    return side


def _filled(counts: Counts, rows: Sequence[str], columns: Sequence[str]) -> dict[tuple[str, str], int]:
    """Return every cell that there could be."""
    filled = {(row, column): 0 for row in rows for column in columns}
    for (row, column), (count, _) in counts.items():
        filled[_known(row, rows), _known(column, columns)] += count
    return filled


def _known(name: str, names: Sequence[str]) -> str:
    """Return a stored name, or that it is none of these where the knowledge no longer has it."""
    return name if name in names else OTHER if OTHER in names else UNKNOWN


def _merged(cells: Mapping[tuple[str, str], int], name_of: Callable[[str], str | None]) -> dict[tuple[str, str], int]:
    """Return cells with their columns renamed; those without a name left out."""
    merged: dict[tuple[str, str], int] = {}
    for (row, column), count in cells.items():
        name = name_of(column)
        if name is not None:
            merged[row, name] = merged.get((row, name), 0) + count
    return merged
