"""What is kept about people and communities, and that it goes: shown, erased to the last byte, let go after a time."""

import random
import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest
from invented_case import ASH, AT, FERN, KEY, MOSS, REPORT, bare_verdict

from core.cases.belongings import IDLE_DAYS
from core.cases.rows import CaseKey, Community, Note, Opinion
from core.errors import StoreUnusable


def chance(seed):
    return random.Random(seed)  # noqa: S311 - invented people, the same in every run


VERDICT = bare_verdict()


@pytest.fixture
def count_bytes(tmp_path):
    """Count a text in the bytes of the database file and of its side files."""

    def count_bytes(text):
        return sum(file.read_bytes().count(text.encode()) for file in tmp_path.glob("cases.db*"))

    return count_bytes


def opinion(helper, cause="tilt", at=AT):
    return Opinion(helper=helper, cause=cause, at=at, blind=True)


# ---- what is kept ---------------------------------------------------------------------------------


async def test_all_that_is_kept_about_a_person_is_shown_and_nothing_of_another(store):
    mine = await store.record(KEY, REPORT, VERDICT, AT, after=None)
    mine = await store.record(KEY, REPORT, VERDICT, AT, after=mine)
    theirs = await store.record(CaseKey("print-club", "help", FERN), REPORT, VERDICT, AT, after=None)
    there = await store.record(CaseKey("other-club", "help", ASH), REPORT, VERDICT, AT, after=None)
    await store.note(mine, Note(helper=FERN, at=AT, text="about moss"))
    await store.note(theirs, Note(helper=MOSS, at=AT, text="by moss"))
    await store.note(theirs, Note(helper=FERN, at=AT, text="fern to fern"))
    await store.hold("opinions", theirs, opinion(MOSS, "crown"))
    await store.hold("confirmations", theirs, opinion(MOSS, "debris"))
    await store.hold("opinions", mine, opinion(FERN, "tilt"))
    await store.claim(theirs, MOSS, AT)
    await store.propose(CaseKey("print-club", "help", FERN), KEY, '{"n": 1}', AT)
    held = await store.person([("print-club", MOSS), ("other-club", MOSS)])
    assert [(case.number, len(history)) for case, history in held.cases] == [(1, 2)]
    assert [(number, note.text) for number, note in held.notes] == [(2, "by moss")]
    assert [(number, note.text) for number, note in held.about] == [(1, "about moss")]
    assert [(number, one.cause) for number, one in held.opinions] == [(2, "crown"), (2, "debris")]
    assert (held.claims, held.proposals) == ((2,), ('{"n": 1}',))
    both = await store.person([("print-club", MOSS), ("other-club", ASH)])
    assert [case.id for case, _ in both.cases] == [mine.id, there.id]


async def test_nothing_is_kept_about_who_never_asked(store):
    await store.record(KEY, REPORT, VERDICT, AT, after=None)
    held = await store.person([("print-club", FERN), ("other-club", MOSS)])
    assert not any((held.cases, held.notes, held.opinions, held.about, held.claims, held.proposals))


# ---- erased ---------------------------------------------------------------------------------------


async def fill(store, me, rounds, seed):
    """Write a club's life around ``me`` in an order that makes pages split and rows move. Everything is invented."""
    rnd = chance(seed)
    people = [f"{rnd.getrandbits(128):032x}" for _ in range(25)]
    asking = people * rounds + [me] * 12
    rnd.shuffle(asking)
    for n, author in enumerate(asking):
        at = AT + timedelta(minutes=n)
        verdict = bare_verdict("Invented. " * rnd.randrange(1, 60))
        case = await store.record(CaseKey("print-club", f"c{n}", author), REPORT, verdict, at, after=None)
        for helper in (rnd.choice(people), me):
            if helper == author:
                continue
            text = f"by-{me}" if helper == me else f"about-{me}" if author == me else "invented"
            await store.note(case, Note(helper=helper, at=at, text=f"{text} {'x' * rnd.randrange(500)}"))
            await store.hold("opinions", case, opinion(helper, at=at))
            await store.hold("confirmations", case, opinion(helper, at=at))
        if rnd.random() < 0.3:
            await store.claim(case, me, at)
        if rnd.random() < 0.5:
            await store.settle(case, "not_fixed", "", at)
        asked = CaseKey("print-club", f"c{n}", rnd.choice([me, *people]))
        about = f'{{"proposed-{me}": "{"y" * rnd.randrange(300)}"}}' if me in {author, asked.author} else "{}"
        await store.propose(asked, case.key, about, at)


