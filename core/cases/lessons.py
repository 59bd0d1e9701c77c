"""What each confirmed case teaches, kept by the store in the same transaction as the case.

In: a case that changed. Out: lessons, as learning wants them. This file must never know what is learned.
"""

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from core.cases.lifecycle import is_correction
from core.cases.packed import unpack
from core.cases.rows import OTHER
from core.learning import Lesson
from core.report import Readings

Told = tuple[Mapping[str, Any], Mapping[str, Any]]
"""Report and verdict of one attempt, as JSON objects."""

FINDING = "finding:"
"""Begins what evidence of a finding is about. All other evidence, of readings and settings, bears on a cause as a
likelihood ratio of its own."""


def refresh(db: Database, case_id: int) -> None:
    """Keep what a case teaches, or nothing while no cause is confirmed."""
    row = db.execute("SELECT community, cause, changed_at FROM cases WHERE id = ?", [case_id]).fetchone()
    cause = None if row is None else row[1]
    if cause is None or cause == OTHER:
        db.execute("DELETE FROM lessons WHERE case_id = ?", [case_id])
        return
    at = db.execute("SELECT max(at) FROM confirmations WHERE case_id = ?", [case_id]).fetchone()[0] or row[2]
    told = json.dumps(_told(read_judgements(db, case_id)), separators=(",", ":"))
    db.execute(
        "INSERT OR REPLACE INTO lessons (case_id, community, at, cause, told) VALUES (?, ?, ?, ?, ?)",
        [case_id, row[0], at, cause, told],
    )


def read_lessons(db: Database) -> tuple[Lesson, ...]:
    """Return every lesson of every community."""
    rows = db.execute("SELECT community, at, cause, told FROM lessons ORDER BY case_id").fetchall()
    return tuple(_lesson(*row) for row in rows)


def count_lessons(db: Database) -> Mapping[str, int]:
    """Return how many lessons each community has."""
    return dict(db.execute("SELECT community, count(*) FROM lessons GROUP BY community").fetchall())


def read_judgements(db: Database, case_id: int) -> list[Told]:
    """Return report and verdict of each attempt, oldest first."""
    rows = db.execute("SELECT report, verdict FROM judgements WHERE case_id = ? ORDER BY attempt", [case_id])
    return [(json.loads(report), json.loads(unpack(verdict))) for report, verdict in rows.fetchall()]


def judged_before_fix(judgements: Sequence[Told]) -> Told:
    """Return the last judgement that named a cause before the plate was measured anew.

    A second set of readings is of a plate that somebody has worked on: what it shows is no longer what was wrong.
    """
    told: list[Told] = []
    before: Readings | None = None
    for one in judgements:
        given = one[0].get("readings")
        now = before if given is None else Readings.model_validate(given)
        if before is not None and now is not None and now != before and not is_correction(before, now):
            break
        before = now
        told.append(one)
    named = [one for one in told if one[1]["status"] == "diagnosed"]
    return (named or told)[-1]


def _told(judgements: Sequence[Told]) -> Mapping[str, Any]:
    report, verdict = judged_before_fix(judgements)
    ratios: dict[str, float] = defaultdict(float)
    for cause in verdict["causes"]:
        for item in cause["evidence"]:
            if not item["about"].startswith(FINDING):
                ratios[cause["id"]] += item["log_odds"]
    return {
        "seen": sorted({seen["id"] for seen in report.get("findings", ())}),
        "absent": sorted(report.get("absent", ())),
        "ratios": {cause: round(ratio, 4) for cause, ratio in ratios.items()},
    }


def _lesson(community: str, at: str, cause: str, told: str) -> Lesson:
    held = json.loads(told)
    return Lesson(
        at=datetime.fromisoformat(at),
        community=community,
        causes=frozenset((cause,)),
        seen=frozenset(held["seen"]),
        absent=frozenset(held["absent"]),
        ratios=held["ratios"],
    )
