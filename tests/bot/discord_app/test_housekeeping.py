"""Every hour: old cases let go, silent ones asked about, whatever goes wrong; and communities that send us away."""

import asyncio
from contextlib import asynccontextmanager

import pytest
from stand_in.payloads import CLUB
from stand_in.world import SEND

from bot.discord_app.housekeeping import keep_house
from core.card import Action, Card
from core.service.reminders import Reminder

QUESTION = Card(
    title="Case 12: did it work?",
    conclusion="Nothing was heard for 3 days.",
    language="en",
    actions=(Action("It worked", "case outcome", {"case": "12", "result": "fixed_by_step"}),),
)


def reminder(place: str = "", thread: str = "", card: Card = QUESTION) -> Reminder:
    return Reminder(community=CLUB, number=12, place=place, thread=thread, card=card)


@asynccontextmanager
async def housekeeping(connected, every_s: float = 0.05):
    task = asyncio.create_task(keep_house(connected.client, connected.answerer, every_s=every_s))
    yield task
    task.cancel()
    await asyncio.wait({task})


@pytest.fixture
async def verdict(connected):
    said = await connected.platform.person("wren").types("/readings", centre="1.10")
    return said.message


def asked(connected) -> list:
    return [one for one in connected.platform.messages.values() if "did it work?" in one.text]


async def test_it_is_tidied_again_and_again(connected, until):
    async with housekeeping(connected):
        await until(lambda: [what for what, *_ in connected.answerer.noted].count("tidy") >= 3)


async def test_a_question_is_a_reply_to_the_verdict_pings_nobody_and_can_be_answered_by_anybody_who_may(
    connected, verdict, until
):
    connected.answerer.due = (reminder(f"{verdict.channel.id}/{verdict.id}"),)
    async with housekeeping(connected):
        await until(lambda: asked(connected))
        await asyncio.sleep(0.2)
    (question,) = asked(connected)
    assert question.channel is verdict.channel
    assert question.data["message_reference"]["message_id"] == int(verdict.id)
    assert question.data["message_reference"]["fail_if_not_exists"] is False
    assert question.data["allowed_mentions"] == {"parse": [], "replied_user": False}
    jay = connected.platform.person("jay")
    await jay.presses(question, "It worked")
    assert connected.answerer.heard[-1].options == {"case": "12", "result": "fixed_by_step"}


async def test_where_there_is_a_thread_it_is_asked_there(connected, verdict, until):
    thread = connected.platform.club.channel("thread-of-case-12")
    connected.answerer.due = (reminder(f"{verdict.channel.id}/{verdict.id}", thread.id),)
    async with housekeeping(connected):
        await until(lambda: asked(connected))
    (question,) = asked(connected)
    assert question.channel is thread
    assert "message_reference" not in question.data


async def test_a_question_that_cannot_be_asked_stops_neither_the_others_nor_the_service(
    connected, verdict, caplog, until
):
    caplog.set_level("INFO", "bot")
    closed = connected.platform.club.channel("closed")
    closed.withheld = SEND
    broken = Card(title="Case 13: did it work?", conclusion="", actions=(), language="en")
    connected.answerer.due = (
        reminder(f"{closed.id}/{verdict.id}"),
        reminder("810000000000000077/1"),
        reminder("nowhere"),
        reminder("direct/5"),
        reminder(f"{verdict.channel.id}/820000000000000077", card=broken),
    )
    async with housekeeping(connected) as task:
        await until(lambda: asked(connected))
        assert not task.done()
    assert [one.text.splitlines()[0] for one in asked(connected)] == ["## Case 13: did it work?"]
    told = [line for line in caplog.records if line.message == "not asked how it went"]
    assert {line.status for line in told} == {403, 404}


async def test_a_failure_of_the_service_is_logged_and_tried_the_next_time(connected, caplog, monkeypatch, until):
    failures = {"tidy": 1, "reminders": 1}

    def failing(name):
        real = getattr(connected.answerer, name)

        async def call(at):
            if failures[name]:
                failures[name] -= 1
                raise OSError("disk full")
            return await real(at)

        return call

    for name in failures:
        monkeypatch.setattr(connected.answerer, name, failing(name))
    async with housekeeping(connected):
        await until(lambda: any(what == "tidy" for what, *_ in connected.answerer.noted))
    assert {"not tidied", "not reminded"} <= {line.message for line in caplog.records}


async def test_a_community_that_sends_us_away_is_forgotten_and_one_out_of_reach_is_not(connected, until):
    club = connected.platform.club
    await club.goes_dark()
    await asyncio.sleep(0.1)
    assert connected.answerer.noted == []
    await club.comes_back()
    await club.leaves()
    await until(lambda: connected.answerer.noted)
    assert connected.answerer.noted == [("forget", CLUB)]


async def test_a_community_that_cannot_be_forgotten_is_logged(connected, monkeypatch, caplog, until):
    async def fail(_community):
        raise OSError("disk full")

    monkeypatch.setattr(connected.answerer, "forget_community", fail)
    await connected.platform.club.leaves()
    await until(lambda: any(line.message == "community not forgotten" for line in caplog.records))


async def test_nothing_is_kept_of_a_community_that_sent_us_away(workshop, tmp_path, until):
    platform, _ = workshop
    await platform.person("wren").types(
        "/readings", front_left="1.0", front_right="1.0", back_left="1.0", back_right="1.0", centre="1.0"
    )
    database = tmp_path / "cases.db"
    assert CLUB.encode() in b"".join(path.read_bytes() for path in tmp_path.glob("cases.db*"))
    await platform.club.leaves()
    await until(lambda: CLUB.encode() not in b"".join(path.read_bytes() for path in tmp_path.glob("cases.db*")))
    assert database.exists()
