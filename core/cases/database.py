"""The database file: opened, migrated, guarded against what is not ours; and one way to write.

In: a path. Out: a sqlite-utils database in autocommit, whose every transaction is begun by name. This file must never
know what a case is.
"""

import os
import sqlite3
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from sqlite_utils import Database

from core.cases.migrations import MIGRATIONS
from core.errors import StoreUnusable

BUSY_S = 5.0
"""How long a write waits for another process's write."""
WAIT_S = 0.02


def open_database(path: Path) -> Database:
    """Open, and if need be create or migrate, the database at ``path``.

    Raises:
        StoreUnusable: It cannot be opened or written, is no database of ours, or was made by a newer version.
    """
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        # What people told us is for the service's own account only; SQLite gives its side files the same mode.
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
        # Autocommit: every transaction below is begun by name, so none is left open by surprise.
        connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
    except (OSError, sqlite3.Error) as error:
        why = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise StoreUnusable("database_unusable", path=str(path), why=why) from error
    try:
        for pragma in ("synchronous=FULL", "foreign_keys=ON", "secure_delete=ON"):
            connection.execute(f"PRAGMA {pragma}")
        db = Database(connection)
        # IMMEDIATE: two processes that start together migrate one after the other.
        with writing(db):
            _refuse_foreign(db, path)
            _refuse_newer(db, path)
            MIGRATIONS.apply(db)
        # Only now that it is known to be ours: the mode stays with the file.
        _write_ahead(connection)
    except sqlite3.Error as error:
        connection.close()
        raise StoreUnusable("database_unusable", path=str(path), why=str(error)) from error
    except BaseException:
        connection.close()
        raise
    return db


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Switch the file to write-ahead logging; for that it must be alone a moment, which no time-out waits for."""
    until = time.monotonic() + BUSY_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError:
            if time.monotonic() >= until:
                raise
            time.sleep(WAIT_S)
        else:
            return


def _refuse_foreign(db: Database, path: Path) -> None:
    if db.table_names() and not MIGRATIONS.applied(db):
        raise StoreUnusable("database_foreign", path=str(path))


def _refuse_newer(db: Database, path: Path) -> None:
    applied = {migration.name for migration in MIGRATIONS.applied(db)}
    ours = {migration.name for migration in MIGRATIONS._migrations}  # noqa: SLF001 - the only list of all steps
    newer = sorted(applied - ours)
    if newer:
        raise StoreUnusable("database_newer", path=str(path), step=newer[-1])


@contextmanager
def writing(db: Database) -> Iterator[None]:
    """Hold one transaction that is written whole or not at all."""
    # Not db.atomic(): it begins deferred, and a read that then writes fails at once when another process writes.
    db.conn.execute("BEGIN IMMEDIATE")
    try:
        yield
        # Inside the try: a commit that fails, on a full disk for example, must not leave the transaction open.
        db.conn.commit()
    except BaseException:
        db.conn.rollback()
        raise


def leave_no_trace(db: Database) -> None:
    """Write the whole file anew, so that no byte of what was deleted stands anywhere.

    ``secure_delete`` alone is not enough: it clears what is deleted, but not the copies that stay in the free space
    of a page when rows move to another one.

    Raises:
        StoreUnusable: Another process kept reading the old state.
    """
    db.execute("VACUUM")
    empty_log(db)


def rewrite(db: Database, tables: Sequence[str]) -> None:
    """Write tables and their indexes anew, so that no byte of what was deleted from them stands anywhere.

    ``secure_delete`` clears every page that a table gives up, and that is all of them; what is written anew has no
    copies of what is gone. Where other tables are much larger this is so much cheaper than the whole file.

    Raises:
        StoreUnusable: Another process kept reading the old state.
    """
    # A table that others point to is emptied for a moment; SQLite takes this only outside a transaction.
    db.execute("PRAGMA foreign_keys=OFF")
    try:
        with writing(db):
            for table in tables:
                _rewrite(db, table)
    finally:
        db.execute("PRAGMA foreign_keys=ON")
    empty_log(db)


def _rewrite(db: Database, table: str) -> None:
    indexes = db.execute(
        "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND tbl_name = ? AND sql IS NOT NULL", [table]
    ).fetchall()
    for name, _ in indexes:
        db.execute(f"DROP INDEX {name}")
    db.execute(f"CREATE TEMP TABLE kept AS SELECT * FROM main.{table}")
    db.execute(f"DELETE FROM main.{table}")
    db.execute(f"INSERT INTO main.{table} SELECT * FROM kept")
    db.execute("DROP TABLE kept")
    # Made at the end they are sorted once, however many rows there are.
    for _, sql in indexes:
        db.execute(sql)


def empty_log(db: Database) -> None:
    """Fold the write-ahead log into the file and empty it, so that what was deleted is readable in neither.

    Raises:
        StoreUnusable: Another process kept reading the old state.
    """
    until = time.monotonic() + BUSY_S
    while db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]:
        if time.monotonic() >= until:
            raise StoreUnusable("database_failed", why="the write-ahead log is in use")
        time.sleep(WAIT_S)
