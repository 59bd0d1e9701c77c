"""What one period releases, against an attacker who knows every released figure and the rules behind the tables.

The attacker solves, by linear programming, for how low and how high the number of cases of a cell may be, given all
that is exact. It also knows which cells cannot hold anybody: a case without a confirmed cause has no result, a cause
that no verdict can name is always missed, and a case in which no step was advised was not fixed by it.
"""

from itertools import product

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csr_array

from core.cases.release import Limits, Names, release
from core.cases.rows import OTHER
from core.cases.tallies import BINS_STATED, CLASSES, RANGES_MM, RESULTS, UNKNOWN
from core.statistics.suppression import refuse_rings

LEAST = 10
KINDS = {"tilt": "mechanical", "crown": "mechanical", "debris": "mechanical", "suction": "model"}
NAMES = Names(causes=KINDS, steps=("level_plate", "vent_hollow", "clear_debris"))
LIMITS = Limits(figure=LEAST, score=50)
CAUSES = (*KINDS, OTHER, UNKNOWN)
STEPS = (*NAMES.steps, UNKNOWN)
HOURS = ("0", "3", "240")
ENDINGS = ("step", "otherwise", "not")
MOST_ATTACKED = 8


def possible():
    """Yield every kind of case there may be, as the values of its sides."""
    for cause in CAUSES:
        results = {UNKNOWN: (UNKNOWN,), OTHER: (OTHER,)}.get(cause, ("first", "three", "later"))
        suspects = (*KINDS, UNKNOWN) if cause == UNKNOWN else ("",)
        stated = range(BINS_STATED)
        for result, suspected, raised, homing, at in product(
            results, suspects, CLASSES["raised"], CLASSES["homing"], stated
        ):
            yield {
                "cause": cause,
                "result": result,
                "suspected": suspected,
                "raised": raised,
                "homing": homing,
                "stated": str(at),
            }


def possible_ends():
    for step, ending, hours in product(STEPS, ENDINGS, HOURS):
        if not (step == UNKNOWN and ending == "step"):
            yield {"step": step, "ending": ending, "hours": hours}


KINDS_OF_CASE = tuple(possible())
KINDS_OF_END = tuple(possible_ends())


def draw(kinds, seed, scale):
    """Return how many cases there are of each kind; most kinds are rare, and a period has thirty cases at least."""
    rng = np.random.default_rng(seed)
    counts = rng.poisson(scale * rng.gamma(0.15, 1.0, len(kinds)))
    counts[rng.integers(0, len(kinds), 1)] += max(30 - counts.sum(), 0)
    return counts


def tally(kinds, counts, row, column=None):
    cells = {}
    for kind, count in zip(kinds, counts.tolist(), strict=True):
        cell = (kind[row], kind[column] if column else "")
        if count and kind[row]:
            cells[cell] = (cells.get(cell, (0, 0.0))[0] + count, 0.0)
    return cells


def counted(cases, ends):
    """Return the tables of a period: cases and ends are independent, tables not tried here are of what is not known."""
    n = int(cases.sum())
    nothing = {(UNKNOWN, ""): (n, 0.0)}
    return {
        **{f"cause_{side}": tally(KINDS_OF_CASE, cases, "cause", side) for side in ("raised", "homing")},
        **{
            f"cause_{side}": {(row, UNKNOWN): held for (row, _), held in tally(KINDS_OF_CASE, cases, "cause").items()}
            for side in ("adjusters", "size")
        },
        "suspected": tally(KINDS_OF_CASE, cases, "suspected"),
        "cause_result": tally(KINDS_OF_CASE, cases, "cause", "result"),
        "stated_result": tally(KINDS_OF_CASE, cases, "stated", "result"),
        "brier": {},
        "step_ending": tally(KINDS_OF_END, ends, "step", "ending"),
        "hours": tally(KINDS_OF_END, ends, "hours", "ending"),
        "pair": {(UNKNOWN, UNKNOWN): (n, 0.0)},
        "improved": {},
        **dict.fromkeys(RANGES_MM, nothing),
    }


class Attacker:
    """Collects equations over the kinds of cases, and asks how low and how high a sum of them may be."""

    def __init__(self, kinds, everybody):
        self.kinds = kinds
        self.rows, self.sums = [np.ones(len(kinds))], [everybody]

    def mark(self, **wanted):
        return np.array([all(kind[side] in names for side, names in wanted.items()) for kind in self.kinds], float)

    def learns(self, count, **wanted):
        self.rows.append(self.mark(**wanted))
        self.sums.append(count)

    def learns_table(self, table, row, column, **among):
        for at, group in enumerate(table.rows):
            self.learns(group.count, **{row: group.names}, **among)
            for cell, other in zip(table.cells[at], table.columns, strict=True):
                if cell is not None:
                    self.learns(cell, **{row: group.names, column: other.names}, **among)
        for group in table.columns:
            self.learns(
                group.count, **{column: group.names, row: [n for one in table.rows for n in one.names]}, **among
            )

    def width(self, **wanted):
        marked, known = self.mark(**wanted), csr_array(np.array(self.rows))
        ends = [linprog(s * marked, A_eq=known, b_eq=self.sums, bounds=(0, None), method="highs") for s in (1, -1)]
        assert all(one.status == 0 for one in ends), "what was released contradicts itself"
        return -ends[1].fun - ends[0].fun


