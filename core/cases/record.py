"""Cases and their judgements, as rows.

In: a database and frozen values. Out: frozen values. This file must never know how a case is followed up.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from core.cases.database import writing
from core.cases.packed import pack, unpack
from core.cases.rows import FIXED, Case, CaseKey, Judgement
from core.cases.tallies import refresh
from core.errors import ServiceFailure, StoreUnusable
from core.report import Report
from core.verdict import Verdict


class CaseMoved(ServiceFailure):
    """The case was changed by somebody else since it was read; read it again and retry."""


_LATEST = """
    SELECT cases.*, judgements.attempt, judgements.at, judgements.report, judgements.verdict
    FROM cases JOIN judgements ON judgements.case_id = cases.id
    WHERE {which}
    ORDER BY cases.id DESC, judgements.attempt DESC LIMIT 1
"""


def read_open_case(db: Database, key: CaseKey) -> Case | None:
    """Return the person's open case in that channel."""
    which = "community = ? AND channel = ? AND author = ? AND state = 'open'"
    return _one(db, which, (key.community, key.channel, key.author))


def read_case(db: Database, community: str, number: int) -> Case | None:
    """Return a community's case by its number."""
    return _one(db, "community = ? AND number = ?", (community, number))


def read_case_in_thread(db: Database, community: str, thread: str) -> Case | None:
    """Return the case a thread was opened for."""
    return _one(db, "community = ? AND thread = ?", (community, thread))


def read_last_fixed(db: Database, key: CaseKey) -> Case | None:
    """Return the person's last case in that channel, if it is closed and was fixed."""
    case = _one(db, "community = ? AND channel = ? AND author = ?", (key.community, key.channel, key.author))
    return case if case is not None and case.state == "closed" and case.outcome in FIXED else None


def record(
    db: Database,
    key: CaseKey,
    report: Report,
    verdict: Verdict,
    at: datetime,
    after: Case | None,
    follows: Case | None,
) -> Case:
    """Store a judgement in the case ``after``, or in a new one. One transaction.

    Raises:
        CaseMoved: ``after`` is no longer the latest; nothing was stored.
    """
    stamp = at.isoformat()
    with writing(db):
        current = read_open_case(db, key)
        if (current and (current.id, current.latest.attempt)) != (after and (after.id, after.latest.attempt)):
            raise CaseMoved("case_moved")
        if current is None:
            number = db.execute(
                "SELECT coalesce(max(number), 0) + 1 FROM cases WHERE community = ?", [key.community]
            ).fetchone()[0]
            opened = db.execute(
                "INSERT INTO cases (number, community, channel, author, state, opened_at, changed_at, follows)"
                " VALUES (?, ?, ?, ?, 'open', ?, ?, ?)",
                [number, key.community, key.channel, key.author, stamp, stamp, follows and follows.id],
            )
            case_id, attempt = int(opened.lastrowid or 0), 1
        else:
            case_id, attempt = current.id, current.latest.attempt + 1
        db.execute(
            "INSERT INTO judgements (case_id, attempt, at, report, verdict, knowledge) VALUES (?, ?, ?, ?, ?, ?)",
            [case_id, attempt, stamp, report.model_dump_json(), pack(verdict.model_dump_json()), verdict.knowledge],
        )
        touch(db, case_id, at)
        stored = read_open_case(db, key)
    if stored is None:
        raise StoreUnusable("database_failed", why="a stored case cannot be read back")
    return stored


def touch(db: Database, case_id: int, at: datetime) -> None:
    """Note that a case changed, and count it anew; last in the transaction of every change."""
    db.execute("UPDATE cases SET changed_at = ?, nameless = NULL WHERE id = ?", [at.isoformat(), case_id])
    refresh(db, case_id)


def read_history(db: Database, case: Case) -> tuple[Judgement, ...]:
    """Return all judgements of a case, oldest first."""
    # The latest one is read already, and no judgement ever changes.
    latest = case.latest
    rows = db.query(
        "SELECT * FROM judgements WHERE case_id = ? AND attempt <> ? ORDER BY attempt", [case.id, latest.attempt]
    )
    return tuple(sorted((latest, *map(_judgement, rows)), key=lambda one: one.attempt))


def read_cases(db: Database, which: str, values: Sequence[object], order: str = "id") -> Iterator[Case]:
    """Yield every case that a condition on ``cases`` names, by default oldest first."""
    for (case_id,) in db.execute(f"SELECT id FROM cases WHERE {which} ORDER BY {order}", values).fetchall():
        case = _one(db, "cases.id = ?", (case_id,))
        if case is not None:
            yield case


def moment(text: str | None) -> datetime | None:
    """Return a stored point in time."""
    return None if text is None else datetime.fromisoformat(text)


def _one(db: Database, which: str, values: Sequence[object]) -> Case | None:
    row = next(iter(db.query(_LATEST.format(which=which), values)), None)
    return None if row is None else _case(row)


def _case(row: dict[str, Any]) -> Case:
    return Case(
        id=row["id"],
        number=row["number"],
        key=CaseKey(row["community"], row["channel"], row["author"]),
        state=row["state"],
        opened_at=datetime.fromisoformat(row["opened_at"]),
        latest=_judgement(row),
        place=row["place"] or "",
        thread=row["thread"] or "",
        changed_at=moment(row["changed_at"]),
        claimed_by=row["claimed_by"] or "",
        tries=row["tries"] or 0,
        outcome=row["outcome"],
        step=row["step"] or "",
        outcome_at=moment(row["outcome_at"]),
        cause=row["cause"] or "",
        follows=row["follows"],
    )


def _judgement(row: dict[str, Any]) -> Judgement:
    return Judgement(
        attempt=row["attempt"],
        at=datetime.fromisoformat(row["at"]),
        report=Report.model_validate_json(row["report"]),
        verdict=Verdict.model_validate_json(unpack(row["verdict"])),
    )
