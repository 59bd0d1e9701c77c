"""One verdict of a case stands: updated in its place, or followed by a newer one while it shrinks to a line."""

import asyncio

import pytest
from stand_in import record
from stand_in.invented import PNG
from stand_in.payloads import CLUB
from stand_in.world import VIEW

from core.card import Action, Card, Picture, Section, Standing

FORM = Action("Add readings", "readings", {"case": "12"})
WHY = Action("Why?", "why", {"case": "12"})


def verdict(attempt: int, place: str = "", **more) -> Card:
    """Return the verdict of an invented case."""
    return Card(
        title=f"Verdict number {attempt}",
        conclusion="The right side is further away than the left.",
        sections=(Section("cautions", "Care", ("Wear gloves.",)),),
        pictures=(Picture("plate-map.png", PNG, f"Plate seen from above, the {attempt}. time."),),
        standing=Standing(12, attempt, place),
        actions=(FORM, WHY),
        **more,
    )


@pytest.fixture
def club(connected):
    """The club with Wren in it, and what the service is to answer."""

    def answers(card: Card) -> None:
        connected.answerer.card = card

    return connected.platform.person("wren"), answers, connected


def noted_place(connected, last: int = -1) -> str:
    what, community, number, place = connected.answerer.noted[last]
    assert (what, number) == ("stands", "12")
    assert community in {CLUB, "direct"}
    return place


async def test_a_verdict_is_noted_where_it_stands(club):
    wren, answers, connected = club
    answers(verdict(1))
    said = await wren.types("/readings", centre="1.10")
    assert noted_place(connected) == f"{wren.channel.id}/{said.message.id}"


async def test_a_verdict_that_came_late_is_noted_too(club):
    wren, answers, connected = club
    answers(verdict(1))
    said = await wren.types("/readings", nominal="slow")
    assert [call.type for call in said.conversation.calls] == [record.DEFERRED, 0]
    assert noted_place(connected) == f"{wren.channel.id}/{said.message.id}"


@pytest.mark.parametrize("speed", ["", "slow"])
async def test_a_form_opened_from_the_verdict_updates_it_in_its_place(club, speed):
    wren, answers, connected = club
    answers(verdict(1))
    first = await wren.types("/readings", centre="1.10")
    form = await wren.presses(first, "Add readings")
    assert form.form.data["custom_id"] == "form:readings:12"
    answers(verdict(2, noted_place(connected)))
    connected.answerer.wish = speed
    said = await wren.fills(form, centre="1.02")
    assert connected.answerer.heard[-1].options == {"case": "12", "centre": "1.02"}
    assert [call.type for call in said.conversation.calls] == ([record.RESTING, 0] if speed else [record.UPDATE])
    assert said.message is first.message
    assert "Verdict number 2" in first.message.text
    assert [one["description"] for one in first.message.attachments] == ["Plate seen from above, the 2. time."]
    assert len(wren.channel.messages) == 1
    assert len(connected.answerer.noted) == 1


async def test_a_newer_verdict_from_elsewhere_follows_and_the_old_one_shrinks_to_a_line_that_leads_to_it(club, until):
    wren, answers, connected = club
    answers(verdict(1))
    old = (await wren.types("/readings", centre="1.10")).message
    answers(verdict(2, noted_place(connected)))
    new = (await wren.types("/readings", centre="1.02")).message
    await until(lambda: old.edits)
    assert "Verdict number 2" in new.text
    assert noted_place(connected) == f"{wren.channel.id}/{new.id}"
    assert "Case 12" in old.text
    assert f"/{wren.channel.id}/{new.id})" in old.text
    assert len(old.text.splitlines()) == 1
    assert (old.buttons, old.attachments, old.files) == ({}, [], {})


async def test_an_answer_that_is_no_new_verdict_leaves_the_verdict_alone(club):
    wren, answers, _ = club
    answers(verdict(1))
    first = await wren.types("/readings", centre="1.10")
    answers(Card(title="Why", conclusion="Odds.", case=12))
    why = await wren.presses(first, "Why?")
    assert why.message is not first.message
    assert first.message.edits == 0


@pytest.mark.parametrize("speed", ["", "slow"])
async def test_a_mistake_in_the_form_is_told_beside_the_verdict_to_the_person_alone(club, speed):
    wren, answers, connected = club
    answers(verdict(1))
    first = await wren.types("/readings", centre="1.10")
    form = await wren.presses(first, "Add readings")
    connected.answerer.wish = f"{speed} bad"
    said = await wren.fills(form, centre="about a thumb")
    assert "not a length" in said.text
    assert said.private
    assert first.message.edits == 0


