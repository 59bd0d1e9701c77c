"""Who is asked how it went: open cases with a step to try, silent for three days, each once, where it is wanted."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bot.compose import compose
from bot.settings import Settings
from core.cases.rows import Community
from core.commands import Asker, Inquiry
from core.service.reminders import MOST_AT_ONCE, SILENCE, choose, wanted_by

AT = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
TILTED, LEVEL = "0.76 1.22 0.80 1.20 0.99", "0.99 1.01 1.00 1.00 1.00"
LATER = AT + SILENCE + timedelta(minutes=1)


@pytest.fixture
async def house(tmp_path):
    async with compose(Settings(database=tmp_path / "cases.db")) as house:
        await house.store.keep_community("club", Community(reminders=True))
        yield house


async def ask(house, command, text="", *, person="moss", at=AT, community="club", language="en", **options):
    asker = Asker(community, "help", person, language)
    inquiry = Inquiry(command=command, options=options, text=text, asker=asker, at=at, reference="abc123")
    card = await house.service.handle(inquiry)
    if card.standing is not None:
        await house.service.stands(community, card.standing.case, "10/20")
    return card


async def test_a_silent_case_is_asked_about_once_with_both_answers(house):
    await ask(house, "readings", TILTED)
    assert await house.service.reminders(LATER - timedelta(minutes=2)) == ()
    (reminder,) = await house.service.reminders(LATER)
    assert (reminder.community, reminder.number, reminder.place, reminder.thread) == ("club", 1, "10/20", "")
    assert "Case 1" in reminder.card.title
    assert "3 days" in reminder.card.conclusion
    assert [dict(action.options) for action in reminder.card.actions] == [
        {"case": "1", "result": "fixed_by_step"},
        {"case": "1", "result": "not_yet"},
    ]
    assert not reminder.card.private
    assert await house.service.reminders(LATER) == ()
    assert await house.service.reminders(LATER + timedelta(days=20)) == ()


async def test_whatever_is_heard_of_a_case_puts_the_question_off(house):
    await ask(house, "readings", TILTED)
    await ask(house, "case outcome", case="1", result="not_yet", at=AT + timedelta(days=2))
    assert await house.service.reminders(LATER) == ()
    (reminder,) = await house.service.reminders(LATER + timedelta(days=2))
    assert "3 days" in reminder.card.conclusion


async def test_nobody_is_asked_who_need_not_be(house):
    """Fixed, closed, nothing to try, private, or in a community that does not want it."""
    await ask(house, "readings", TILTED)
    await ask(house, "case outcome", case="1", result="abandoned")
    await ask(house, "readings", LEVEL, person="fern")
    await ask(house, "readings", TILTED, person="reed", community="other")
    await ask(house, "readings", TILTED, person="sedge", community="direct")
    reminders = await house.service.reminders(LATER)
    assert [
        one.number for one in reminders if not (await house.store.case("club", one.number)).latest.verdict.steps
    ] == []
    assert {one.community for one in reminders} <= {"club"}
    assert 1 not in {one.number for one in reminders}


async def test_it_is_asked_in_the_communitys_language_or_that_of_the_verdict(house):
    await ask(house, "readings", TILTED, language="de")
    (reminder,) = await house.service.reminders(LATER)
    assert (reminder.card.language, "Fall 1" in reminder.card.title) == ("de", True)
    await house.store.keep_community("club", Community(reminders=True, language="en"))
    await ask(house, "readings", TILTED, person="fern", language="de")
    (reminder,) = await house.service.reminders(LATER)
    assert reminder.card.language == "en"


async def test_it_is_asked_where_the_thread_is_told(house):
    await ask(house, "readings", TILTED)
    await house.service.threaded("club", 1, "30")
    (reminder,) = await house.service.reminders(LATER)
    assert reminder.thread == "30"


def test_a_community_is_asked_only_if_it_wants_and_answers_in_public():
    assert wanted_by(
        {
            "off": Community(),
            "on": Community(reminders=True),
            "private": Community(reminders=True, replies="private"),
            "direct": Community(reminders=True),
        }
    ) == {"on"}


async def test_after_a_long_time_without_questions_they_come_a_few_at_a_time_longest_silent_first(house):
    card = await ask(house, "readings", TILTED)
    case = await house.store.case("club", card.case)
    assert case is not None
    many = [_silent(case, minute) for minute in range(MOST_AT_ONCE + 5)]
    chosen = choose(reversed(many))
    assert len(chosen) == MOST_AT_ONCE
    assert [one.changed_at for one in chosen] == [one.changed_at for one in many[:MOST_AT_ONCE]]


def _silent(case, minute):
    return replace(case, changed_at=AT + timedelta(minutes=minute))


async def test_an_inquiry_that_would_be_refused_anyway_is_told_so_before_a_form_is_filled_in(house):
    """And what may be asked is not: nothing is counted, nothing kept."""
    await ask(house, "readings", TILTED)

    async def refused(person, **options):
        asker = Asker("club", "help", person)
        inquiry = Inquiry(command="readings", options=options, asker=asker, at=AT, reference="abc123")
        return await house.service.refuses(inquiry)

    assert await refused("moss", case="1") is None
    assert await refused("fern") is None
    theirs, none = await refused("fern", case="1"), await refused("fern", case="77")
    assert theirs.private
    assert theirs.conclusion.replace("case 1", "case 77") == none.conclusion
    assert (await refused("moss", case="x")).tone == "fault"
