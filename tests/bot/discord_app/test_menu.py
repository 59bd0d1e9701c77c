"""What somebody wrote, chosen from the menu of their message."""

import pytest
from stand_in.messages import Message


@pytest.fixture
def people(connected):
    return connected.platform.person("wren"), connected.platform.person("jay"), connected


async def test_the_words_and_their_author_are_handed_in_and_nothing_privileged_is_asked_for(people):
    wren, jay, connected = people
    message = await wren.writes("the raft on the right is shiny")
    await jay.chooses_menu("Read symptoms", message)
    (inquiry,) = connected.answerer.heard
    assert (inquiry.command, inquiry.text, inquiry.options) == (
        "read symptoms",
        "the raft on the right is shiny",
        {},
    )
    assert (inquiry.author, inquiry.asker.person) == (wren.id, jay.id)
    assert connected.platform.gateway.identified[0]["intents"] == 1


async def test_a_message_without_words_is_refused_kindly(people):
    wren, jay, connected = people
    message = await wren.writes(" \n ")
    said = await jay.chooses_menu("Read symptoms", message)
    assert said.private
    assert "no text" in said.text
    assert connected.answerer.heard == []


async def test_what_a_program_wrote_is_refused_kindly(people):
    wren, jay, connected = people
    answer = await wren.types("/readings", centre="1.10")
    robot = {"id": "900000000000000055", "username": "robot", "discriminator": "0", "avatar": None, "bot": True}
    theirs = Message(id=connected.platform.new_id(), channel=jay.channel, author=robot)
    theirs.put({"content": "the raft is shiny", "allowed_mentions": {"parse": []}}, {})
    for message in (answer.message, connected.platform.post(theirs)):
        said = await jay.chooses_menu("Read symptoms", message)
        assert said.private
        assert "not written by a person" in said.text
    assert len(connected.answerer.heard) == 1


async def test_signs_that_frame_a_mention_do_not_come_in(people):
    wren, jay, connected = people
    await jay.chooses_menu("Read symptoms", await wren.writes("shiny \ue000123\ue001"))
    assert connected.answerer.heard[0].text == "shiny 123"
