"""What is asked often finds its rows through an index, however many cases there are.

The plans are SQLite's own (documentation, "EXPLAIN QUERY PLAN"): SCAN reads every row of a table or index, SEARCH does
not. Every statement is taken from the calls themselves, so that a new one is judged too.
"""

import re
from datetime import timedelta

import pytest
from invented_case import AT, CLUB, FERN, KEY, LEVEL_IT, MOSS, bare_verdict

from core.cases import belongings, follow_up, lessons, record, tallies
from core.cases.rows import CaseKey, Note, Opinion
from core.report import Report

VERDICT = bare_verdict("Invented: level it.", LEVEL_IT)
GROWING = ("cases", "judgements", "notes", "opinions", "confirmations", "shares", "lessons", "tallies")
OPINION = Opinion(helper=FERN, cause="tilt", at=AT, blind=True)

CALLS = {
    "the open case of a person": lambda db, case: record.read_open_case(db, KEY),
    "a case by its number": lambda db, case: record.read_case(db, CLUB, 1),
    "a case by its thread": lambda db, case: record.read_case_in_thread(db, CLUB, "t7"),
    "the case that was fixed last": lambda db, case: record.read_last_fixed(db, KEY),
    "a case's judgements": record.read_history,
    "a new judgement": lambda db, case: record.record(db, KEY, Report(), VERDICT, AT, case, None),
    "a new case": lambda db, case: record.record(db, CaseKey(CLUB, "help", FERN), Report(), VERDICT, AT, None, None),
    "notes": follow_up.read_notes,
    "opinions": lambda db, case: follow_up.read_held(db, "opinions", case),
    "a note": lambda db, case: follow_up.add_note(db, case, Note(helper=FERN, at=AT, text="invented")),
    "a claim": lambda db, case: follow_up.claim(db, case, FERN, AT),
    "a claim taken back": lambda db, case: follow_up.release(db, case, AT),
    "a confirmation": lambda db, case: follow_up.hold(db, "confirmations", case, OPINION),
    "an end": lambda db, case: follow_up.settle(db, case, "fixed_otherwise", "", AT),
    "another try": lambda db, case: follow_up.try_again(db, case, AT),
    "a case closed": lambda db, case: follow_up.close(db, case, AT),
    "where it stands": lambda db, case: follow_up.put(db, case, "place", "invented place"),
    "the queue": lambda db, case: follow_up.read_queue(db, CLUB),
    "who is silent": lambda db, case: follow_up.read_silent(db, [CLUB, "other-club"], AT + timedelta(days=9)),
    "every community": lambda db, case: belongings.read_communities(db),
    "all about a person": lambda db, case: belongings.read_person(db, [(CLUB, MOSS), (CLUB, FERN)]),
    "what one case teaches": lambda db, case: lessons.refresh(db, case.id),
    "a table of counts": lambda db, case: tallies.read_table(db, CLUB, "hours"),
}
HOURLY = {
    "nothing to tidy": AT,
    "abandoned cases": AT + timedelta(days=belongings.IDLE_DAYS + 1),
    "old cases": AT + timedelta(days=400),
}


@pytest.fixture
async def case(store):
    """A case with everything a case may have, and another person's."""
    case = await store.record(KEY, Report(), VERDICT, AT, after=None)
    await store.note(case, Note(helper=FERN, at=AT, text="invented"))
    await store.put(case, "thread", "t7")
    await store.put(case, "place", "invented place")
    for table in ("opinions", "confirmations"):
        await store.hold(table, case, OPINION)
    await store.record(CaseKey("other-club", "help", FERN), Report(), VERDICT, AT, after=None)
    return case


async def plans_of(store, work):
    """Do some work, and return every statement that read or changed rows with the steps of its plan."""

    def watched(db):
        statements = []
        db.conn.set_trace_callback(statements.append)
        try:
            work(db)
        finally:
            db.conn.set_trace_callback(None)
        asked = dict.fromkeys(one for one in statements if re.match(r"\s*(SELECT|WITH|INSERT|UPDATE|DELETE)\b", one))
        return {one: [row[3] for row in db.conn.execute(f"EXPLAIN QUERY PLAN {one}")] for one in asked}

    return await store._run(watched)


def scans(plans):
    """Return the steps that read every row of something that grows; the index of open cases does not."""
    pattern = re.compile(rf"SCAN ({'|'.join(GROWING)})\b(?!.*USING (COVERING )?INDEX (idle|waiting)\b)")
    return {one: step for one, steps in plans.items() for step in steps if pattern.match(step)}


@pytest.mark.parametrize("name", CALLS)
async def test_what_is_asked_often_reads_no_table_from_end_to_end(name, store, case):
    plans = await plans_of(store, lambda db: CALLS[name](db, case))
    assert plans, "something was asked"
    assert scans(plans) == {}


@pytest.mark.parametrize("name", HOURLY)
async def test_the_hourly_tidying_reads_only_what_is_due(name, store, case):
    plans = await plans_of(store, lambda db: belongings.tidy(db, HOURLY[name]))
    assert any("idle" in step for steps in plans.values() for step in steps)
    assert any("INDEX named" in step for steps in plans.values() for step in steps)
    assert scans(plans) == {}


async def test_an_erasure_finds_what_is_a_persons_through_their_name(store, case, monkeypatch):
    """What comes after, writing the tables of people anew, reads all of them on purpose."""
    monkeypatch.setattr(belongings, "rewrite", lambda db, tables: None)
    plans = await plans_of(store, lambda db: belongings.erase_person(db, [(CLUB, MOSS), (CLUB, FERN)]))
    assert any(one.startswith("DELETE FROM notes") for one in plans)
    assert scans(plans) == {}


@pytest.mark.parametrize("name", ["the case that was fixed last", "all about a person"])
async def test_a_person_is_looked_up_by_name_and_never_through_all_cases_of_a_community(name, store, case):
    """One community may have nearly all the cases: an index that begins with it is as slow as reading all."""
    plans = await plans_of(store, lambda db: CALLS[name](db, case))
    by_community = re.compile(r"SEARCH cases .*\((?:community=\?|community=\? AND number[<>].*)\)$")
    assert [step for steps in plans.values() for step in steps if by_community.search(step)] == []


async def test_a_plan_that_reads_everything_would_be_noticed(store, case):
    plans = await plans_of(store, lambda db: db.execute("SELECT count(*) FROM cases WHERE step = 'level_plate'"))
    assert len(scans(plans)) == 1
