"""Counts of ended cases, kept by the store in the same transaction as the case, so that no statistic reads cases.

In: a case that changed. Out: rows of counts by community, month of its end, and table. Each case's share of them is
kept beside it, so that a change takes the old share out and puts the new one in; ``recount`` makes everything afresh
from the cases alone, and must come to the same. This file must never decide what may be shown.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from core.cases import lessons
from core.cases.lessons import Told
from core.cases.lifecycle import sets_of
from core.cases.rows import FIXED, OTHER
from core.report import Readings
from core.statistics.distributions import find_bin

UNKNOWN = "-"
"""What is not known is a group too: every table counts the same cases."""

HOURS_BIN, HOURS_BINS = 6.0, 241
"""Time from question to fix, in bins of six hours up to sixty days; whatever took longer is in the last one."""
MM_BIN = 0.05
RANGES_MM: Mapping[str, tuple[float, int]] = {"spread": (0.0, 40), "offset": (-1.0, 40), "crown": (-1.0, 40)}
"""First value and number of bins of the distributions of readings."""
BINS_STATED = 5
"""Bins of the probability that was stated for the cause named first."""
SIZES_MM: Sequence[tuple[str, float]] = (("small", 150.0), ("medium", 230.0))
"""Plates by the longer side; anything longer is large. Common practice."""
CLASSES: Mapping[str, tuple[str, ...]] = {
    "adjusters": ("ball_joint", "four_screws", "three_screws", "two_screws", "none", UNKNOWN),
    "homing": ("switch", "probe", UNKNOWN),
    "size": ("small", "medium", "large", UNKNOWN),
    "raised": ("yes", "no", UNKNOWN),
}
"""What cases are told apart by, and every group there may be."""
ENDINGS = ("step", "otherwise", "not")
"""Fixed by the step that was advised first, fixed otherwise, not fixed."""
RESULTS = ("first", "three", "later", OTHER, UNKNOWN)
"""Where the confirmed cause had been named: first, among the first three, later or not at all; ``OTHER`` is a cause
that no verdict can name."""
IMPROVED: tuple[float, int] = (-1.0, 60)
"""First value and number of bins of by how much the spread became smaller."""


@dataclass(frozen=True, slots=True, order=True)
class Tally:
    """One case's share of one table: a cell, and a number to sum up where the table has one."""

    table: str
    row: str
    column: str = ""
    total: float = 0.0


def refresh(db: Database, case_id: int) -> None:
    """Put a changed case's share in the place of its earlier one; within the transaction of the change."""
    lessons.refresh(db, case_id)
    stored = db.execute("SELECT share FROM shares WHERE case_id = ?", [case_id]).fetchone()
    before = _load(stored[0]) if stored is not None else None
    now = _share(db, case_id)
    if now == before:
        return
    for share, sign in ((before, -1), (now, 1)):
        if share is not None:
            _add(db, share, sign)
    if now is None:
        db.execute("DELETE FROM shares WHERE case_id = ?", [case_id])
    else:
        db.execute("INSERT OR REPLACE INTO shares (case_id, share) VALUES (?, ?)", [case_id, _dump(now)])


def forget(db: Database, community: str) -> None:
    """Drop all counts of a community; before its cases are deleted."""
    for table in ("shares", "lessons"):
        db.execute(f"DELETE FROM {table} WHERE case_id IN (SELECT id FROM cases WHERE community = ?)", [community])
    db.execute("DELETE FROM tallies WHERE community = ?", [community])


def recount(db: Database) -> bool:
    """Make everything kept afresh from the cases, within a transaction; return whether it had been right."""
    before = _everything(db)
    for table in ("shares", "tallies", "lessons"):
        db.execute(f"DELETE FROM {table}")
    last = 0
    while ids := [
        row[0]
        for row in db.execute(
            "SELECT id FROM cases WHERE (state = 'closed' OR cause IS NOT NULL) AND id > ? ORDER BY id LIMIT 1000",
            [last],
        ).fetchall()
    ]:
        for case_id in ids:
            refresh(db, case_id)
        last = ids[-1]
    return _everything(db) == before


