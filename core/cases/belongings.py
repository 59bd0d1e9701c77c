"""Whatever is kept about people and communities: shown, taken away, and let go after a time.

In: a database, pseudonyms. Out: frozen values. What stays of a case says nothing about a person: no pseudonym, no text
that anybody wrote, only what was measured, seen, found and how it ended.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta

from sqlite_utils import Database

from core.cases import tallies
from core.cases.database import empty_log, leave_no_trace, rewrite, writing
from core.cases.record import moment, read_cases, read_history
from core.cases.rows import Community, Held, Note, Opinion

IDLE_DAYS = 30
"""An open case of which nothing is heard for so long counts as abandoned, a yes that was not said as a no."""

_NOBODY = "'nobody-' || lower(hex(randomblob(8)))"
_UNCLEAN = "unclean"
"""Remembered while something is deleted whose bytes may still stand in the file; says where."""
_OF_PEOPLE, _ANYWHERE = "people", ""
_PEOPLE = ("cases", "notes", "opinions", "confirmations", "proposals")
"""Where people are named or write something; verdicts, nearly all of the file, do neither."""
_NAMED = "helper NOT LIKE 'nobody-%'"

# From one community to the next in the index of numbers: DISTINCT would walk over every case.
_COMMUNITIES = """
    WITH RECURSIVE known (community) AS (
        SELECT min(community) FROM cases
        UNION ALL
        SELECT (SELECT min(community) FROM cases WHERE cases.community > known.community)
        FROM known WHERE community IS NOT NULL
    )
    SELECT community FROM known WHERE community IS NOT NULL
    UNION SELECT id FROM communities UNION SELECT community FROM proposals
