"""What happens to a stored case after its verdict: notes, claims, opinions, ends, the queue, reminders."""

import asyncio
from datetime import timedelta

import pytest
from invented_case import ASH, AT, FERN, KEY, LEVEL_IT, MOSS, REPORT, bare_verdict

from core.cases.follow_up import MOST_SILENT
from core.cases.rows import CaseKey, Note, Opinion
from core.cases.store import Store

VERDICT, STEPLESS = bare_verdict("Invented: level it.", LEVEL_IT), bare_verdict()


@pytest.fixture
def opened(store):
    """Open a case so many hours after the first."""

    async def opened(author=MOSS, hours=0, channel="help", community="print-club", follows=None, verdict=VERDICT):
        at = AT + timedelta(hours=hours)
        key = CaseKey(community, channel, author)
        return await store.record(key, REPORT, verdict, at, after=None, follows=follows)

    return opened


async def test_notes_come_back_in_the_order_they_were_written(store, opened):
    case, other = await opened(), await opened(FERN)
    notes = [Note(helper=ASH, at=AT + timedelta(minutes=n), text=f"invented note {n}") for n in range(3)]
    for note in notes:
        await store.note(case, note)
    assert await store.notes(case) == tuple(notes)
    assert await store.notes(other) == ()


# ---- claims ---------------------------------------------------------------------------------------


async def test_a_case_is_looked_after_by_one_helper_who_may_say_so_twice(store, opened):
    case = await opened()
    assert await store.claim(case, FERN, AT)
    assert await store.claim(case, FERN, AT)
    assert not await store.claim(case, ASH, AT)
    assert (await store.case("print-club", 1)).claimed_by == FERN


async def test_of_two_helpers_who_claim_at_once_one_gets_the_case(tmp_path, store, opened):
    """Each through a connection of its own, as two processes would."""
    case = await opened()
    other = await Store.open(tmp_path / "cases.db")
    try:
        got = await asyncio.gather(store.claim(case, FERN, AT), other.claim(case, ASH, AT))
    finally:
        await other.close()
    assert sorted(got) == [False, True]
    assert (await store.case("print-club", 1)).claimed_by == (FERN if got[0] else ASH)


async def test_a_claim_that_was_released_is_free_and_a_stale_release_takes_nobody_elses(store, opened):
    await store.claim(await opened(), FERN, AT)
    held = await store.case("print-club", 1)
    await store.release(held, AT)
    assert (await store.case("print-club", 1)).claimed_by == ""
    assert await store.claim(held, ASH, AT)
    await store.release(held, AT)
    assert (await store.case("print-club", 1)).claimed_by == ASH


# ---- opinions and confirmations -------------------------------------------------------------------


def opinion(helper, cause, *, blind, minutes=0):
    return Opinion(helper=helper, cause=cause, at=AT + timedelta(minutes=minutes), blind=blind)


@pytest.mark.parametrize("table", ["opinions", "confirmations"])
async def test_a_helper_has_one_answer_on_a_case_the_last(table, store, opened):
    case = await opened()
    await store.hold(table, case, opinion(FERN, "tilt", blind=True))
    await store.hold(table, case, opinion(ASH, "debris", blind=True, minutes=1))
    await store.hold(table, case, opinion(FERN, "crown", blind=False, minutes=2))
    held = await store.held(table, case)
    assert [(one.helper, one.cause) for one in held] == [(ASH, "debris"), (FERN, "crown")]
    other = {"opinions": "confirmations", "confirmations": "opinions"}[table]
    assert await store.held(other, case) == ()


@pytest.mark.parametrize(
    ("first", "second", "blind"),
    [
        pytest.param(("tilt", True), ("tilt", False), True, id="the same said again stays blind"),
        pytest.param(("tilt", True), ("crown", False), False, id="another one was not given blind"),
        pytest.param(("tilt", True), ("crown", True), False, id="whatever it is called"),
        pytest.param(("tilt", False), ("tilt", True), False, id="nothing becomes blind later"),
    ],
)
async def test_only_what_was_given_blind_counts_as_blind(first, second, blind, store, opened):
    case = await opened()
    for cause, was_blind in (first, second):
        await store.hold("opinions", case, opinion(FERN, cause, blind=was_blind))
    (held,) = await store.held("opinions", case)
    assert held.blind is blind


