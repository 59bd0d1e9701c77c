"""A database of an earlier version becomes one of this version, and what is in it stays."""

import sqlite3
from contextlib import closing

import pytest
from invented_case import AT, FERN, MOSS, REPORT, bare_verdict
from sqlite_utils import Database

from core.cases.migrations import MIGRATIONS
from core.cases.rows import CaseKey, Community, Note, Opinion
from core.cases.store import Store

VERDICT = bare_verdict()
CASES = (("closed", MOSS, 1), ("open", MOSS, 2), ("open", FERN, 3))
"""State, author and number of judgements of the cases in the old database."""


@pytest.fixture
def old(tmp_path):
    """A database as the first version left it, with cases in it."""
    path = tmp_path / "cases.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        db = Database(connection)
        MIGRATIONS.apply(db, stop_before="m002_follow_up")
        for number, (state, author, attempts) in enumerate(CASES, 1):
            db.execute(
                "INSERT INTO cases (number, community, channel, author, state, opened_at, changed_at)"
                " VALUES (?, 'print-club', 'help', ?, ?, ?, ?)",
                [number, author, state, AT.isoformat(), AT.isoformat()],
            )
            for attempt in range(1, attempts + 1):
                values = [number, attempt, AT.isoformat(), REPORT.model_dump_json(), VERDICT.model_dump_json(), "1"]
                db.execute("INSERT INTO judgements VALUES (?, ?, ?, ?, ?, ?)", values)
        for key, value in (("secret", "fingerprint"), (f"proposal:print-club:help:{MOSS}", '{"old": 1}')):
            db.execute("INSERT INTO memory VALUES (?, ?)", [key, value])
        assert [one.name for one in MIGRATIONS.applied(db)] == ["m001_cases"]
        assert "notes" not in db.table_names()
    return path


async def test_the_cases_of_an_old_database_are_all_there_and_take_everything_new(old):
    store = await Store.open(old)
    try:
        key = CaseKey("print-club", "help", MOSS)
        case = await store.open_case(key)
        assert (case.number, case.latest.attempt, case.latest.report, case.latest.verdict) == (2, 2, REPORT, VERDICT)
        assert (case.place, case.thread, case.claimed_by, case.tries, case.outcome, case.follows) == (
            *("", "", "", 0, None),
            None,
        )
        assert [len(await store.history(await store.case("print-club", n))) for n in (1, 2, 3)] == [1, 2, 3]
        assert [one.number for one in await store.queue("print-club")] == [2, 3]
        assert await store.recall("secret") == "fingerprint"
        await store.note(case, Note(helper=FERN, at=AT, text="invented"))
        await store.hold("confirmations", case, Opinion(helper=FERN, cause="tilt", at=AT, blind=True))
        assert await store.claim(case, FERN, AT)
        await store.settle(case, "fixed_by_step", "level_plate", AT)
        assert (await store.last_fixed(key)).cause == "tilt"
        assert await store.community("print-club") == Community()
        again = await store.record(key, REPORT, VERDICT, AT, after=None, follows=case)
        assert (again.number, again.follows) == (4, case.id)
        await store.erase([("print-club", MOSS)])
    finally:
        await store.close()
    assert MOSS.encode() not in old.read_bytes()


async def test_an_old_proposal_is_dropped_since_it_does_not_say_whose_case_it_was_for(old):
    store = await Store.open(old)
    await store.close()
    with closing(sqlite3.connect(old)) as connection:
        assert connection.execute("SELECT key FROM memory").fetchall() == [("secret",)]
        assert connection.execute("SELECT count(*) FROM proposals").fetchone() == (0,)


async def test_an_old_database_and_a_new_one_have_the_same_shape(old, tmp_path):
    shapes = []
    for path in (old, tmp_path / "new.db"):
        await (await Store.open(path)).close()
        with closing(sqlite3.connect(path)) as connection:
            query = (
                "SELECT type, name, tbl_name FROM sqlite_master WHERE name NOT LIKE '\\_%' ESCAPE '\\' ORDER BY 1, 2"
            )
            rows = connection.execute(query).fetchall()
            tables = sorted({table for _, _, table in rows})
            shapes.append((rows, [connection.execute(f"PRAGMA table_info({table})").fetchall() for table in tables]))
    assert shapes[0] == shapes[1]
