"""Cases that the benchmark writes by the million are what the store itself would have stored and counted."""

import pytest
from many_cases import CLUB, NOW, judge_moulds, write_cases

from core.cases.store import Store

SECRET = b"\x07" * 32
CASES = 300


@pytest.fixture
async def store(tmp_path):
    path = tmp_path / "cases.db"
    await (await Store.open(path)).close()
    write_cases(path, CASES, SECRET, judge_moulds(12, seed=5), seed=6)
    store = await Store.open(path)
    yield store
    await store.close()


def kept(db):
    return {
        table: db.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall()  # noqa: S608 - three names
        for table in ("shares", "lessons", "tallies")
    }


async def test_shares_counts_and_lessons_are_equal_to_a_recount(store):
    before = await store._run(kept)
    assert all(len(rows) > CASES / 3 for rows in before.values())
    assert await store.recount()
    after = await store._run(kept)
    assert after["shares"] == before["shares"]
    assert after["lessons"] == before["lessons"]
    cells = [row[:-1] for row in before["tallies"]]
    assert [row[:-1] for row in after["tallies"]] == cells
    assert [row[-1] for row in after["tallies"]] == pytest.approx([row[-1] for row in before["tallies"]])


async def test_a_count_that_is_wrong_is_found_by_a_recount(store):
    await store._run(lambda db: db.execute("UPDATE tallies SET count = count + 1 WHERE kind = 'hours'"))
    assert not await store.recount()
    assert await store.recount(), "once put right"


async def test_they_are_sound_cases_in_which_nothing_is_left_to_tidy(store):
    assert await store._run(lambda db: db.execute("PRAGMA integrity_check").fetchall()) == [("ok",)]
    assert await store._run(lambda db: db.execute("PRAGMA foreign_key_check").fetchall()) == []
    waiting = await store.queue(CLUB)
    assert len(waiting) == CASES // 20
    newest = await store.case(CLUB, waiting[-1].number)
    assert (newest.state, newest.latest.verdict.causes != ()) == ("open", True)
    assert await store.tidy(NOW) == 0
    assert await store.queue(CLUB) == waiting