AGREED = [
    pytest.param([(FERN, "tilt")], "tilt", id="one helper"),
    pytest.param([(FERN, "tilt"), (ASH, "tilt")], "tilt", id="two of one mind"),
    pytest.param([(FERN, "tilt"), (ASH, "crown")], "", id="one against one settles nothing"),
    pytest.param([(FERN, "tilt"), (ASH, "crown"), (MOSS, "crown")], "crown", id="two against one"),
    pytest.param([(FERN, "tilt"), (ASH, "crown"), (FERN, "crown")], "crown", id="one who comes round"),
    pytest.param([(FERN, "other")], "other", id="none of the known causes"),
]


@pytest.mark.parametrize(("confirmed", "cause"), AGREED)
async def test_what_was_true_is_what_more_helpers_confirmed_than_anything_else(confirmed, cause, store, opened):
    case = await opened()
    for minutes, (helper, said) in enumerate(confirmed):
        await store.hold("confirmations", case, opinion(helper, said, blind=True, minutes=minutes))
    assert (await store.case("print-club", 1)).cause == cause


async def test_an_opinion_alone_settles_no_cause(store, opened):
    case = await opened()
    await store.hold("opinions", case, opinion(FERN, "tilt", blind=True))
    assert (await store.case("print-club", 1)).cause == ""


# ---- how it ended ---------------------------------------------------------------------------------


async def test_a_case_that_ended_is_closed_with_its_outcome_and_step(store, opened):
    later = AT + timedelta(days=2)
    await store.settle(await opened(), "fixed_by_step", "level_plate", later)
    case = await store.case("print-club", 1)
    assert (case.state, case.outcome, case.step, case.outcome_at) == ("closed", "fixed_by_step", "level_plate", later)
    assert await store.open_case(KEY) is None


async def test_a_case_can_be_closed_without_saying_how_it_ended(store, opened):
    await store.close_case(await opened(), AT)
    case = await store.case("print-club", 1)
    assert (case.state, case.outcome, case.step) == ("closed", None, "")


FIXED_BEFORE = [
    pytest.param(["fixed_by_step"], 1, id="fixed by a step"),
    pytest.param(["fixed_otherwise"], 1, id="fixed otherwise"),
    pytest.param(["not_fixed"], None, id="not fixed"),
    pytest.param(["abandoned"], None, id="given up"),
    pytest.param([None], None, id="closed without a word"),
    pytest.param(["fixed_by_step", "not_fixed"], None, id="only the last one counts"),
    pytest.param(["not_fixed", "fixed_by_step"], 2, id="and that is the last"),
    pytest.param([], None, id="none at all"),
]


@pytest.mark.parametrize(("ends", "number"), FIXED_BEFORE)
async def test_the_case_a_new_set_of_readings_follows_is_the_last_if_it_was_fixed(ends, number, store, opened):
    for hours, end in enumerate(ends):
        case = await opened(hours=hours)
        if end is None:
            await store.close_case(case, AT)
        else:
            await store.settle(case, end, "", AT)
    fixed = await store.last_fixed(KEY)
    assert (fixed and fixed.number) == number
    assert await store.last_fixed(CaseKey("print-club", "help", FERN)) is None
    assert await store.last_fixed(CaseKey("print-club", "workshop", MOSS)) is None


async def test_an_open_case_has_no_fixed_one_before_it_and_a_follower_names_its_own(store, opened):
    first = await opened()
    await store.settle(first, "fixed_otherwise", "", AT)
    second = await opened(hours=1, follows=first)
    assert second.follows == first.id
    assert await store.last_fixed(KEY) is None


# ---- the queue ------------------------------------------------------------------------------------


