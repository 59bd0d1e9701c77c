"""The store on real files: what was acknowledged is there, and what failed left nothing."""

import asyncio
import sqlite3
import stat
from contextlib import asynccontextmanager, closing
from datetime import timedelta
from pathlib import Path

import pytest
from invented_case import AT, KEY, REPORT, bare_verdict, look

from core.cases.migrations import MIGRATIONS
from core.cases.rows import CaseKey
from core.cases.store import CaseMoved, Store
from core.errors import StoreUnusable
from core.report import Report

VERDICT = bare_verdict()


@asynccontextmanager
async def opened(path):
    store = await Store.open(path)
    try:
        yield store
    finally:
        await store.close()


def change(path, *statements):
    with closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()


# ---- opening --------------------------------------------------------------------------------------


async def test_a_new_database_is_made_with_its_folder_for_its_owner_only(tmp_path):
    path = tmp_path / "club" / "data" / "cases.db"
    async with opened(path) as store:
        await store.remember("shelf", "left")
        modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in path.parent.iterdir()}
    assert modes.keys() == {"cases.db", "cases.db-wal", "cases.db-shm"}
    assert set(modes.values()) == {0o600}
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


async def test_a_power_cut_cannot_undo_what_was_acknowledged(tmp_path):
    """WAL with synchronous=FULL: every commit is on disk (SQLite documentation, "PRAGMA synchronous")."""
    async with opened(tmp_path / "cases.db") as store:
        mode, synchronous, foreign = await store._run(
            lambda db: [db.execute(f"PRAGMA {name}").fetchone()[0] for name in PRAGMAS]
        )
    assert (mode, synchronous, foreign) == ("wal", 2, 1)


PRAGMAS = ("journal_mode", "synchronous", "foreign_keys")


async def test_each_migration_is_recorded_once_however_often_the_file_is_opened(tmp_path):
    path = tmp_path / "cases.db"
    for _ in range(3):
        async with opened(path):
            pass
    steps = look(path, "SELECT name FROM _sqlite_migrations WHERE migration_set = 'platewright' ORDER BY id")
    assert [name for (name,) in steps] == [step.name for step in MIGRATIONS._migrations]


async def test_many_that_open_a_new_database_together_all_get_it(tmp_path):
    path = tmp_path / "cases.db"
    stores = await asyncio.gather(*(Store.open(path) for _ in range(6)))
    await asyncio.gather(*(store.remember(str(n), "here") for n, store in enumerate(stores)))
    assert [await store.recall("5") for store in stores] == ["here"] * 6
    for store in stores:
        await store.close()
    assert look(path, "SELECT count(*) FROM _sqlite_migrations") == [(len(MIGRATIONS._migrations),)]


async def test_a_database_of_a_newer_version_is_refused_and_left_as_it_is(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path):
        pass
    change(path, "INSERT INTO _sqlite_migrations (migration_set, name) VALUES ('platewright', 'm999_later')")
    before = path.read_bytes()
    with pytest.raises(StoreUnusable) as refusal:
        await Store.open(path)
    assert refusal.value.code == "database_newer"
    assert refusal.value.values["step"] == "m999_later"
    assert path.read_bytes() == before


async def test_a_database_of_another_program_is_refused_and_left_as_it_is(tmp_path):
    path = tmp_path / "tools.db"
    change(path, "CREATE TABLE loans (tool TEXT)", "INSERT INTO loans VALUES ('plane')")
    before = path.read_bytes()
    with pytest.raises(StoreUnusable) as refusal:
        await Store.open(path)
    assert refusal.value.code == "database_foreign"
    assert path.read_bytes() == before


def a_text_file(folder: Path) -> Path:
    (folder / "notes.txt").write_text("Invented notes of the tool library.\n" * 40)
    return folder / "notes.txt"


def a_folder(folder: Path) -> Path:
    return folder


def below_a_file(folder: Path) -> Path:
    return a_text_file(folder) / "cases.db"