def learn_cases(attacker, shown):
    for name in ("cause_raised", "cause_homing"):
        attacker.learns_table(shown.tables[name], "cause", name.removeprefix("cause_"))
    for group in shown.sides["cause"]:
        attacker.learns(group.count, cause=group.names)
    for group in shown.sides.get("suspected", ()):
        attacker.learns(group.count, suspected=group.names)
    alone = {group.names for group in shown.sides["cause"]}
    apart = {UNKNOWN, OTHER} if (OTHER,) in alone else {UNKNOWN}
    named = [name for name in CAUSES if name not in apart]
    for name, row in (("cause_result", "cause"), ("stated_result", "stated")):
        table = shown.tables.get(name)
        if table is not None:
            columns = [[*one.names, OTHER] if "later" in one.names else list(one.names) for one in table.columns]
            for at, group in enumerate(table.rows):
                here = {"cause": [n for n in group.names if n in named]} if row == "cause" else {"cause": named}
                where = here if row == "cause" else {**here, row: group.names}
                attacker.learns(group.count, **where)
                for cell, results in zip(table.cells[at], columns, strict=True):
                    if cell is not None:
                        attacker.learns(cell, **where, result=results)
            for group, results in zip(table.columns, columns, strict=True):
                attacker.learns(group.count, cause=named, result=results)


def learn_ends(attacker, shown):
    table = shown.tables.get("step_ending")
    if table is not None:
        rows = [name for group in table.rows for name in group.names]
        both = [["step"] if one.names == ("step",) else ["otherwise", "not"] for one in table.columns]
        if len(table.columns) == 1:
            both = [list(ENDINGS)]
        for at, group in enumerate(table.rows):
            attacker.learns(group.count, step=group.names)
            for cell, ending in zip(table.cells[at], both, strict=True):
                if cell is not None:
                    attacker.learns(cell, step=group.names, ending=ending)
        for group, ending in zip(table.columns, both, strict=True):
            attacker.learns(group.count, step=rows, ending=ending)


def learn_hours(attacker, shown, ends):
    """Hours say how many count as fixed: the attacker knows both what that may mean, and here, which of them it is."""
    if "fixed" not in shown.bins:
        return
    total = sum(count for _, _, count in shown.bins["fixed"].groups)
    meant = [
        held
        for held in (["step"], ["step", "otherwise"])
        if ends[[kind["ending"] in held for kind in KINDS_OF_END]].sum() == total
    ]
    for name, endings in (("fixed", meant[-1]), ("waiting", [one for one in ENDINGS if one not in meant[-1]])):
        for first, end, count in shown.bins[name].groups:
            attacker.learns(count, hours=[one for one in HOURS if first <= int(one) < end], ending=endings)


@pytest.mark.parametrize("scale", [0.6, 1.5, 4.0])
@pytest.mark.parametrize("seed", range(4))
def test_no_small_cell_is_known_to_within_ten(seed, scale):
    """Causes, machines, suspicions and results of one period, all tables together."""
    cases, ends = draw(KINDS_OF_CASE, seed, scale), draw(KINDS_OF_END, seed, 10 * scale)
    shown = release(counted(cases, ends), NAMES, LIMITS)
    attacker = Attacker(KINDS_OF_CASE, cases.sum())
    learn_cases(attacker, shown)
    targets = [
        *({"cause": [c]} for c in CAUSES),
        *({"suspected": [c]} for c in (*KINDS, UNKNOWN)),
        *({"cause": [c], side: [k]} for side in ("raised", "homing") for c in CAUSES for k in CLASSES[side]),
        *({"cause": [c], "result": [r]} for c in KINDS for r in RESULTS[:3]),
        *({"stated": [str(b)], "result": [r]} for b in range(BINS_STATED) for r in RESULTS[:3]),
    ]
    small = [one for one in targets if cases @ attacker.mark(**one) < LEAST]
    for at in np.random.default_rng(seed).permutation(len(small))[:MOST_ATTACKED].tolist():
        assert attacker.width(**small[at]) >= LEAST - 1e-6, small[at]