def read_table(
    db: Database, community: str, table: str, first_month: str = "", last_month: str = "9999-12"
) -> Mapping[str, Mapping[tuple[str, str], tuple[int, float]]]:
    """Return, by month, (row, column) to count and total of a table, months from ``first_month`` to ``last_month``."""
    months: dict[str, dict[tuple[str, str], tuple[int, float]]] = {}
    rows = db.execute(
        "SELECT month, row, col, count, total FROM tallies"
        " WHERE community = ? AND kind = ? AND month BETWEEN ? AND ? ORDER BY month, row, col",
        [community, table, first_month, last_month],
    )
    for month, row, column, count, total in rows.fetchall():
        months.setdefault(month, {})[row, column] = (count, total)
    return months


# ---- a case's share -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Share:
    community: str
    month: str
    tallies: tuple[Tally, ...]


def _share(db: Database, case_id: int) -> _Share | None:
    case = next(iter(db.query("SELECT * FROM cases WHERE id = ?", [case_id])), None)
    if case is None or case["state"] != "closed":
        return None
    judgements = lessons.read_judgements(db, case_id)
    if not judgements:
        return None
    blind = [
        row[0]
        for row in db.execute(
            "SELECT cause FROM opinions WHERE case_id = ? AND blind = 1 ORDER BY at, cause LIMIT 2", [case_id]
        ).fetchall()
    ]
    before = [] if case["follows"] is None else lessons.read_judgements(db, case["follows"])
    return _Share(
        case["community"], case["ended_at"][:7], tuple(sorted(share_of_case(case, judgements, blind, before)))
    )


def share_of_case(
    case: Mapping[str, Any], judgements: Sequence[Told], blind: Sequence[str], before: Sequence[Told] = ()
) -> Iterator[Tally]:
    """Yield an ended case's share of every table.

    A case that only measures the fix of another one again and finds nothing wrong counts as that and as nothing else.

    Args:
        case: Its row.
        judgements: Report and verdict of each attempt, as JSON objects, oldest first.
        blind: What two helpers held for the cause before they saw each other's answer, if two did.
        before: Judgements of the case whose fix this one measures again.
    """
    yield from _improved(before, judgements)
    if before and judgements[-1][1]["status"] == "no_fault":
        return
    yield Tally("ended", "")
    report, verdict = lessons.judged_before_fix(judgements)
    true = case["cause"] or UNKNOWN
    ranked = {cause["id"]: float(cause["probability"]) for cause in verdict["causes"]}
    first = next(iter(ranked), UNKNOWN)
    machine = report.get("machine", {})
    for side, name in (
        ("adjusters", _known(machine.get("adjusters"))),
        ("homing", _known(machine.get("homing"))),
        ("size", _size(machine)),
        ("raised", _yes_no(report.get("settings", {}).get("raised_exposure"))),
    ):
        yield Tally(f"cause_{side}", true, name)
    if true == UNKNOWN:
        yield Tally("suspected", first if verdict["status"] == "diagnosed" else UNKNOWN)
    result = _result(true, list(ranked))
    yield Tally("cause_result", true, result)
    stated = ranked.get(first, 0.0)
    # What was stated with certainty belongs to the last bin.
    yield Tally("stated_result", str(min(int(stated * BINS_STATED), BINS_STATED - 1)), result, round(stated, 6))
    if true != UNKNOWN and ranked:
        errors = [(p - (name == true)) ** 2 for name, p in ranked.items()]
        yield Tally("brier", "", "", round(sum(errors) / len(errors), 9))
    step = next((one["id"] for one in verdict["steps"] if one["cause"] is not None), UNKNOWN)
    ending = _ending(case, step)
    yield Tally("step_ending", step, ending)
    yield Tally("hours", str(_hours(case)), ending)
    yield from _readings(judgements)
    first_said, second_said = blind if len(blind) > 1 else (UNKNOWN, UNKNOWN)
    yield Tally("pair", first_said, second_said)


def _known(value: str | None) -> str:
    return UNKNOWN if value in {None, "unknown"} else str(value)