async def test_an_old_verdict_that_is_gone_or_closed_to_us_is_no_error(club, caplog):
    """The newer one has been said; the platform is not asked a second time."""
    wren, answers, connected = club
    caplog.set_level("INFO", "bot")
    for attempt, spoil in ((2, "gone"), (3, "closed"), (4, "nonsense")):
        answers(verdict(1))
        connected.desk._verdicts._latest.clear()
        old = (await wren.types("/readings", centre="1.10")).message
        place = noted_place(connected)
        asker = wren
        if spoil == "gone":
            old.deleted = True
        elif spoil == "closed":
            asker = wren.at(wren.community.channel("workshop"))
            wren.channel.withheld |= VIEW
        else:
            place = "nowhere"
        answers(verdict(attempt, place))
        assert f"number {attempt}" in (await asker.types("/readings", centre="1.02")).text
        wren.channel.withheld = 0
    await asyncio.sleep(0.2)
    assert not [line for line in caplog.records if line.levelname == "ERROR"]
    told = [line for line in caplog.records if line.message == "old verdict not collapsed"]
    assert {line.status for line in told} == {403, 404}
    assert {line.levelname for line in told} == {"INFO"}


async def test_a_verdict_deleted_meanwhile_is_said_anew(club):
    wren, answers, connected = club
    answers(verdict(1))
    first = await wren.types("/readings", centre="1.10")
    form = await wren.presses(first, "Add readings")
    connected.platform.pressed_is_gone = True
    answers(verdict(2, noted_place(connected)))
    said = await wren.fills(form, centre="1.02")
    assert [call.type for call in said.conversation.calls] == [record.MESSAGE]
    assert "number 2" in said.text
    assert noted_place(connected) == f"{wren.channel.id}/{said.message.id}"


async def test_a_private_verdict_does_not_stand(club):
    wren, answers, connected = club
    answers(verdict(1, private=True))
    said = await wren.types("/readings", centre="1.10")
    assert said.private
    assert connected.answerer.noted == []


async def test_of_a_private_conversation_only_the_message_is_noted_and_its_verdict_is_updated_there(club, until):
    """The channel of a private conversation would tell who it was."""
    wren, answers, connected = club
    wren = wren.privately
    answers(verdict(1))
    first = await wren.types("/readings", centre="1.10")
    assert noted_place(connected) == f"direct/{first.message.id}"
    answers(verdict(2, noted_place(connected)))
    form = await wren.presses(first, "Add readings")
    assert (await wren.fills(form, centre="1.02")).message is first.message
    answers(verdict(3, noted_place(connected)))
    await wren.types("/readings", centre="1.03")
    await until(lambda: "number 3" in first.message.text)
    assert first.message.buttons == {}


async def test_of_two_verdicts_at_once_one_stands_and_the_one_that_was_overtaken_is_for_its_asker(club, until):
    wren, answers, connected = club
    answers(verdict(1))
    first = (await wren.types("/readings", centre="1.10")).message
    place = noted_place(connected)
    answers(verdict(3, place))
    third = await wren.types("/readings", centre="1.02")
    answers(verdict(2, place))
    second = await wren.types("/readings", centre="1.02")
    assert second.private
    assert not third.private
    assert noted_place(connected) == f"{wren.channel.id}/{third.message.id}"
    answers(verdict(4, place))
    fourth = await wren.types("/readings", centre="1.02")
    await until(lambda: third.message.edits)
    assert "number 4" in third.message.text
    assert [one for one in wren.channel.messages if "Verdict number" in one.text and not one.private] == [
        fourth.message
    ]
    assert first.buttons == {}


async def test_a_place_that_cannot_be_noted_does_not_spoil_the_verdict(club, caplog, monkeypatch):
    wren, answers, connected = club

    async def fail(*_args):
        raise OSError("disk full")

    monkeypatch.setattr(connected.answerer, "stands", fail)
    answers(verdict(1))
    assert "number 1" in (await wren.types("/readings", centre="1.10")).text
    assert any(line.message == "place not noted" for line in caplog.records)


async def test_a_verdict_whose_receipt_was_lost_is_found_again(club, until):
    wren, answers, connected = club
    answers(verdict(1))
    connected.platform.cut_next = 1
    said = await wren.types("/readings", centre="1.10")
    await until(lambda: connected.answerer.noted)
    assert noted_place(connected) == f"{wren.channel.id}/{said.message.id}"