# With secure_delete alone SQLite 3.40 leaves copies of the pseudonym and of a note behind in both.
@pytest.mark.parametrize("seed", [4, 8])
async def test_after_an_erasure_no_byte_of_the_person_is_left_in_the_file(seed, store, count_bytes, look):
    me = f"{chance(-seed).getrandbits(128):032x}"
    await fill(store, me, rounds=6, seed=seed)
    traces = (me, me[:10], me[-10:], f"by-{me}", f"about-{me}", f"proposed-{me}")
    assert all(count_bytes(trace) > 3 for trace in traces), "what is searched for was there before"
    cases, opinions = look("SELECT count(*) FROM cases"), look("SELECT count(*), sum(blind) FROM opinions")
    await store.erase([("print-club", me)])
    assert {trace: count_bytes(trace) for trace in traces} == dict.fromkeys(traces, 0)
    assert look("SELECT count(*) FROM cases") == cases, "what was measured stays in the counts"
    assert look("SELECT count(*), sum(blind) FROM opinions") == opinions
    assert look("PRAGMA integrity_check") == [("ok",)]


async def test_only_the_person_is_erased_and_what_stays_leads_nowhere(store, look):
    mine = await store.record(KEY, REPORT, VERDICT, AT, after=None)
    theirs = await store.record(CaseKey("print-club", "help", FERN), REPORT, VERDICT, AT, after=None)
    await store.put(mine, "place", "invented place")
    await store.put(mine, "thread", "t7")
    await store.claim(mine, FERN, AT)
    await store.note(theirs, Note(helper=ASH, at=AT, text="ash to fern"))
    for helper in (MOSS, ASH):
        await store.hold("opinions", theirs, opinion(helper))
    await store.erase([("print-club", MOSS)])
    left = await store.case("print-club", 1)
    assert (left.key.author, left.state, left.place, left.thread, left.claimed_by) == ("", "closed", "", "", "")
    assert left.latest.report == REPORT
    assert await store.open_case(theirs.key) == theirs
    assert [note.text for note in await store.notes(theirs)] == ["ash to fern"]
    helpers = [one.helper for one in await store.held("opinions", theirs)]
    assert ASH in helpers
    assert len(helpers) == 2
    assert look("SELECT value FROM memory WHERE key = 'unclean'") == []


async def test_an_erasure_leaves_every_other_row_every_index_and_the_guards_as_they_were(store, look):
    """What people are named in is written anew: nothing else may change by it."""
    await fill(store, MOSS, rounds=2, seed=3)
    shape = "SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY 1, 2"
    tables = {name: f"SELECT * FROM {name} ORDER BY 1, 2" for name in ("cases", "opinions", "notes", "judgements")}  # noqa: S608 - four names
    before, schema = {name: look(query) for name, query in tables.items()}, look(shape)
    theirs = {row[0] for row in before["cases"] if MOSS not in row}
    await store.erase([("print-club", MOSS)])
    after = {name: look(query) for name, query in tables.items()}
    assert after["judgements"] == before["judgements"]
    assert [row for row in after["cases"] if row[0] in theirs] == [row for row in before["cases"] if row[0] in theirs]
    assert [row[0] for row in after["cases"]] == [row[0] for row in before["cases"]]
    others = [row for row in before["opinions"] if MOSS not in row]
    assert [row for row in after["opinions"] if not row[1].startswith("nobody-")] == others
    mine = {row[0] for row in before["cases"] if row[4] == MOSS}
    assert after["notes"] == [row for row in before["notes"] if MOSS not in row and row[1] not in mine]
    assert min(len(theirs), len(others), len(after["notes"]), len(mine)) > 5
    assert look(shape) == schema
    assert await store._run(lambda db: db.execute("PRAGMA foreign_keys").fetchone()) == (1,)
    assert look("PRAGMA foreign_key_check") == []
    with pytest.raises(StoreUnusable):
        await store._run(lambda db: db.execute("INSERT INTO notes VALUES (NULL, 10000, 'a', 'b', 'c')"))


