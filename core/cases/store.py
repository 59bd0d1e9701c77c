"""The store: cases in one SQLite file, through sqlite-utils, on one owning thread.

In: frozen values. Out: frozen values, or ``StoreUnusable``. Acknowledged means durable: every write is one transaction
with ``synchronous=FULL``. This file must never see a raw user id, and nothing above it sees a row.
"""

import asyncio
import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Self, TypeVar

from pydantic import ValidationError
from sqlite_utils import Database

from core.cases.migrations import MIGRATIONS
from core.cases.rows import Case, CaseKey, Judgement
from core.errors import ServiceFailure, StoreUnusable
from core.report import Report
from core.verdict import Verdict

T = TypeVar("T")

BUSY_S = 5.0
"""How long a write waits for another process's write."""
WAIT_S = 0.02


class CaseMoved(ServiceFailure):
    """The case was changed by somebody else since it was read; read it again and retry."""


class Store:
    """Cases on disk. Make one with ``await Store.open(path)``; every method may be awaited from any task."""

    def __init__(self, thread: ThreadPoolExecutor, db: Database) -> None:
        self._thread = thread
        self._db = db

    @classmethod
    async def open(cls, path: Path) -> Self:
        """Open, and if need be create or migrate, the database at ``path``.

        Raises:
            StoreUnusable: It cannot be opened or written, is no database of ours, or was made by a newer version.
        """
        thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="store")
        opening = thread.submit(_open, path)
        try:
            db = await asyncio.wrap_future(opening)
        except BaseException:
            # Whoever gave up waiting leaves nothing open: the thread itself closes what it may still open.
            thread.submit(_close_opened, opening)
            thread.shutdown(wait=False)
            raise
        return cls(thread, db)

    async def close(self) -> None:
        """Close the database after everything that was begun."""
        try:
            await self._run(lambda db: db.conn.close())
        finally:
            self._thread.shutdown(wait=False)

    async def open_case(self, key: CaseKey) -> Case | None:
        """Return the person's open case in that channel, if there is one."""
        return await self._run(lambda db: _open_case(db, key))

    async def record(self, key: CaseKey, report: Report, verdict: Verdict, at: datetime, *, after: Case | None) -> Case:
        """Store a judgement: in the case ``after``, or in a new one. One transaction.

        Raises:
            CaseMoved: ``after`` is no longer the latest; nothing was stored.
        """
        return await self._run(lambda db: _record(db, key, report, verdict, at, after))

    async def history(self, case: Case) -> tuple[Judgement, ...]:
        """Return all judgements of a case, oldest first."""
        return await self._run(lambda db: _history(db, case))

    async def recall(self, key: str) -> str | None:
        """Return what was remembered under ``key``."""

        def read(db: Database) -> str | None:
            row = next(iter(db.query("SELECT value FROM memory WHERE key = ?", [key])), None)
            return None if row is None else str(row["value"])

        return await self._run(read)

    async def remember(self, key: str, value: str) -> None:
        """Keep a small value under ``key``."""

        def write(db: Database) -> None:
            with _writing(db):
                db.execute("INSERT OR REPLACE INTO memory (key, value) VALUES (?, ?)", [key, value])

        await self._run(write)

    async def _run(self, work: Callable[[Database], T]) -> T:
        def guarded() -> T:
            try:
                return work(self._db)
            except sqlite3.Error as error:
                raise StoreUnusable("database_failed", why=str(error)) from error
            except ValidationError as error:
                # The message would quote what a person wrote.
                raise StoreUnusable("database_failed", why=f"a stored {error.title} cannot be read") from None

        return await asyncio.get_running_loop().run_in_executor(self._thread, guarded)


# ---- opening --------------------------------------------------------------------------------------


def _open(path: Path) -> Database:
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
        for pragma in ("synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {pragma}")
        db = Database(connection)
        # IMMEDIATE: two processes that start together migrate one after the other.
        with _writing(db):
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


def _close_opened(opening: Future[Database]) -> None:
    if not opening.cancelled() and opening.exception() is None:
        opening.result().conn.close()


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
def _writing(db: Database) -> Iterator[None]:
    # Not db.atomic(): it begins deferred, and a read that then writes fails at once when another process writes.
    db.conn.execute("BEGIN IMMEDIATE")
    try:
        yield
        # Inside the try: a commit that fails, on a full disk for example, must not leave the transaction open.
        db.conn.commit()
    except BaseException:
        db.conn.rollback()
        raise


# ---- reading and writing --------------------------------------------------------------------------

_LATEST = """
    SELECT cases.*, judgements.attempt, judgements.at, judgements.report, judgements.verdict
    FROM cases JOIN judgements ON judgements.case_id = cases.id
    WHERE {which}
    ORDER BY judgements.attempt DESC LIMIT 1
"""


def _open_case(db: Database, key: CaseKey) -> Case | None:
    which = "community = ? AND channel = ? AND author = ? AND state = 'open'"
    row = next(iter(db.query(_LATEST.format(which=which), [key.community, key.channel, key.author])), None)
    return None if row is None else _case(row)


def _record(db: Database, key: CaseKey, report: Report, verdict: Verdict, at: datetime, after: Case | None) -> Case:
    stamp = at.isoformat()
    with _writing(db):
        current = _open_case(db, key)
        if (current and (current.id, current.latest.attempt)) != (after and (after.id, after.latest.attempt)):
            raise CaseMoved("case_moved")
        if current is None:
            number = db.execute(
                "SELECT coalesce(max(number), 0) + 1 FROM cases WHERE community = ?", [key.community]
            ).fetchone()[0]
            case_id = db.execute(
                "INSERT INTO cases (number, community, channel, author, state, opened_at, changed_at)"
                " VALUES (?, ?, ?, ?, 'open', ?, ?)",
                [number, key.community, key.channel, key.author, stamp, stamp],
            ).lastrowid
            attempt = 1
        else:
            case_id, attempt = current.id, current.latest.attempt + 1
            db.execute("UPDATE cases SET changed_at = ? WHERE id = ?", [stamp, case_id])
        db.execute(
            "INSERT INTO judgements (case_id, attempt, at, report, verdict, knowledge) VALUES (?, ?, ?, ?, ?, ?)",
            [case_id, attempt, stamp, report.model_dump_json(), verdict.model_dump_json(), verdict.knowledge],
        )
        stored = _open_case(db, key)
    if stored is None:
        raise StoreUnusable("database_failed", why="a stored case cannot be read back")
    return stored


def _history(db: Database, case: Case) -> tuple[Judgement, ...]:
    rows = db.query("SELECT * FROM judgements WHERE case_id = ? ORDER BY attempt", [case.id])
    return tuple(_judgement(row) for row in rows)


def _case(row: dict[str, Any]) -> Case:
    return Case(
        id=row["id"],
        number=row["number"],
        key=CaseKey(row["community"], row["channel"], row["author"]),
        state=row["state"],
        opened_at=datetime.fromisoformat(row["opened_at"]),
        latest=_judgement(row),
    )


def _judgement(row: dict[str, Any]) -> Judgement:
    return Judgement(
        attempt=row["attempt"],
        at=datetime.fromisoformat(row["at"]),
        report=Report.model_validate_json(row["report"]),
        verdict=Verdict.model_validate_json(row["verdict"]),
    )
