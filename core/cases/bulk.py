"""Whole cases stored at once, each with all that happened to it; for invented data and for moving between stores."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlite_utils import Database

from core.cases.database import writing
from core.cases.packed import pack
from core.cases.rows import CaseKey, Judgement, Opinion, Outcome
from core.cases.tallies import refresh


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeCase:
    """A case from its first question to its end; ``ended_at`` is ``None`` while it is open."""

    key: CaseKey
    opened_at: datetime
    judgements: tuple[Judgement, ...]
    opinions: tuple[Opinion, ...] = ()
    confirmations: tuple[Opinion, ...] = ()
    cause: str = ""
    outcome: Outcome | None = None
    step: str = ""
    ended_at: datetime | None = None


def add_whole(db: Database, cases: Iterable[WholeCase]) -> int:
    """Store cases as new ones in one transaction, count them, and return how many there were."""
    added = 0
    with writing(db):
        for case in cases:
            _add(db, case)
            added += 1
    return added


def _add(db: Database, case: WholeCase) -> None:
    community = case.key.community
    number = db.execute("SELECT coalesce(max(number), 0) + 1 FROM cases WHERE community = ?", [community]).fetchone()[0]
    last = case.ended_at or case.judgements[-1].at
    case_id = db.execute(
        "INSERT INTO cases (number, community, channel, author, state, opened_at, changed_at, outcome, step,"
        " outcome_at, ended_at, cause) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            number,
            community,
            case.key.channel,
            case.key.author,
            "open" if case.ended_at is None else "closed",
            case.opened_at.isoformat(),
            last.isoformat(),
            case.outcome,
            case.step or None,
            *([None, None] if case.ended_at is None else [case.ended_at.isoformat()] * 2),
            case.cause or None,
        ],
    ).lastrowid
    for one in case.judgements:
        db.execute(
            "INSERT INTO judgements (case_id, attempt, at, report, verdict, knowledge) VALUES (?, ?, ?, ?, ?, ?)",
            [
                case_id,
                one.attempt,
                one.at.isoformat(),
                one.report.model_dump_json(),
                pack(one.verdict.model_dump_json()),
                one.verdict.knowledge,
            ],
        )
    for table, held in (("opinions", case.opinions), ("confirmations", case.confirmations)):
        for opinion in held:
            db.execute(
                f"INSERT INTO {table} (case_id, helper, cause, at, blind) VALUES (?, ?, ?, ?, ?)",
                [case_id, opinion.helper, opinion.cause, opinion.at.isoformat(), int(opinion.blind)],
            )
    refresh(db, int(case_id or 0))
