"""What was understood of somebody's sentence and waits for a yes. In and out: JSON of a Report."""

from datetime import datetime

from sqlite_utils import Database

from core.cases.database import writing
from core.cases.rows import CaseKey


def propose(db: Database, asked: CaseKey, case: CaseKey, report: str, at: datetime) -> None:
    """Keep what was understood about ``case`` until ``asked``, often its author, says yes.

    An empty ``report`` takes the last one back.
    """
    here = [asked.community, asked.channel, asked.author]
    with writing(db):
        db.execute("DELETE FROM proposals WHERE community = ? AND channel = ? AND helper = ?", here)
        if report:
            db.execute(
                "INSERT INTO proposals (community, channel, helper, author, case_channel, report, at)"
                " VALUES (?, ?, ?, ?, ?, ?, ?)",
                [*here, case.author, case.channel, report, at.isoformat()],
            )


def read_proposal(db: Database, asked: CaseKey) -> tuple[CaseKey, str] | None:
    """Return whose case and what was proposed last to ``asked``."""
    row = db.execute(
        "SELECT author, case_channel, report FROM proposals WHERE community = ? AND channel = ? AND helper = ?",
        [asked.community, asked.channel, asked.author],
    ).fetchone()
    return None if row is None else (CaseKey(asked.community, row[1], row[0]), str(row[2]))