async def test_a_private_conversation_keeps_no_channel_that_gives_the_person_away(store, count_bytes):
    await store.record(CaseKey("direct", MOSS, MOSS), REPORT, VERDICT, AT, after=None)
    await store.propose(CaseKey("direct", MOSS, MOSS), CaseKey("direct", MOSS, MOSS), "{}", AT)
    assert count_bytes(MOSS)
    await store.erase([("direct", MOSS)])
    assert count_bytes(MOSS) == 0
    assert (await store.case("direct", 1)).key.channel == ""


async def test_whoever_has_nothing_here_cannot_make_the_file_be_written_anew(store, tmp_path):
    await store.record(KEY, REPORT, VERDICT, AT, after=None)
    log = (tmp_path / "cases.db-wal").stat().st_size
    await store.erase([("print-club", FERN), ("other-club", MOSS)])
    assert (tmp_path / "cases.db-wal").stat().st_size == log > 0


async def test_an_erasure_that_could_not_clean_the_file_is_finished_by_the_next(
    store, tmp_path, count_bytes, monkeypatch
):
    """Another process that keeps reading holds the old state; what is deleted is deleted, and the bytes go later."""
    monkeypatch.setattr("core.cases.database.BUSY_S", 0.1)
    await store.record(KEY, REPORT, VERDICT, AT, after=None)
    with closing(sqlite3.connect(tmp_path / "cases.db", isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM cases").fetchone()
        with pytest.raises(StoreUnusable):
            await store.erase([("print-club", MOSS)])
        reader.execute("COMMIT")
    assert await store.open_case(KEY) is None
    assert count_bytes(MOSS)
    await store.tidy(AT)
    assert count_bytes(MOSS) == 0


# ---- let go after a time --------------------------------------------------------------------------


async def test_an_open_case_nobody_speaks_of_is_closed_as_abandoned(store):
    case = await store.record(KEY, REPORT, VERDICT, AT, after=None)
    await store.tidy(AT + timedelta(days=IDLE_DAYS - 1))
    assert await store.open_case(KEY) == case
    late = AT + timedelta(days=IDLE_DAYS + 1)
    assert await store.tidy(late) == 0, "it still belongs to somebody"
    closed = await store.case("print-club", 1)
    assert (closed.state, closed.outcome, closed.outcome_at, closed.key.author) == ("closed", "abandoned", late, MOSS)


async def test_after_the_time_its_community_set_a_case_loses_whatever_points_to_somebody(store, count_bytes):
    await store.keep_community("print-club", Community(retention_days=90))
    key = CaseKey("other-club", "help", FERN)
    mine, other = [await store.record(one, REPORT, VERDICT, AT, after=None) for one in (KEY, key)]
    for case in (mine, other):
        await store.note(case, Note(helper=ASH, at=AT, text="old-note"))
        await store.hold("opinions", case, opinion(ASH))
        await store.claim(case, ASH, AT)
        await store.close_case(case, AT)
    assert await store.tidy(AT + timedelta(days=89)) == 0
    assert await store.tidy(AT + timedelta(days=91)) == 1
    left = await store.case("print-club", 1)
    assert (left.key.author, left.claimed_by, await store.notes(left)) == ("", "", ())
    assert [one.helper for one in await store.held("opinions", left)] != [ASH]
    assert count_bytes(MOSS) == 0
    assert (await store.case("other-club", 1)).key.author == FERN, "elsewhere the time is longer"
    assert len(await store.notes(other)) == 1
    assert await store.tidy(AT + timedelta(days=92)) == 0


async def test_what_helpers_left_on_an_erased_persons_case_goes_after_that_time_too(store, count_bytes):
    case = await store.record(KEY, REPORT, VERDICT, AT, after=None)
    await store.hold("confirmations", case, opinion(ASH))
    await store.erase([("print-club", MOSS)])
    await store.note(await store.case("print-club", 1), Note(helper=ASH, at=AT, text="later-note"))
    assert await store.tidy(AT + timedelta(days=364)) == 0
    assert await store.tidy(AT + timedelta(days=366)) == 1
    assert (count_bytes(ASH), count_bytes("later-note")) == (0, 0)


async def test_whatever_is_added_to_a_case_that_was_let_go_is_let_go_again(store):
    case = await store.record(KEY, REPORT, VERDICT, AT, after=None)
    old = AT + timedelta(days=366)
    assert [await store.tidy(old), await store.tidy(old)] == [1, 0]
    await store.put(case, "place", "invented place")
    await store.tidy(old)
    assert (await store.case("print-club", 1)).place == ""
    await store.hold("opinions", case, opinion(ASH, at=old))
    assert await store.tidy(old + timedelta(days=366)) == 1
    assert [one.helper for one in await store.held("opinions", case)] != [ASH]


async def test_a_sentence_nobody_said_yes_to_is_dropped_after_a_while(store):
    await store.propose(KEY, KEY, "{}", AT)
    await store.tidy(AT + timedelta(days=IDLE_DAYS - 1))
    assert await store.proposed(KEY) == (KEY, "{}")
    await store.tidy(AT + timedelta(days=IDLE_DAYS + 1))
    assert await store.proposed(KEY) is None


# ---- communities ----------------------------------------------------------------------------------


async def test_a_community_that_never_said_is_served_the_usual_way(store):
    assert await store.community("print-club") == Community()
    assert await store.communities() == {}


async def test_how_a_community_wants_things_comes_back_whole(store):
    rules = Community(
        helpers="r1", moderators="r2", channels=("c1", "c2"), retention_days=90, replies="private", language="de"
    )
    await store.keep_community("print-club", Community(reminders=True))
    await store.keep_community("print-club", rules)
    await store.propose(CaseKey("third-club", "help", MOSS), KEY, "{}", AT)
    await store.record(CaseKey("other-club", "help", MOSS), REPORT, VERDICT, AT, after=None)
    assert await store.communities() == {
        "print-club": rules,
        "other-club": Community(),
        "third-club": Community(),
    }


async def test_a_forgotten_community_leaves_nothing_and_the_others_stay(store, count_bytes, look):
    for community in ("print-club", "other-club"):
        case = await store.record(CaseKey(community, "help", MOSS), REPORT, VERDICT, AT, after=None)
        await store.note(case, Note(helper=FERN, at=AT, text=f"note-{community}"))
        for table in ("opinions", "confirmations"):
            await store.hold(table, case, opinion(FERN))
        await store.settle(case, "fixed_otherwise", "", AT)
        await store.keep_community(community, Community(helpers=f"role-{community}"))
        await store.propose(CaseKey(community, "help", FERN), case.key, f'"{community}"', AT)
    assert count_bytes("print-club") > 5
    await store.forget_community("print-club")
    assert count_bytes("print-club") == 0
    assert await store.case("print-club", 1) is None
    assert set(await store.communities()) == {"other-club"}
    for table in ("cases", "judgements", "notes", "opinions", "confirmations", "proposals", "communities", "shares"):
        assert look(f"SELECT count(*) FROM {table}") == [(1,)], table  # noqa: S608 - names of ours
