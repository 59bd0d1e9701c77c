"""What people see: real interactions through the real library, answers as the platform gets them."""

import asyncio

import pytest
from stand_in import record
from stand_in.payloads import CHANNEL, CLUB, WREN, slash, submit, typing

from core.commands import COMMANDS

FIVE = {
    "front_left": "0.98",
    "front_right": "1.02",
    "back_left": "1.31",
    "back_right": "1.28",
    "centre": "1.10",
}


async def test_readings_given_as_options_are_answered_at_once_with_a_picture_and_its_words(connected):
    conversation = await connected.platform.send(slash("readings", FIVE))
    answer = await conversation.answer()
    assert answer.type == record.MESSAGE
    assert "The right side is further away" in answer.text
    assert not answer.private
    assert list(answer.files) == ["plate-map.png"]
    assert answer.data["attachments"][0]["description"].startswith("Plate seen from above")


async def test_an_inquiry_says_who_asked_where_when_and_in_which_language(connected):
    conversation = await connected.platform.send(slash("readings", {"centre": " 1.10 ", "plate": "  "}))
    await conversation.answer()
    (inquiry,) = connected.answerer.heard
    assert inquiry.command == "readings"
    assert inquiry.options == {"centre": "1.10"}
    assert (inquiry.asker.community, inquiry.asker.channel, inquiry.asker.person) == (CLUB, CHANNEL, WREN["id"])
    assert inquiry.asker.language == "en-GB"
    assert inquiry.at.tzinfo is not None
    assert inquiry.reference == "abc2345"


async def test_a_private_conversation_is_a_community_of_its_own(connected):
    conversation = await connected.platform.send(slash("readings", FIVE, direct=True))
    await conversation.answer()
    assert connected.answerer.heard[0].asker.community == "direct"


async def test_readings_without_options_show_a_form_of_five_fields(connected):
    form = await (await connected.platform.send(slash("readings"))).answer()
    assert form.type == record.MODAL
    assert [label["component"]["custom_id"] for label in form.data["components"]] == list(FIVE)
    assert not any(label["component"]["required"] for label in form.data["components"])
    assert connected.answerer.heard == []


@pytest.mark.parametrize("name", [command.name for command in COMMANDS if any(o.form for o in command.options)])
async def test_a_submitted_form_is_the_same_inquiry_as_the_options(connected, name):
    form = await (await connected.platform.send(slash(name))).answer()
    fields = [label["component"]["custom_id"] for label in form.data["components"]]
    conversation = await connected.platform.send(submit(form.data, {fields[0]: "1.02", fields[1]: "   "}))
    answer = await conversation.answer()
    assert answer.type == record.MESSAGE
    (inquiry,) = connected.answerer.heard
    assert (inquiry.command, inquiry.options) == (name, {fields[0]: "1.02"})


async def test_two_open_forms_of_one_command_do_not_swallow_each_other(connected):
    """Forms are stored by identifier in the library, so that two of one identifier would lose one submission."""
    forms = [await (await connected.platform.send(slash("readings"))).answer() for _ in range(2)]
    for number, form in enumerate(forms):
        conversation = await connected.platform.send(submit(form.data, {"centre": f"1.0{number}"}))
        await conversation.answer()
    assert [inquiry.options["centre"] for inquiry in connected.answerer.heard] == ["1.00", "1.01"]


async def test_nothing_stays_in_memory_of_forms_and_messages_that_were_shown(connected):
    """Forms that people dismiss are never reported, so whatever is kept of them is kept for good."""
    await (await connected.platform.send(slash("readings"))).answer()
    await (await connected.platform.send(slash("readings", FIVE))).answer()
    await (await connected.platform.send(slash("readings", {"nominal": "slow"}))).until(2)
    kept = connected.client._connection._view_store
    assert not kept._modals
    assert not kept._synced_message_views
    assert not any(kept._views.values())


async def test_a_slow_answer_is_announced_in_time_and_then_put_in_its_place(connected):
    conversation = await connected.platform.send(slash("readings", {"nominal": "slow"}))
    first, second = await conversation.until(2)
    assert (first.kind, first.type) == (record.CALLBACK, record.DEFERRED)
    assert first.after_s < 3
    assert second.kind == record.EDIT
    assert "The right side is further away" in second.text
    assert list(second.files) == ["plate-map.png"]
    assert second.data["allowed_mentions"]["parse"] == []


async def test_a_mistake_is_answered_to_the_person_alone(connected):
    answer = await (await connected.platform.send(slash("readings", {"nominal": "bad"}))).answer()
    assert answer.private
    assert "is not a length" in answer.text