@pytest.mark.parametrize("scale", [2.0, 8.0, 30.0])
@pytest.mark.parametrize("seed", range(5))
def test_no_few_ends_are_known_to_within_ten(seed, scale):
    """What was advised, how it ended and how long it took, together: fixes less those by the step are few at times."""
    cases, ends = draw(KINDS_OF_CASE, seed, 1.0), draw(KINDS_OF_END, seed, scale)
    shown = release(counted(cases, ends), NAMES, LIMITS)
    attacker = Attacker(KINDS_OF_END, ends.sum())
    learn_ends(attacker, shown)
    learn_hours(attacker, shown, ends)
    targets = [
        *({"ending": [one]} for one in ENDINGS),
        *({"step": [s], "ending": [e]} for s, e in product(STEPS, ENDINGS) if (s, e) != (UNKNOWN, "step")),
    ]
    small = [one for one in targets if ends @ attacker.mark(**one) < LEAST]
    for at in np.random.default_rng(seed).permutation(len(small))[:MOST_ATTACKED].tolist():
        assert attacker.width(**small[at]) >= LEAST - 1e-6, small[at]


def test_the_attacker_finds_a_cell_that_is_told():
    """Or the tests above could not fail."""
    cases = draw(KINDS_OF_CASE, 1, 2.0)
    attacker = Attacker(KINDS_OF_CASE, cases.sum())
    attacker.learns(cases @ attacker.mark(cause=["tilt"]), cause=["tilt"])
    attacker.learns(cases @ attacker.mark(cause=["tilt"], raised=["yes", "no"]), cause=["tilt"], raised=["yes", "no"])
    assert attacker.width(cause=["tilt"], raised=[UNKNOWN]) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_the_two_sided_tables_that_are_released_form_no_ring(seed):
    shown = release(counted(draw(KINDS_OF_CASE, seed, 2.0), draw(KINDS_OF_END, seed, 20.0)), NAMES, LIMITS)
    assert len(shown.tables) >= len(CLASSES)
    refuse_rings([tuple(name.split("_", 1)) for name in shown.tables])


@pytest.mark.parametrize("seed", range(4))
def test_every_count_that_is_released_is_of_enough_cases(seed):
    shown = release(counted(draw(KINDS_OF_CASE, seed, 1.0), draw(KINDS_OF_END, seed, 10.0)), NAMES, LIMITS)
    counts = [group.count for side in shown.sides.values() for group in side]
    for table in shown.tables.values():
        counts += [group.count for group in (*table.rows, *table.columns)]
        counts += [cell for row in table.cells for cell in row if cell is not None]
    counts += [count for bins in shown.bins.values() for *_, count in bins.groups]
    assert counts
    assert min(counts) >= LEAST


def test_a_few_fixes_of_another_kind_are_not_the_difference_of_two_figures():
    """100 fixed by the step and 3 otherwise: hours of 103 beside 100 fixed by the step would tell of three people."""
    steps = {("level_plate", "step"): (60, 0.0), ("vent_hollow", "step"): (40, 0.0)}
    steps |= {
        ("level_plate", "not"): (50, 0.0),
        ("vent_hollow", "otherwise"): (3, 0.0),
        ("vent_hollow", "not"): (47, 0.0),
    }
    hours = {("3", "step"): (100, 0.0), ("3", "otherwise"): (3, 0.0), ("240", "not"): (97, 0.0)}
    counts = counted(draw(KINDS_OF_CASE, 1, 1.0), draw(KINDS_OF_END, 1, 1.0)) | {"step_ending": steps, "hours": hours}
    shown = release(counts, NAMES, LIMITS)
    assert [group.count for group in shown.tables["step_ending"].columns] == [100, 100]
    assert sum(count for *_, count in shown.bins["fixed"].groups) == 100


def test_suspicions_are_of_cases_that_nobody_confirmed():
    cases = draw(KINDS_OF_CASE, 3, 4.0)
    shown = release(counted(cases, draw(KINDS_OF_END, 3, 10.0)), NAMES, LIMITS)
    none = next(group.count for group in shown.sides["cause"] if group.names == (UNKNOWN,))
    assert sum(group.count for group in shown.sides["suspected"]) == none


def test_a_score_of_few_cases_is_not_released():
    counts = counted(draw(KINDS_OF_CASE, 1, 1.0), draw(KINDS_OF_END, 1, 1.0))
    pairs = {("tilt", "tilt"): (20, 0.0), ("tilt", "crown"): (20, 0.0), (UNKNOWN, UNKNOWN): (500, 0.0)}
    few = release(counts | {"pair": pairs, "brier": {("", ""): (49, 1.0)}}, NAMES, LIMITS).scores
    assert {"by_chance", "brier"}.isdisjoint(few)
    pairs = {cell: (3 * count, 0.0) for cell, (count, _) in pairs.items()}
    many = release(counts | {"pair": pairs, "brier": {("", ""): (100, 4.567)}}, NAMES, LIMITS).scores
    assert (many["by_chance"], many["brier"]) == (0.5, 0.046)
