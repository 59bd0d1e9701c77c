"""The store: cases in one SQLite file, through sqlite-utils, on one owning thread.

In: frozen values. Out: frozen values, or ``StoreUnusable``. Acknowledged means durable: every write is one transaction
with ``synchronous=FULL``. This file must never see a raw user id, and nothing above it sees a row.
"""

import asyncio
import sqlite3
import zlib
from collections.abc import Callable, Collection, Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Literal, Self, TypeVar

from pydantic import ValidationError
from sqlite_utils import Database

from core.cases import belongings, follow_up, lessons, proposals, published, tallies
from core.cases import record as cases
from core.cases.belongings import Person
from core.cases.bulk import WholeCase, add_whole
from core.cases.database import open_database, writing
from core.cases.record import CaseMoved
from core.cases.rows import Case, CaseKey, Community, Held, Judgement, Note, Opinion, Outcome, Waiting
from core.errors import StoreUnusable
from core.learning import Lesson
from core.report import Report
from core.verdict import Verdict

__all__ = ["CaseMoved", "Store"]

T = TypeVar("T")


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
        opening = thread.submit(open_database, path)
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

    # ---- cases ----

    async def open_case(self, key: CaseKey) -> Case | None:
        """Return the person's open case in that channel, if there is one."""
        return await self._run(partial(cases.read_open_case, key=key))

    async def case(self, community: str, number: int) -> Case | None:
        """Return a community's case by its number."""
        return await self._run(partial(cases.read_case, community=community, number=number))

    async def case_in_thread(self, community: str, thread: str) -> Case | None:
        """Return the case a thread was opened for."""
        return await self._run(partial(cases.read_case_in_thread, community=community, thread=thread))

    async def last_fixed(self, key: CaseKey) -> Case | None:
        """Return the person's last case in that channel, if it is closed and was fixed."""
        return await self._run(partial(cases.read_last_fixed, key=key))

    async def record(
        self,
        key: CaseKey,
        report: Report,
        verdict: Verdict,
        at: datetime,
        *,
        after: Case | None,
        follows: Case | None = None,
    ) -> Case:
        """Store a judgement: in the case ``after``, or in a new one, which may follow one that was fixed.

        Raises:
            CaseMoved: ``after`` is no longer the latest; nothing was stored.
        """
        return await self._run(lambda db: cases.record(db, key, report, verdict, at, after, follows))

    async def history(self, case: Case) -> tuple[Judgement, ...]:
        """Return all judgements of a case, oldest first."""
        return await self._run(partial(cases.read_history, case=case))

    async def add_whole(self, whole: Iterable[WholeCase]) -> int:
        """Store whole cases as new ones in one transaction, and return how many there were."""
        return await self._run(lambda db: add_whole(db, whole))

    # ---- what waits for a yes ----

    async def propose(self, asked: CaseKey, case: CaseKey, report: str, at: datetime) -> None:
        """Keep what was understood about ``case`` until ``asked`` says yes; nothing takes the last one back."""
        await self._run(lambda db: proposals.propose(db, asked, case, report, at))

    async def proposed(self, asked: CaseKey) -> tuple[CaseKey, str] | None:
        """Return whose case and what was proposed last to ``asked``."""
        return await self._run(partial(proposals.read_proposal, asked=asked))

    # ---- what follows a verdict ----

    async def note(self, case: Case, note: Note) -> None:
        """Add a helper's note."""
        await self._run(lambda db: follow_up.add_note(db, case, note))

    async def notes(self, case: Case) -> tuple[Note, ...]:
        """Return the notes on a case, oldest first."""
        return await self._run(partial(follow_up.read_notes, case=case))

    async def claim(self, case: Case, helper: str, at: datetime) -> bool:
        """Let a helper look after a case; say whether nobody else does."""
        return await self._run(lambda db: follow_up.claim(db, case, helper, at))

    async def release(self, case: Case, at: datetime) -> None:
        """Take back the claim the case had when it was read; another one stays."""
        await self._run(lambda db: follow_up.release(db, case, at))

    async def hold(self, table: follow_up.Table, case: Case, opinion: Opinion) -> None:
        """Keep a helper's opinion or confirmation, in place of an earlier one of theirs on this case."""
        await self._run(lambda db: follow_up.hold(db, table, case, opinion))

    async def held(self, table: follow_up.Table, case: Case) -> tuple[Opinion, ...]:
        """Return the opinions or confirmations on a case, oldest first."""
        return await self._run(lambda db: follow_up.read_held(db, table, case))

    async def settle(self, case: Case, outcome: Outcome, step: str, at: datetime) -> None:
        """Store how a case ended, and close it."""
        await self._run(lambda db: follow_up.settle(db, case, outcome, step, at))

    async def try_again(self, case: Case, at: datetime) -> None:
        """Note that it is not fixed yet."""
        await self._run(lambda db: follow_up.try_again(db, case, at))

    async def close_case(self, case: Case, at: datetime) -> None:
        """Close a case without saying how it ended."""
        await self._run(lambda db: follow_up.close(db, case, at))

    async def put(self, case: Case, column: Literal["place", "thread", "reminded_at"], value: str) -> None:
        """Keep where a case stands on the platform, or that it was asked about."""
        await self._run(lambda db: follow_up.put(db, case, column, value))

    async def queue(self, community: str) -> tuple[Waiting, ...]:
        """Return open cases, those that need somebody first."""
        return await self._run(partial(follow_up.read_queue, community=community))

    async def count_open(self, community: str) -> tuple[int, int]:
        """Return how many cases are open, and how many of those nobody looks after."""
        return await self._run(partial(follow_up.count_open, community=community))

    async def silent(self, communities: Iterable[str], before: datetime) -> tuple[Case, ...]:
        """Return open cases nothing was heard of since ``before``, and that were not asked about yet."""
        return await self._run(lambda db: follow_up.read_silent(db, communities, before))

    # ---- people and communities ----

    async def community(self, community: str) -> Community:
        """Return how a community wants things."""
        return await self._run(partial(belongings.read_community, community=community))

    async def keep_community(self, community: str, rules: Community) -> None:
        """Keep how a community wants things."""
        await self._run(lambda db: belongings.write_community(db, community, rules))

    async def communities(self) -> Mapping[str, Community]:
        """Return every community of which anything is kept, and how it wants things."""
        return await self._run(
            lambda db: {one: belongings.read_community(db, one) for one in belongings.read_communities(db)}
        )

    async def person(self, people: Iterable[Person]) -> Held:
        """Return all that is kept about somebody under any of these pseudonyms."""
        return await self._run(lambda db: belongings.read_person(db, people))

    async def erase(self, people: Iterable[Person]) -> None:
        """Take away all that is kept about somebody, down to the bytes of the file."""
        await self._run(lambda db: belongings.erase_person(db, people))

    async def forget_community(self, community: str) -> None:
        """Delete everything of a community."""
        await self._run(partial(belongings.forget_community, community=community))

    async def tidy(self, at: datetime) -> int:
        """Close what was abandoned and let go of people in old cases; return how many cases were let go."""
        return await self._run(partial(belongings.tidy, at=at))

    # ---- counts ----

    async def table(
        self, community: str, table: str, first_month: str = "", last_month: str = "9999-12"
    ) -> Mapping[str, Mapping[tuple[str, str], tuple[int, float]]]:
        """Return, by month, (row, column) to count and total of a table of ended cases."""
        return await self._run(lambda db: tallies.read_table(db, community, table, first_month, last_month))

    async def publish(
        self, community: str, month: str, policy: published.Policy, parts: Collection[str] | None = None
    ) -> published.Publication:
        """Close the periods that are over before ``month``, and return what is published of a community."""
        return await self._run(lambda db: published.publish(db, community, month, policy, parts))

    async def lessons(self) -> tuple[Lesson, ...]:
        """Return what every confirmed case of every community teaches."""
        return await self._run(lessons.read_lessons)

    async def lesson_counts(self) -> Mapping[str, int]:
        """Return how many lessons each community has."""
        return await self._run(lessons.count_lessons)

    async def recount(self) -> bool:
        """Make every count afresh from the cases; return whether they had been right."""

        def work(db: Database) -> bool:
            with writing(db):
                return tallies.recount(db)

        return await self._run(work)

    # ---- the service's own memory ----

    async def recall(self, key: str) -> str | None:
        """Return what was remembered under ``key``."""

        def read(db: Database) -> str | None:
            row = next(iter(db.query("SELECT value FROM memory WHERE key = ?", [key])), None)
            return None if row is None else str(row["value"])

        return await self._run(read)

    async def remember(self, key: str, value: str) -> None:
        """Keep a small value under ``key``."""

        def write(db: Database) -> None:
            with writing(db):
                db.execute("INSERT OR REPLACE INTO memory (key, value) VALUES (?, ?)", [key, value])

        await self._run(write)

    async def _run(self, work: Callable[[Database], T]) -> T:
        def guarded() -> T:
            try:
                return work(self._db)
            except sqlite3.Error as error:
                raise StoreUnusable("database_failed", why=str(error)) from error
            except (ValidationError, zlib.error) as error:
                # The message would quote what a person wrote.
                raise StoreUnusable(
                    "database_failed", why=f"a stored {getattr(error, 'title', 'Verdict')} cannot be read"
                ) from None

        return await asyncio.get_running_loop().run_in_executor(self._thread, guarded)


def _close_opened(opening: Future[Database]) -> None:
    if not opening.cancelled() and opening.exception() is None:
        opening.result().conn.close()