def _size(machine: Mapping[str, Any]) -> str:
    sides = [machine.get("plate_width_mm"), machine.get("plate_depth_mm")]
    known = [side for side in sides if side is not None]
    if not known:
        return UNKNOWN
    return next((name for name, most in SIZES_MM if max(known) <= most), "large")


def _yes_no(value: object) -> str:
    return UNKNOWN if value is None else "yes" if value else "no"


def _ending(case: Mapping[str, Any], step: str) -> str:
    """Say how the case ended, seen from the first step that was advised against a cause."""
    if case["outcome"] not in FIXED:
        return "not"
    by_it = case["outcome"] == "fixed_by_step" and case["step"] == step
    return "step" if by_it else "otherwise"


def _result(true: str, ranked: Sequence[str]) -> str:
    if true in {UNKNOWN, OTHER}:
        return true
    if true not in ranked[:3]:
        return "later"
    return "first" if ranked[0] == true else "three"


def _hours(case: Mapping[str, Any]) -> int:
    """Return the bin of how long it took until it ended."""
    waited = datetime.fromisoformat(case["ended_at"]) - datetime.fromisoformat(case["opened_at"])
    at = find_bin(max(waited.total_seconds(), 0.0) / 3600, 0.0, HOURS_BIN, HOURS_BINS - 1)
    return HOURS_BINS - 1 if isinstance(at, str) else at


def _readings(judgements: Sequence[Told]) -> Iterator[Tally]:
    """Yield where the first set of readings lies."""
    geometry = next((verdict["geometry"] for _, verdict in judgements if verdict["geometry"]), None)
    for name, (start, bins) in RANGES_MM.items():
        value = None if geometry is None else geometry[f"{name}_mm"]["value"]
        yield Tally(name, UNKNOWN if value is None else str(find_bin(value, start, MM_BIN, bins)))


def _improved(before: Sequence[Told], judgements: Sequence[Told]) -> Iterator[Tally]:
    """Yield by how much the spread became smaller from the first set of readings to the last one after a fix."""
    told = [one for one in (*before, *judgements) if one[1]["geometry"]]
    sets = sets_of(Readings.model_validate(report["readings"]) for report, _ in told)
    if len(sets) > 1:
        start, bins = IMPROVED
        first, last = (verdict["geometry"]["spread_mm"]["value"] for _, verdict in (told[0], told[-1]))
        yield Tally("improved", str(find_bin(first - last, start, MM_BIN, bins)))


# ---- rows -----------------------------------------------------------------------------------------


def _add(db: Database, share: _Share, sign: int) -> None:
    for tally in share.tallies:
        cell = [share.community, tally.table, share.month, tally.row, tally.column]
        db.execute(
            "INSERT INTO tallies (community, kind, month, row, col, count, total) VALUES (?, ?, ?, ?, ?, ?, ?)"
            " ON CONFLICT DO UPDATE SET count = count + excluded.count, total = total + excluded.total",
            [*cell, sign, sign * tally.total],
        )
        if sign < 0:
            db.execute(
                "DELETE FROM tallies"
                " WHERE community = ? AND kind = ? AND month = ? AND row = ? AND col = ? AND count = 0",
                cell,
            )


def _dump(share: _Share) -> str:
    told = [[tally.table, tally.row, tally.column, tally.total] for tally in share.tallies]
    return json.dumps([share.community, share.month, told], separators=(",", ":"))


def _load(text: str) -> _Share:
    community, month, told = json.loads(text)
    return _Share(community, month, tuple(Tally(*one) for one in told))


def _everything(db: Database) -> str:
    """Return a digest of all that is kept, with totals rounded as far as sums in another order may differ."""
    digest = hashlib.sha256()
    for query in (
        "SELECT community, kind, month, row, col, count, round(total, 5) + 0.0 FROM tallies ORDER BY 1, 2, 3, 4, 5",
        "SELECT case_id, share FROM shares ORDER BY case_id",
        "SELECT case_id, community, at, cause, told FROM lessons ORDER BY case_id",
    ):
        for row in db.execute(query):
            digest.update(json.dumps(row).encode())
    return digest.hexdigest()
