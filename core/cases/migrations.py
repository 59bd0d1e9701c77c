"""The database's shape, as an append-only list of steps. A released step is never edited: a change is a new step."""

from sqlite_utils import Database, Migrations
from sqlite_utils.db import Table

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


def _table(db: Database, name: str) -> Table:
    table = db[name]
    if not isinstance(table, Table):
        raise TypeError(f"{name} is a view")
    return table