async def test_the_queue_begins_with_what_nobody_looks_after_and_did_not_help(store, opened):
    names = [f"{n:032x}" for n in range(6)]
    cases = [await opened(name, hours=n) for n, name in enumerate(names)]
    await store.try_again(cases[3], AT)
    await store.claim(cases[0], ASH, AT)
    await store.try_again(cases[4], AT)
    await store.try_again(cases[4], AT)
    await store.claim(cases[4], ASH, AT)
    await store.close_case(cases[5], AT)
    await opened(FERN, community="other-club")
    queue = await store.queue("print-club")
    assert [one.number for one in queue] == [4, 2, 3, 5, 1]
    assert [one.tries for one in queue] == [1, 0, 0, 2, 0]
    assert [one.claimed_by for one in queue] == ["", "", "", ASH, ASH]
    assert queue[0].opened_at == AT + timedelta(hours=3)
    assert queue[0].channel == "help"


# ---- where it stands ------------------------------------------------------------------------------


async def test_a_case_is_found_by_the_thread_that_was_opened_for_it(store, opened):
    case = await opened()
    await store.put(case, "place", "invented place")
    await store.put(case, "thread", "t7")
    found = await store.case_in_thread("print-club", "t7")
    assert (found.number, found.place, found.thread) == (1, "invented place", "t7")
    assert await store.case_in_thread("other-club", "t7") is None
    assert await store.case_in_thread("print-club", "") is None


async def test_silent_is_an_open_case_whose_verdict_stands_and_that_was_not_asked_about(store, opened):
    names = [f"{n:032x}" for n in range(6)]
    quiet, asked, nowhere, ended, heard, elsewhere = [await opened(name) for name in names[:5]] + [
        await opened(names[5], community="other-club")
    ]
    for case in (quiet, asked, ended, heard, elsewhere):
        await store.put(case, "place", "invented place")
    await store.put(asked, "reminded_at", AT.isoformat())
    await store.close_case(ended, AT)
    await store.try_again(heard, AT + timedelta(days=5))
    before = AT + timedelta(days=3)
    assert [case.id for case in await store.silent(["print-club"], before)] == [quiet.id]
    assert [case.id for case in await store.silent(["print-club", "other-club"], before)] == [quiet.id, elsewhere.id]
    assert await store.silent([], before) == ()
    assert await store.silent(["print-club"], AT) == ()
    assert nowhere.place == ""


async def test_a_verdict_without_a_step_leaves_nothing_to_ask_about(store, opened):
    stepless, stepped = await opened(MOSS, verdict=STEPLESS), await opened(FERN, hours=1)
    for case in (stepless, stepped):
        await store.put(case, "place", "invented place")
    assert [case.id for case in await store.silent(["print-club"], AT + timedelta(days=3))] == [stepped.id]


async def test_the_longest_silent_are_asked_about_first_and_not_all_at_once(store, opened):
    cases = [await opened(f"{n:032x}", hours=n % 7) for n in range(MOST_SILENT + 5)]
    for case in cases:
        await store.put(case, "place", "invented place")
    silent = await store.silent(["print-club"], AT + timedelta(days=3))
    assert len(silent) == MOST_SILENT
    heard = [case.changed_at for case in silent]
    assert heard == sorted(heard)
    assert [case.changed_at for case in silent] == sorted(case.changed_at for case in cases)[:MOST_SILENT]


# ---- what waits for a yes -------------------------------------------------------------------------


async def test_a_proposal_waits_for_whom_it_was_shown_to_and_the_last_one_counts(store):
    here, about = CaseKey("print-club", "help", FERN), KEY
    assert await store.proposed(here) is None
    await store.propose(here, about, '{"n": 1}', AT)
    await store.propose(here, here, '{"n": 2}', AT)
    await store.propose(CaseKey("print-club", "workshop", FERN), about, '{"n": 3}', AT)
    assert await store.proposed(here) == (here, '{"n": 2}')
    assert await store.proposed(about) is None
    await store.propose(here, here, "", AT)
    assert await store.proposed(here) is None
    assert await store.proposed(CaseKey("print-club", "workshop", FERN)) == (about, '{"n": 3}')
