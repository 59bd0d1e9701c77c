"""A thread for a case: at its verdict, in the channel, or with a reason why there is none."""

import pytest
from stand_in.payloads import CLUB
from stand_in.world import PUBLIC_THREADS, SEND_IN_THREADS

from core.card import Card, Standing, ThreadWish

WISHED = "There is no thread to open here."


@pytest.fixture
def club(connected):
    return connected.platform.person("jay"), connected


def wish(connected, place: str = "", name: str = "Case 12") -> None:
    connected.answerer.card = Card(
        title="Case 12", conclusion=WISHED, private=True, case=12, thread=ThreadWish(12, name, place)
    )


async def verdict_of(person, connected):
    connected.answerer.card = Card(title="T", conclusion="C", standing=Standing(12, 1))
    return (await person.types("/readings", centre="1.10")).message


async def test_a_thread_is_opened_at_the_verdict_holds_one_line_and_is_noted(club):
    jay, connected = club
    verdict = await verdict_of(jay, connected)
    wish(connected, f"{jay.channel.id}/{verdict.id}")
    said = await jay.at(jay.community.channel("helpers")).types("/case show", case="12", thread="yes")
    assert said.private
    assert f"<#{verdict.thread.id}>" in said.text
    assert WISHED not in said.text
    assert verdict.thread.name == "Case 12"
    assert [one.text for one in verdict.thread.messages] == ["Case 12"]
    assert connected.answerer.noted[-1] == ("threaded", CLUB, "12", verdict.thread.id)
    assert connected.platform.pings == []


@pytest.mark.parametrize("place", ["", "nonsense", "810000000000000001/820000000000000077"])
async def test_without_a_verdict_it_is_opened_in_the_channel(club, place):
    jay, connected = club
    wish(connected, place, "x" * 130)
    said = await jay.types("/case show", case="12", thread="yes")
    (thread,) = jay.community.threads
    assert thread.parent is jay.channel
    assert len(thread.name) == 100
    assert f"<#{thread.id}>" in said.text


async def test_where_the_platform_does_not_let_us_it_says_why_and_shows_the_card(club):
    jay, connected = club
    jay.channel.withheld = PUBLIC_THREADS
    wish(connected)
    said = await jay.types("/case show", case="12", thread="yes")
    assert said.private
    assert WISHED in said.text
    assert "not allowed to open threads" in said.text
    assert not any(what == "threaded" for what, *_ in connected.answerer.noted)


async def test_a_thread_that_somebody_opened_already_is_told_of(club):
    jay, connected = club
    verdict = await verdict_of(jay, connected)
    wish(connected, f"{jay.channel.id}/{verdict.id}")
    await jay.types("/case show", case="12", thread="yes")
    said = await jay.types("/case show", case="12", thread="yes")
    assert "already opened a thread" in said.text
    assert len(jay.community.threads) == 1


async def test_inside_a_thread_and_in_private_there_are_none(club):
    jay, connected = club
    wish(connected)
    await jay.types("/case show", case="12", thread="yes")
    (thread,) = jay.community.threads
    assert "cannot be opened here" in (await jay.at(thread).types("/case show", case="12", thread="yes")).text
    assert connected.answerer.heard[-1].asker.parent == jay.channel.id
    assert connected.answerer.heard[-1].asker.channel == thread.id
    assert "no threads" in (await jay.privately.types("/case show", case="12", thread="yes")).text


async def test_a_thread_in_which_we_may_not_write_is_a_thread_all_the_same(club):
    jay, connected = club
    jay.channel.withheld = SEND_IN_THREADS
    wish(connected)
    said = await jay.types("/case show", case="12", thread="yes")
    (thread,) = jay.community.threads
    assert f"<#{thread.id}>" in said.text
    assert connected.answerer.noted == [("threaded", CLUB, "12", thread.id)]
