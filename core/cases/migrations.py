"""The database's shape, as an append-only list of steps. A released step is never edited: a change is a new step."""

from sqlite_utils import Database, Migrations
from sqlite_utils.db import Table

from core.cases.packed import pack
from core.cases.tallies import recount

MIGRATIONS = Migrations("platewright")


@MIGRATIONS()
def m001_cases(db: Database) -> None:
    """Cases, their judgements, and the service's small memory."""
    cases = _table(db, "cases")
    cases.create(
        {
            "id": int,
            "number": int,
            "community": str,
            "channel": str,
            "author": str,
            "state": str,
            "opened_at": str,
            "changed_at": str,
        },
        pk="id",
        not_null={"number", "community", "channel", "author", "state", "opened_at", "changed_at"},
        strict=True,
    )
    cases.create_index(["community", "number"], unique=True)
    # One open case per person and channel: later readings join it.
    db.execute("CREATE UNIQUE INDEX one_open_case ON cases (community, channel, author) WHERE state = 'open'")
    _table(db, "judgements").create(
        {
            "case_id": int,
            "attempt": int,
            "at": str,
            "report": str,
            "verdict": str,
            "knowledge": str,
        },
        pk=("case_id", "attempt"),
        not_null={"at", "report", "verdict", "knowledge"},
        foreign_keys=[("case_id", "cases", "id")],
        strict=True,
    )
    _table(db, "memory").create({"key": str, "value": str}, pk="key", not_null={"value"}, strict=True)


@MIGRATIONS()
def m002_follow_up(db: Database) -> None:
    """What happens to a case after its verdict, who helps, and how a community wants things."""
    cases = _table(db, "cases")
    for column, kind in (
        # Where the verdict stands, in the platform's own terms, and the thread opened for the case.
        ("place", str),
        ("thread", str),
        ("claimed_by", str),
        ("claimed_at", str),
        # Says "not yet" so often; more than none puts it first in the queue.
        ("tries", int),
        ("outcome", str),
        ("step", str),
        ("outcome_at", str),
        # What the helpers agree was true.
        ("cause", str),
        # The case whose fix this one measures again.
        ("follows", int),
        ("reminded_at", str),
    ):
        cases.add_column(column, kind)
    for index, on in (
        ("waiting", "(community, opened_at) WHERE state = 'open'"),
        ("of_author", "(author)"),
        ("claimed", "(claimed_by) WHERE claimed_by IS NOT NULL"),
        ("in_thread", "(community, thread) WHERE thread IS NOT NULL"),
        ("last_changed", "(changed_at)"),
    ):
        db.execute(f"CREATE INDEX {index} ON cases {on}")
    notes = _table(db, "notes")
    notes.create(
        {"id": int, "case_id": int, "helper": str, "at": str, "text": str},
        pk="id",
        not_null={"case_id", "helper", "at", "text"},
        foreign_keys=[("case_id", "cases", "id")],
        strict=True,
    )
    notes.create_index(["case_id"])
    notes.create_index(["helper"])
    for name in ("opinions", "confirmations"):
        table = _table(db, name)
        table.create(
            # blind: given before the other helpers' answers could be seen.
            {"case_id": int, "helper": str, "cause": str, "at": str, "blind": int},
            pk=("case_id", "helper"),
            not_null={"cause", "at", "blind"},
            foreign_keys=[("case_id", "cases", "id")],
            strict=True,
        )
        table.create_index(["helper"])
    _table(db, "communities").create({"id": str, "rules": str}, pk="id", not_null={"rules"}, strict=True)
    proposals = _table(db, "proposals")
    proposals.create(
        # Said yes to in ``channel``, for the case that ``author`` has in ``case_channel``.
        {
            "community": str,
            "channel": str,
            "helper": str,
            "author": str,
            "case_channel": str,
            "report": str,
            "at": str,
        },
        pk=("community", "channel", "helper"),
        not_null={"author", "case_channel", "report", "at"},
        strict=True,
    )
    proposals.create_index(["author"])
    db.execute("DELETE FROM memory WHERE key LIKE 'proposal:%'")