def a_cut_off_database(folder: Path) -> Path:
    path = folder / "cases.db"
    change(path, "CREATE TABLE t (a)", *["INSERT INTO t VALUES (zeroblob(900))"] * 40)
    path.write_bytes(path.read_bytes()[:5000])
    return path


def nowhere(_folder: Path) -> Path:
    return Path("/proc/no-such-folder/cases.db")


@pytest.mark.parametrize("make", [a_text_file, a_folder, below_a_file, a_cut_off_database, nowhere])
async def test_what_cannot_be_a_database_is_refused_by_its_path(make, tmp_path):
    path = make(tmp_path)
    with pytest.raises(StoreUnusable) as refusal:
        await Store.open(path)
    assert refusal.value.values["path"] == str(path)
    assert refusal.value.code in {"database_unusable", "database_foreign"}


async def test_opening_that_nobody_waits_for_any_more_leaves_nothing_open(tmp_path):
    path = tmp_path / "cases.db"
    opening = asyncio.ensure_future(Store.open(path))
    await asyncio.sleep(0)
    opening.cancel()
    with pytest.raises(asyncio.CancelledError):
        await opening
    async with opened(path) as store:
        assert await store.open_case(KEY) is None


# ---- cases ----------------------------------------------------------------------------------------


async def test_a_person_has_one_open_case_in_a_channel_and_attempts_count_up(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        case = None
        for attempt in (1, 2, 3):
            at = AT + timedelta(minutes=attempt)
            case = await store.record(KEY, REPORT, VERDICT, at, after=case)
            assert (case.number, case.latest.attempt, case.latest.at) == (1, attempt, at)
            assert case.opened_at == AT + timedelta(minutes=1)
        assert await store.open_case(KEY) == case
        assert [one.attempt for one in await store.history(case)] == [1, 2, 3]
    assert look(path, "SELECT count(*) FROM cases") == [(1,)]


async def test_other_people_channels_and_communities_have_other_cases(tmp_path):
    others = (
        KEY,
        CaseKey("print-club", "help", "1e" * 16),
        CaseKey("print-club", "workshop", KEY.author),
        CaseKey("other-club", "help", KEY.author),
    )
    async with opened(tmp_path / "cases.db") as store:
        cases = [await store.record(key, REPORT, VERDICT, AT, after=None) for key in others]
        assert [await store.open_case(key) for key in others] == cases
    assert [case.number for case in cases] == [1, 2, 3, 1]  # numbers count within a community
    assert len({case.id for case in cases}) == 4


async def test_report_verdict_and_times_come_back_as_they_were_given_after_reopening(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        stored = await store.record(KEY, REPORT, VERDICT, AT, after=None)
        await store.remember("shelf", "left")
        await store.remember("shelf", "right")
    async with opened(path) as store:
        case = await store.open_case(KEY)
        assert case == stored
        assert (case.latest.report, case.latest.verdict, case.latest.at) == (REPORT, VERDICT, AT)
        # What was not given stays not given, and a lost coupon stays lost.
        assert case.latest.report.readings.model_fields_set == {"front_left", "front_right"}
        assert case.latest.report.readings.front_right is None
        assert await store.recall("shelf") == "right"
        assert await store.recall("bench") is None


async def test_what_was_acknowledged_is_in_the_file_before_the_store_is_closed(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        await store.record(KEY, REPORT, VERDICT, AT, after=None)
        assert look(path, "SELECT case_id, attempt FROM judgements") == [(1, 1)]


@pytest.mark.parametrize("stale", ["none", "first"])
async def test_a_case_that_moved_meanwhile_takes_nothing(stale, tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        first = await store.record(KEY, REPORT, VERDICT, AT, after=None)
        second = await store.record(KEY, REPORT, VERDICT, AT, after=first)
        with pytest.raises(CaseMoved):
            await store.record(KEY, Report(), VERDICT, AT, after=None if stale == "none" else first)
        assert await store.open_case(KEY) == second
    assert look(path, "SELECT count(*) FROM judgements") == [(2,)]


async def test_two_stores_on_one_file_see_and_never_overwrite_each_other(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as here, opened(path) as there:
        first = await here.record(KEY, REPORT, VERDICT, AT, after=None)
        assert await there.open_case(KEY) == first
        second = await there.record(KEY, REPORT, VERDICT, AT, after=first)
        with pytest.raises(CaseMoved):
            await here.record(KEY, REPORT, VERDICT, AT, after=first)
        raced = await asyncio.gather(
            *(store.record(KEY, REPORT, VERDICT, AT, after=second) for store in (here, there)),
            return_exceptions=True,
        )
    assert sorted(type(one).__name__ for one in raced) == ["Case", "CaseMoved"]
    assert look(path, "SELECT attempt FROM judgements ORDER BY attempt") == [(1,), (2,), (3,)]


@pytest.mark.parametrize("when", ["at once", "in a second attempt"])
async def test_a_write_that_fails_midway_leaves_nothing_half_saved(when, tmp_path):
    """A case without a judgement, or changed without one, would be half of a write."""
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        case = await store.record(KEY, REPORT, VERDICT, AT, after=None) if when != "at once" else None
        change(path, "CREATE TRIGGER full BEFORE INSERT ON judgements BEGIN SELECT RAISE(ABORT, 'disk full'); END")
        with pytest.raises(StoreUnusable, match="disk full") as failure:
            await store.record(KEY, REPORT, VERDICT, AT + timedelta(hours=1), after=case)
        assert failure.value.code == "database_failed"
        assert await store.open_case(KEY) == case
        attempts = 0 if case is None else 1
        assert look(path, "SELECT count(*), max(changed_at) FROM cases") == [
            (attempts, AT.isoformat() if case else None)
        ]
        assert look(path, "SELECT count(*) FROM judgements") == [(attempts,)]
        change(path, "DROP TRIGGER full")
        again = await store.record(KEY, REPORT, VERDICT, AT, after=case)
        assert again.latest.attempt == attempts + 1


async def test_a_commit_that_fails_does_not_block_the_next_write(tmp_path):
    """A foreign key is only checked at the commit where it is deferred, so this commit itself fails."""
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        change(
            path,
            "CREATE TABLE shelf (id INTEGER PRIMARY KEY)",
            "CREATE TABLE box (shelf INTEGER REFERENCES shelf(id) DEFERRABLE INITIALLY DEFERRED)",
            "CREATE TRIGGER odd AFTER INSERT ON memory BEGIN INSERT INTO box VALUES (7); END",
        )
        with pytest.raises(StoreUnusable, match="FOREIGN KEY"):
            await store.remember("shelf", "left")
        change(path, "DROP TRIGGER odd")
        await store.remember("bench", "right")
        assert (await store.recall("shelf"), await store.recall("bench")) == (None, "right")


async def test_another_open_case_for_the_same_person_and_channel_cannot_even_be_written(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        await store.record(KEY, REPORT, VERDICT, AT, after=None)
    with pytest.raises(sqlite3.IntegrityError):
        change(
            path,
            "INSERT INTO cases (number, community, channel, author, state, opened_at, changed_at) "
            "SELECT 2, community, channel, author, state, opened_at, changed_at FROM cases",
        )


async def test_a_damaged_row_is_our_failure_and_quotes_nothing_of_it(tmp_path):
    path = tmp_path / "cases.db"
    async with opened(path) as store:
        await store.record(KEY, REPORT, VERDICT, AT, after=None)
        change(path, """UPDATE judgements SET report = '{"moss said": 1}'""")
        with pytest.raises(StoreUnusable) as failure:
            await store.open_case(KEY)
    assert failure.value.code == "database_failed"
    assert "moss" not in str(failure.value)