async def test_a_mistake_found_late_is_still_for_the_person_alone(connected):
    """A sign of life is for everyone and stays so: what is private has to come as a message of its own."""
    conversation = await connected.platform.send(slash("readings", {"nominal": "slow bad"}))
    _, notice, answer, removed = await conversation.until(4)
    assert (notice.kind, answer.kind, removed.kind) == (record.EDIT, record.FOLLOW_UP, record.DELETE)
    assert "not a length" not in notice.text
    assert "not a length" in answer.text
    assert answer.private


@pytest.mark.parametrize("wish", ["fail", "bug", "slow bug"])
async def test_our_own_failure_says_sorry_with_the_reference_that_is_in_the_log(connected, caplog, wish):
    conversation = await connected.platform.send(slash("readings", {"nominal": wish}))
    calls = await conversation.until(4 if "slow" in wish else 1)
    answer = next(call for call in calls if "abc2345" in call.text)
    assert answer.private
    assert "ZeroDivisionError" not in answer.text
    line = next(line for line in caplog.records if line.message == "failed")
    assert line.reference == "abc2345"


async def test_an_answer_that_never_comes_is_given_up_with_an_apology(connected):
    conversation = await connected.platform.send(slash("readings", {"nominal": "wait"}))
    calls = await conversation.until(4, seconds=8)
    assert "took longer" in calls[2].text


async def test_a_command_the_program_no_longer_has_is_answered_with_what_to_do(connected):
    answer = await (await connected.platform.send(slash("levelling"))).answer()
    assert answer.private
    assert "has just changed" in answer.text


async def test_an_answer_whose_connection_is_cut_is_said_once(connected, caplog):
    """The platform took the answer, only its receipt was lost: a second try is refused, and that is well."""
    connected.platform.cut_next = 1
    conversation = await connected.platform.send(slash("readings", FIVE))
    await conversation.answer()
    await asyncio.sleep(0.6)
    assert len(conversation.calls) == 1
    assert len(connected.answerer.heard) == 1
    assert "not sent" not in caplog.text


async def test_a_message_the_platform_refuses_becomes_an_apology(connected):
    connected.platform.refuse_next = 1
    answer = await (await connected.platform.send(slash("readings", FIVE))).answer()
    assert answer.private
    assert "abc2345" in answer.text


async def test_many_people_at_once_each_get_their_own_answer(connected):
    conversations = [await connected.platform.send(slash("readings", {"nominal": f"slow {n}."})) for n in range(12)]
    answers = [(await conversation.until(2))[1].text for conversation in conversations]
    assert all(f"slow {number}." in text for number, text in enumerate(answers))


async def test_suggestions_are_at_most_25_and_fit_their_field(connected):
    answer = await (await connected.platform.send(typing("symptoms", "seen", "gl"))).answer()
    assert answer.type == record.SUGGESTIONS
    assert len(answer.data["choices"]) == 25
    assert answer.data["choices"][0]["name"].startswith("findings gl")


async def test_a_dropped_connection_resumes_and_answers_what_was_missed(connected):
    await connected.platform.gateway.drop()
    conversation = await connected.platform.send(slash("readings", FIVE))
    answer = await conversation.answer(seconds=10)
    assert answer.type == record.MESSAGE
    assert connected.platform.gateway.resumed == 1


async def test_no_answer_may_ping_anyone(connected):
    answer = await (
        await connected.platform.send(slash("readings", {"nominal": "@everyone <@123456789012345678>"}))
    ).answer()
    assert answer.data["allowed_mentions"]["parse"] == []
    assert "@everyone" not in answer.text


async def test_commands_are_registered_once_and_again_only_when_they_change(connected, words, tmp_path):
    assert len(connected.platform.registrations) == 1
    await connected.client.setup_hook()
    assert len(connected.platform.registrations) == 1
    connected.client.tree.remove_command("help")
    await connected.client.setup_hook()
    assert len(connected.platform.registrations) == 2


async def test_what_is_running_is_finished_and_what_comes_after_is_sent_away_kindly(connected):
    running = await connected.platform.send(slash("readings", {"nominal": "wait"}))
    await connected.answerer.entered.wait()
    draining = asyncio.create_task(connected.desk.drain(3.0))
    await asyncio.sleep(0)
    late = await (await connected.platform.send(slash("readings", FIVE))).answer()
    assert "being restarted" in late.text
    connected.answerer.release.set()
    assert await draining == 0
    assert "The right side" in running.calls[-1].text


async def test_what_does_not_finish_in_time_is_counted(connected):
    await connected.platform.send(slash("readings", {"nominal": "wait"}))
    await connected.answerer.entered.wait()
    assert await connected.desk.drain(0.1) == 1
    connected.answerer.release.set()


async def test_the_client_hears_communities_and_nothing_else(connected):
    (identify,) = connected.platform.gateway.identified
    assert identify["intents"] == 1
