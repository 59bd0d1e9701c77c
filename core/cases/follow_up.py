"""What happens to a case after its verdict: notes, claims, opinions, confirmations, outcomes, the queue.

In: a database and frozen values. Out: frozen values. Who may do what is decided above.
"""

from collections import Counter
from collections.abc import Iterable
from datetime import datetime
from itertools import islice
from typing import Literal

from sqlite_utils import Database

from core.cases.database import writing
from core.cases.record import read_cases, touch
from core.cases.rows import Case, Note, Opinion, Outcome, Waiting

Table = Literal["opinions", "confirmations"]
MOST_WAITING, MOST_SILENT = 200, 50


def add_note(db: Database, case: Case, note: Note) -> None:
    """Add a helper's note."""
    with writing(db):
        db.execute(
            "INSERT INTO notes (case_id, helper, at, text) VALUES (?, ?, ?, ?)",
            [case.id, note.helper, note.at.isoformat(), note.text],
        )
        touch(db, case.id, note.at)


def read_notes(db: Database, case: Case) -> tuple[Note, ...]:
    """Return the notes on a case, oldest first."""
    rows = db.query("SELECT * FROM notes WHERE case_id = ? ORDER BY id", [case.id])
    return tuple(Note(helper=row["helper"], at=datetime.fromisoformat(row["at"]), text=row["text"]) for row in rows)


def claim(db: Database, case: Case, helper: str, at: datetime) -> bool:
    """Let a helper look after a case; say whether nobody else does."""
    with writing(db):
        done = db.execute(
            "UPDATE cases SET claimed_by = ?, claimed_at = ? WHERE id = ? AND coalesce(claimed_by, ?) = ?",
            [helper, at.isoformat(), case.id, helper, helper],
        ).rowcount
        if done:
            touch(db, case.id, at)
    return bool(done)


def release(db: Database, case: Case, at: datetime) -> None:
    """Take back the claim the case had when it was read; another one stays."""
    with writing(db):
        db.execute(
            "UPDATE cases SET claimed_by = NULL, claimed_at = NULL WHERE id = ? AND claimed_by = ?",
            [case.id, case.claimed_by],
        )
        touch(db, case.id, at)


def hold(db: Database, table: Table, case: Case, opinion: Opinion) -> None:
    """Keep a helper's one opinion or confirmation on a case, in place of an earlier one of theirs.

    Which opinion was given blind stays as it was first; a later one was not.
    """
    with writing(db):
        db.execute(
            f"INSERT INTO {table} (case_id, helper, cause, at, blind) VALUES (?, ?, ?, ?, ?)"
            " ON CONFLICT (case_id, helper) DO UPDATE SET cause = excluded.cause, at = excluded.at,"
            " blind = min(blind, cause = excluded.cause)",
            [case.id, opinion.helper, opinion.cause, opinion.at.isoformat(), int(opinion.blind)],
        )
        if table == "confirmations":
            db.execute("UPDATE cases SET cause = ? WHERE id = ?", [_agreed(read_held(db, table, case)), case.id])
        touch(db, case.id, opinion.at)


def read_held(db: Database, table: Table, case: Case) -> tuple[Opinion, ...]:
    """Return the opinions or confirmations on a case, oldest first."""
    rows = db.query(f"SELECT * FROM {table} WHERE case_id = ? ORDER BY at, helper", [case.id])
    return tuple(
        Opinion(
            helper=row["helper"],
            cause=row["cause"],
            at=datetime.fromisoformat(row["at"]),
            blind=bool(row["blind"]),
        )
        for row in rows
    )


def settle(db: Database, case: Case, outcome: Outcome, step: str, at: datetime) -> None:
    """Store how a case ended, and close it."""
    stamp = at.isoformat()
    with writing(db):
        db.execute(
            "UPDATE cases SET outcome = ?, step = ?, outcome_at = ?, ended_at = coalesce(ended_at, ?), state = 'closed'"
            " WHERE id = ?",
            [outcome, step or None, stamp, stamp, case.id],
        )
        touch(db, case.id, at)


def try_again(db: Database, case: Case, at: datetime) -> None:
    """Note that it is not fixed yet."""
    with writing(db):
        db.execute("UPDATE cases SET tries = coalesce(tries, 0) + 1 WHERE id = ?", [case.id])
        touch(db, case.id, at)


def close(db: Database, case: Case, at: datetime) -> None:
    """Close a case without saying how it ended."""
    with writing(db):
        db.execute(
            "UPDATE cases SET state = 'closed', ended_at = coalesce(ended_at, ?) WHERE id = ?",
            [at.isoformat(), case.id],
        )
        touch(db, case.id, at)


def put(db: Database, case: Case, column: Literal["place", "thread", "reminded_at"], value: str) -> None:
    """Keep where a case stands on the platform, or that it was asked about."""
    with writing(db):
        db.execute(f"UPDATE cases SET {column} = ?, nameless = NULL WHERE id = ?", [value, case.id])


def read_queue(db: Database, community: str) -> tuple[Waiting, ...]:
    """Return open cases: first nobody's, and of these first where it did not help yet; then the longest waiting."""
    rows = db.query(
        "SELECT number, opened_at, channel, thread, claimed_by, tries FROM cases"
        " WHERE community = ? AND state = 'open'"
        " ORDER BY claimed_by IS NOT NULL, coalesce(tries, 0) = 0, opened_at LIMIT ?",
        [community, MOST_WAITING],
    )
    return tuple(
        Waiting(
            number=row["number"],
            opened_at=datetime.fromisoformat(row["opened_at"]),
            channel=row["channel"],
            thread=row["thread"] or "",
            claimed_by=row["claimed_by"] or "",
            tries=row["tries"] or 0,
        )
        for row in rows
    )


def count_open(db: Database, community: str) -> tuple[int, int]:
    """Return how many cases are open, and how many of those nobody looks after."""
    row = db.execute(
        "SELECT count(*), count(*) - count(claimed_by) FROM cases WHERE community = ? AND state = 'open'", [community]
    ).fetchone()
    return int(row[0]), int(row[1])


def read_silent(db: Database, communities: Iterable[str], before: datetime) -> tuple[Case, ...]:
    """Return open cases of these communities that nothing was heard of since, and that were not asked about yet.

    Those with a step that may have worked, longest silent first, and no more than ``MOST_SILENT`` at once: each is read
    with its verdict.
    """
    named = list(communities)
    marks = ", ".join("?" * len(named))
    which = f"state = 'open' AND changed_at < ? AND reminded_at IS NULL AND place <> '' AND community IN ({marks})"
    silent = read_cases(db, which, [before.isoformat(), *named], "changed_at, id")
    return tuple(islice((case for case in silent if case.latest.verdict.steps), MOST_SILENT))


def _agreed(confirmations: Iterable[Opinion]) -> str | None:
    """Return the cause that more helpers confirmed than any other."""
    first, *others = Counter(one.cause for one in confirmations).most_common(2)
    return None if others and others[0][1] == first[1] else first[0]