@MIGRATIONS()
def m003_tallies(db: Database) -> None:
    """Counts of ended cases, each case's share of them, and what was published once and for all."""
    cases = _table(db, "cases")
    # When a case first ended: the month it counts for does not move when its outcome is told anew.
    cases.add_column("ended_at", str)
    db.execute("UPDATE cases SET ended_at = coalesce(outcome_at, changed_at) WHERE state = 'closed'")
    # ``total`` sums what a table measures. Without a rowid the rows of a table lie together.
    columns = "community TEXT, kind TEXT, month TEXT, row TEXT, col TEXT, count INTEGER NOT NULL, total REAL NOT NULL"
    db.execute(
        f"CREATE TABLE tallies ({columns}, PRIMARY KEY (community, kind, month, row, col)) STRICT, WITHOUT ROWID"
    )
    _table(db, "shares").create(
        {"case_id": int, "share": str},
        pk="case_id",
        not_null={"share"},
        foreign_keys=[("case_id", "cases", "id")],
        strict=True,
    )
    _table(db, "published").create(
        {"community": str, "kind": str, "first_month": str, "last_month": str, "shown": str},
        pk=("community", "kind", "first_month"),
        not_null={"last_month", "shown"},
        strict=True,
    )
    # What a confirmed case teaches, so that learning reads no verdicts.
    _table(db, "lessons").create(
        {"case_id": int, "community": str, "at": str, "cause": str, "told": str},
        pk="case_id",
        not_null={"community", "at", "cause", "told"},
        foreign_keys=[("case_id", "cases", "id")],
        strict=True,
    ).create_index(["community"])


@MIGRATIONS()
def m004_packed_verdicts(db: Database) -> None:
    """Verdicts deflated: they are nearly all of the file."""
    db.execute("ALTER TABLE judgements RENAME TO judgements_as_text")
    _table(db, "judgements").create(
        {"case_id": int, "attempt": int, "at": str, "report": str, "verdict": bytes, "knowledge": str},
        pk=("case_id", "attempt"),
        not_null={"at", "report", "verdict", "knowledge"},
        foreign_keys=[("case_id", "cases", "id")],
        strict=True,
    )
    for case_id, attempt, at, report, verdict, knowledge in db.execute("SELECT * FROM judgements_as_text"):
        db.execute(
            "INSERT INTO judgements (case_id, attempt, at, report, verdict, knowledge) VALUES (?, ?, ?, ?, ?, ?)",
            [case_id, attempt, at, report, pack(verdict), knowledge],
        )
    db.execute("DROP TABLE judgements_as_text")


@MIGRATIONS()
def m005_many_cases(db: Database) -> None:
    """Indexes that hold with a million cases, and a mark on every old case that leads to nobody any more."""
    # NULL while the case may lead to somebody: whatever changes it takes the mark away, letting go of it puts it there.
    _table(db, "cases").add_column("nameless", int)
    for index in ("of_author", "claimed", "last_changed"):
        db.execute(f"DROP INDEX {index}")
    for index, on in (
        # The person first and then the community: with one column alone the unique (community, number) ties, and a
        # community may have nearly all the cases.
        ("of_author", "(author, community)"),
        ("claimed", "(claimed_by, community) WHERE claimed_by IS NOT NULL"),
        ("idle", "(changed_at) WHERE state = 'open'"),
        ("named", "(community, changed_at) WHERE nameless IS NULL"),
    ):
        db.execute(f"CREATE INDEX {index} ON cases {on}")


@MIGRATIONS()
def m006_counted(db: Database) -> None:
    """Counts and lessons of the cases that ended before any were kept."""
    recount(db)


def _table(db: Database, name: str) -> Table:
    table = db[name]
    if not isinstance(table, Table):
        raise TypeError(f"{name} is a view")
    return table