"""
# CROSS JOIN keeps the order: from the few rows of a person to their cases, never from all cases of a community.
_ON_CASES = "CROSS JOIN cases ON cases.id = case_id WHERE community = ? AND helper = ?"
_ABOUT = "cases CROSS JOIN notes ON case_id = cases.id WHERE community = ? AND author = ? AND helper <> author"
_IN_COMMUNITY = "EXISTS (SELECT 1 FROM cases WHERE cases.id = case_id AND community = ?)"

Person = tuple[str, str]
"""A community and the pseudonym somebody has there."""


def read_community(db: Database, community: str) -> Community:
    """Return how a community wants things, the usual way if it never said."""
    row = db.execute("SELECT rules FROM communities WHERE id = ?", [community]).fetchone()
    return Community() if row is None else Community.model_validate_json(row[0])


def write_community(db: Database, community: str, rules: Community) -> None:
    """Keep how a community wants things."""
    with writing(db):
        db.execute("INSERT OR REPLACE INTO communities (id, rules) VALUES (?, ?)", [community, rules.model_dump_json()])


def read_communities(db: Database) -> tuple[str, ...]:
    """Return every community of which anything is kept."""
    return tuple(row[0] for row in db.execute(_COMMUNITIES).fetchall())


def read_person(db: Database, people: Iterable[Person]) -> Held:
    """Return all that is kept about somebody under any of these pseudonyms."""
    held = Held()
    for community, name in people:
        cases = tuple(
            (case, read_history(db, case)) for case in read_cases(db, "community = ? AND author = ?", [community, name])
        )
        held = Held(
            cases=(*held.cases, *cases),
            notes=(*held.notes, *_notes(db, f"notes {_ON_CASES}", (community, name))),
            opinions=(*held.opinions, *_opinions(db, _ON_CASES, (community, name))),
            about=(*held.about, *_notes(db, _ABOUT, (community, name))),
            claims=(
                *held.claims,
                *(
                    row[0]
                    for row in db.execute(
                        "SELECT number FROM cases WHERE community = ? AND claimed_by = ? ORDER BY +number",
                        [community, name],
                    ).fetchall()
                ),
            ),
            proposals=(
                *held.proposals,
                *(
                    row[0]
                    for row in db.execute(
                        "SELECT report FROM proposals WHERE community = ? AND (author = ? OR helper = ?) ORDER BY at",
                        [community, name, name],
                    ).fetchall()
                ),
            ),
        )
    return held


def erase_person(db: Database, people: Iterable[Person]) -> None:
    """Take away all that is kept about somebody, and leave no trace of it in the file.

    Raises:
        StoreUnusable: It is deleted, but another process kept the old state in use.
    """
    with _erasing(db, _OF_PEOPLE):
        for community, name in people:
            _let_go(db, "community = ? AND author = ?", [community, name])
            db.execute(f"DELETE FROM notes WHERE helper = ? AND {_IN_COMMUNITY}", [name, community])
            for table in ("opinions", "confirmations"):
                # Counts of agreement stay true; what replaces the pseudonym leads nowhere.
                db.execute(
                    f"UPDATE {table} SET helper = {_NOBODY} WHERE helper = ? AND {_IN_COMMUNITY}", [name, community]
                )
            db.execute(
                "UPDATE cases SET claimed_by = NULL, claimed_at = NULL WHERE community = ? AND claimed_by = ?",
                [community, name],
            )
            db.execute(
                "DELETE FROM proposals WHERE community = ? AND (author = ? OR helper = ?)", [community, name, name]
            )


def forget_community(db: Database, community: str) -> None:
    """Delete everything of a community, and leave no trace of it in the file.

    Raises:
        StoreUnusable: It is deleted, but another process kept the old state in use.
    """
    with _erasing(db, _ANYWHERE):
        tallies.forget(db, community)
        for table in ("notes", "opinions", "confirmations", "judgements"):
            db.execute(f"DELETE FROM {table} WHERE case_id IN (SELECT id FROM cases WHERE community = ?)", [community])
        db.execute("DELETE FROM cases WHERE community = ?", [community])
        db.execute("DELETE FROM proposals WHERE community = ?", [community])
        db.execute("DELETE FROM communities WHERE id = ?", [community])
        db.execute("DELETE FROM published WHERE community = ?", [community])


@contextmanager
def _erasing(db: Database, where: str) -> Iterator[None]:
    """Hold one transaction that deletes; then clean the file, also of what an earlier one could not clean."""
    before = db.conn.total_changes
    with writing(db):
        yield
        if db.conn.total_changes > before:
            # What has to be cleaned everywhere stays so.
            db.execute(
                "INSERT INTO memory (key, value) VALUES (?, ?)"
                " ON CONFLICT (key) DO UPDATE SET value = min(value, excluded.value)",
                [_UNCLEAN, where],
            )
    _clean(db)


def _clean(db: Database) -> None:
    # Writing anew takes seconds where there is much: nobody can ask for it without anything to erase.
    unclean = db.execute("SELECT value FROM memory WHERE key = ?", [_UNCLEAN]).fetchone()
    if unclean is None:
        return
    if unclean[0] == _OF_PEOPLE:
        rewrite(db, _PEOPLE)
    else:
        leave_no_trace(db)
    with writing(db):
        db.execute("DELETE FROM memory WHERE key = ?", [_UNCLEAN])


def tidy(db: Database, at: datetime) -> int:
    """Close what was abandoned, let go of people in what is old; return how many cases were let go.

    Raises:
        StoreUnusable: It is done, but another process kept the old state in use.
    """
    _clean(db)
    let_go = changed = 0
    idle = (at - timedelta(days=IDLE_DAYS)).isoformat()
    with writing(db):
        for (case_id,) in db.execute("SELECT id FROM cases WHERE state = 'open' AND changed_at < ?", [idle]).fetchall():
            db.execute(
                "UPDATE cases SET state = 'closed', outcome = 'abandoned', outcome_at = ?, ended_at = ? WHERE id = ?",
                [at.isoformat(), at.isoformat(), case_id],
            )
            tallies.refresh(db, case_id)
        changed += db.execute("DELETE FROM proposals WHERE at < ?", [idle]).rowcount
        for community in read_communities(db):
            before = at - timedelta(days=read_community(db, community).retention_days)
            let_go += _let_go_of_old(db, community, before.isoformat())
    if let_go or changed:
        empty_log(db)
    return let_go


def _let_go_of_old(db: Database, community: str, before: str) -> int:
    """Take from old cases whatever points to anybody; return how many did, once each."""
    old = db.execute(
        "SELECT id, author <> '' OR claimed_by IS NOT NULL FROM cases"
        " WHERE community = ? AND changed_at < ? AND nameless IS NULL",
        [community, before],
    ).fetchall()
    pointed = 0
    for case_id, led_to_somebody in old:
        touched = _let_go(db, "id = ?", [case_id])
        for table in ("opinions", "confirmations"):
            touched += db.execute(
                f"UPDATE {table} SET helper = {_NOBODY} WHERE case_id = ? AND {_NAMED}", [case_id]
            ).rowcount
        db.execute("UPDATE cases SET nameless = 1 WHERE id = ?", [case_id])
        pointed += bool(led_to_somebody or touched)
    return pointed


def _let_go(db: Database, which: str, values: Sequence[object]) -> int:
    """Take from cases what points to a person: pseudonyms, notes, where they stand; return how many notes went."""
    gone = 0
    for case_id, state in db.execute(f"SELECT id, state FROM cases WHERE {which}", values).fetchall():
        gone += db.execute("DELETE FROM notes WHERE case_id = ?", [case_id]).rowcount
        db.execute(
            "UPDATE cases SET channel = iif(channel = author, '', channel), author = '', state = 'closed',"
            " ended_at = coalesce(ended_at, changed_at), place = NULL, thread = NULL, claimed_by = NULL,"
            " claimed_at = NULL WHERE id = ?",
            [case_id],
        )
        if state == "open":
            tallies.refresh(db, case_id)
    return gone


def _notes(db: Database, source: str, values: Sequence[object]) -> Iterable[tuple[int, Note]]:
    rows = db.query(f"SELECT number, helper, notes.at, text FROM {source} ORDER BY notes.id", values)
    return [
        (row["number"], Note(helper=row["helper"], at=datetime.fromisoformat(row["at"]), text=row["text"]))
        for row in rows
    ]


def _opinions(db: Database, which: str, values: Sequence[object]) -> Iterable[tuple[int, Opinion]]:
    for table in ("opinions", "confirmations"):
        rows = db.query(f"SELECT number, {table}.* FROM {table} {which} ORDER BY {table}.at", values)
        for row in rows:
            at = moment(row["at"])
            if at is not None:
                yield (
                    row["number"],
                    Opinion(helper=row["helper"], cause=row["cause"], at=at, blind=bool(row["blind"])),
                )
