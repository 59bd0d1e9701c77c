"""Pressed buttons: what they carry, who may press them, and what becomes of the question they answer."""

import asyncio

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from stand_in import record
from stand_in.limits import EPHEMERAL
from stand_in.payloads import CHANNEL, CLUB, JAY, WREN, press, slash, submit

from bot.discord_app.presses import LONGEST_ID, Press, identify, read_press
from core.card import Action
from core.commands import COMMANDS, Command, Option
from core.knowledge import load_knowledge

WREN_ID = int(WREN["id"])
HEX = f"{WREN_ID:x}"
BY_NAME = {command.name: command for command in COMMANDS}

actions = st.sampled_from([command for command in COMMANDS if command.options]).flatmap(
    lambda command: st.builds(
        Action,
        label=st.just("x"),
        command=st.just(command.name),
        options=st.dictionaries(
            st.sampled_from([option.name for option in command.options]), st.text(max_size=30), max_size=3
        ),
        once=st.booleans(),
    )
)


def wrens(action: Action) -> str:
    """Return the identifier of Wren's button for an action."""
    custom_id = identify(action, WREN_ID, COMMANDS)
    assert custom_id is not None
    return custom_id


# ---- identifiers ----------------------------------------------------------------------------------


@given(actions, st.integers(min_value=0, max_value=2**64 - 1))
@example(Action("x", "symptoms", {"seen": "&=:%+ é", "where": "front_left"}), 2**64 - 1)
def test_an_identifier_is_read_back_as_exactly_what_was_written(action, person):
    custom_id = identify(action, person, COMMANDS)
    if custom_id is not None:
        assert len(custom_id) <= 100
        assert custom_id.isascii()
        whose = None if action.options.get("case") else person
        assert read_press(custom_id, COMMANDS) == Press(whose, BY_NAME[action.command], action.options, action.once)


@pytest.mark.parametrize("command", [one for one in COMMANDS if not one.menu], ids=lambda command: command.name)
def test_every_command_and_each_of_its_options_fits_a_button_of_the_largest_person(command):
    for options in ({}, *({option.name: "x" * 30} for option in command.options)):
        assert identify(Action("x", command.name, options), 2**64 - 1, COMMANDS) is not None


def test_the_longest_button_there_is_fits():
    """How a case ended, with the longest step, once; and the longest cause."""
    knowledge = load_knowledge()
    for option, names in (("step", knowledge.remedies), ("cause", knowledge.causes)):
        for name in names:
            given = {"case": "999999999", option: name}
            command = "case confirm" if option == "cause" else "case outcome"
            more = {"result": "fixed_by_step"} if option == "step" else {}
            action = Action("x", command, {"case": "999999999", **more, option: name}, once=True)
            assert identify(action, 2**64 - 1, COMMANDS) is not None, given


def test_what_names_a_case_is_bound_to_nobody_and_all_else_to_who_asked():
    for options, whose in (({"case": "12"}, None), ({}, WREN_ID)):
        custom_id = wrens(Action("x", "why", options))
        found = read_press(custom_id, COMMANDS)
        assert found is not None
        assert found.person == whose
        assert (HEX in custom_id) == (whose is not None)


def test_what_is_chosen_on_a_message_has_no_button():
    assert identify(Action("x", "read symptoms"), WREN_ID, COMMANDS) is None
    assert read_press(f"pw2:{HEX}:read%20symptoms:", COMMANDS) is None


def test_a_name_of_two_words_is_carried():
    table = (Command("case show", options=(Option("number"),)),)
    custom_id = identify(Action("x", "case show", {"number": "7"}), WREN_ID, table)
    assert custom_id is not None
    assert read_press(custom_id, table) == Press(WREN_ID, table[0], {"number": "7"})


def test_an_identifier_of_exactly_the_limit_is_kept_and_one_more_is_not():
    room = LONGEST_ID - len(wrens(Action("x", "symptoms", {"seen": "x"}))) + 1
    assert len(wrens(Action("x", "symptoms", {"seen": "x" * room}))) == 100
    assert identify(Action("x", "symptoms", {"seen": "x" * (room + 1)}), WREN_ID, COMMANDS) is None


@pytest.mark.parametrize(
    "action",
    [
        Action("unknown command", "levelling"),
        Action("unknown option", "symptoms", {"colour": "blue"}),
        Action("blank option", "symptoms", {"seen": ""}),
        Action("half a character", "symptoms", {"seen": "\ud83e"}),
    ],
    ids=lambda action: action.label,
)
def test_what_could_not_be_read_back_gets_no_identifier(action):
    assert identify(action, WREN_ID, COMMANDS) is None


FORGED = {
    "nothing": "",
    "somebody else's": "form:readings",
    "an older version": f"pw1:{HEX}:why:",
    "a case bound to a person": f"pw2:{HEX}:why:case=12",
    "no case bound to nobody": "pw2::why:",
    "a blank case bound to nobody": "pw2::why:case=",
    "the case of a command without cases": "pw2::help:case=12",
    "once twice": f"pw2!!:{HEX}:why:",
    "no options part": f"pw2:{HEX}:why",
    "one part too many": f"pw2:{HEX}:why::",
    "no command": f"pw2:{HEX}::",
    "unknown command": f"pw2:{HEX}:erase:",
    "command in capitals": f"pw2:{HEX}:WHY:",
    "unknown option": f"pw2:{HEX}:symptoms:colour=blue",
    "option of another command": f"pw2:{HEX}:symptoms:burn_in=30",
    "option twice": f"pw2:{HEX}:symptoms:confirm=no&confirm=yes",
    "blank option": f"pw2:{HEX}:symptoms:confirm=",
    "not an option": f"pw2:{HEX}:symptoms:confirm",
    "written another way": f"pw2:{HEX}:symptoms:confirm=%79es",
    "no person": "pw2::why:",
    "not a person": "pw2:wren:why:",
    "person in capitals": "pw2:C7D713B49DA0001:why:",
    "person with a sign": f"pw2:+{HEX}:why:",
    "person with a prefix": f"pw2:0x{HEX}:why:",
    "broken bytes": f"pw2:{HEX}:symptoms:seen=%ff",
    "half a character": f"pw2:{HEX}:symptoms:seen=\ud83e",
    "over-long": f"pw2:{HEX}:symptoms:seen={'x' * 100}",
    "very many options": f"pw2:{HEX}:symptoms:{'&'.join('a=b' for _ in range(30))}",
}


@pytest.mark.parametrize("custom_id", FORGED.values(), ids=FORGED)
def test_an_identifier_nobody_here_wrote_is_not_read(custom_id):
    assert read_press(custom_id, COMMANDS) is None


@given(st.text() | st.from_regex(r"pw2!?:[0-9a-f]{0,16}:(why|symptoms):(case=)?.{0,60}", fullmatch=True))
def test_whatever_comes_back_is_one_of_ours_or_nothing(custom_id):
    found = read_press(custom_id, COMMANDS)
    if found is not None:
        action = Action("x", found.command.name, found.options, found.once)
        assert custom_id == identify(action, found.person or 0, COMMANDS)


# ---- conversations --------------------------------------------------------------------------------


async def verdict(connected):
    return await (await connected.platform.send(slash("readings", {"centre": "1.10"}))).answer()


async def question(connected):
    return await (await connected.platform.send(slash("symptoms", {"seen": "sure"}))).answer()


async def test_a_press_is_the_same_inquiry_as_the_command(connected):
    shown = await verdict(connected)
    custom_id = shown.buttons["What next?"]["custom_id"]
    answer = await (await connected.platform.send(press(shown.data, custom_id))).answer()
    assert answer.type == record.MESSAGE
    assert not answer.private
    inquiry = connected.answerer.heard[-1]
    assert (inquiry.command, inquiry.options) == ("next", {})
    assert (inquiry.asker.community, inquiry.asker.channel, inquiry.asker.person) == (CLUB, CHANNEL, WREN["id"])


async def test_a_button_with_options_hands_them_in(connected):
    connected.answerer.actions = (Action("On the right", "symptoms", {"seen": "glossy_raft", "where": "right"}),)
    shown = await verdict(connected)
    await (await connected.platform.send(press(shown.data, shown.buttons["On the right"]["custom_id"]))).answer()
    assert connected.answerer.heard[-1].options == {"seen": "glossy_raft", "where": "right"}


async def test_a_button_that_names_a_case_may_be_pressed_by_anybody_and_the_service_decides(connected):
    connected.answerer.actions = (Action("Evidence", "why", {"case": "12"}),)
    shown = await verdict(connected)
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Evidence"]["custom_id"], person=JAY))
    await pressed.answer()
    inquiry = connected.answerer.heard[-1]
    assert (inquiry.command, inquiry.options, inquiry.asker.person) == ("why", {"case": "12"}, JAY["id"])


async def test_a_button_for_a_command_with_a_form_shows_the_form(connected):
    connected.answerer.actions = (Action("Measure again", "readings"),)
    shown = await verdict(connected)
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Measure again"]["custom_id"]))
    form = await pressed.answer()
    assert form.type == record.MODAL
    await (await connected.platform.send(submit(form.data, {"centre": "1.02"}))).answer()
    assert connected.answerer.heard[-1].options == {"centre": "1.02"}


async def test_a_button_works_in_a_private_conversation(connected):
    shown = await verdict(connected)
    custom_id = shown.buttons["Why?"]["custom_id"]
    await (await connected.platform.send(press(shown.data, custom_id, direct=True))).answer()
    assert connected.answerer.heard[-1].asker.community == "direct"


async def test_somebody_elses_press_is_refused_to_them_alone_and_asks_nothing(connected):
    shown = await verdict(connected)
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Why?"]["custom_id"], person=JAY))
    answer = await pressed.answer()
    assert answer.type == record.MESSAGE
    assert answer.private
    assert "somebody else's" in answer.text
    assert len(connected.answerer.heard) == 1


@pytest.mark.parametrize("name", FORGED)
async def test_a_forged_press_is_refused_kindly_and_asks_nothing(connected, name):
    shown = await verdict(connected)
    answer = await (await connected.platform.send(press(shown.data, FORGED[name]))).answer()
    assert answer.private
    assert "Nothing happened" in answer.text
    assert len(connected.answerer.heard) == 1


async def test_a_slow_answer_to_a_press_under_a_public_answer_is_announced_in_time(connected):
    shown = await verdict(connected)
    connected.answerer.wish = "slow"
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Why?"]["custom_id"]))
    first, second = await pressed.until(2)
    assert first.type == record.DEFERRED
    assert (second.kind, second.private) == (record.EDIT, False)


async def test_nothing_stays_in_memory_of_buttons(connected):
    shown = await question(connected)
    await (await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))).until(2)
    connected.answerer.wish = "slow"
    await (await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))).until(3)
    kept = connected.client._connection._view_store
    assert not kept._synced_message_views
    assert not any(kept._views.values())
    assert not kept._dynamic_items


async def test_an_answered_question_loses_its_buttons_and_keeps_its_words(connected):
    shown = await question(connected)
    assert shown.private
    assert list(shown.buttons) == ["Yes", "No"]
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))
    update, answer = await pressed.until(2)
    assert (update.type, update.buttons) == (record.UPDATE, {})
    assert update.text == shown.text
    assert update.data["components"][0]["accent_color"] == shown.data["components"][0].get("accent_color")
    assert connected.answerer.heard[-1].options == {"confirm": "yes"}
    assert answer.kind == record.FOLLOW_UP
    assert not answer.private
    assert list(answer.files) == ["plate-map.png"]
    assert "The right side is further away" in answer.text


async def test_a_private_answer_to_a_question_is_private(connected):
    shown = await question(connected)
    connected.answerer.wish = "bad"
    pressed = await connected.platform.send(press(shown.data, shown.buttons["No"]["custom_id"]))
    _, answer = await pressed.until(2)
    assert answer.private
    assert "is not a length" in answer.text


async def test_while_a_slow_answer_is_made_the_buttons_of_the_question_rest(connected):
    shown = await question(connected)
    connected.answerer.wish = "slow"
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))
    resting, update, answer = await pressed.until(3)
    assert resting.type == record.UPDATE
    assert resting.after_s < 3
    assert [button["disabled"] for button in resting.buttons.values()] == [True, True]
    assert (update.kind, update.buttons, update.text) == (record.EDIT, {}, shown.text)
    assert (answer.kind, answer.private) == (record.FOLLOW_UP, False)


@pytest.mark.parametrize("wish", ["bug", "slow bug"])
async def test_a_question_whose_answer_failed_here_can_be_answered_again(connected, wish):
    shown = await question(connected)
    connected.answerer.wish = wish
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))
    calls = await pressed.until(3 if "slow" in wish else 1)
    assert "abc2345" in calls[-1].text
    assert calls[-1].private
    redrawn = [call for call in calls if call.buttons]
    assert not redrawn or not any(button["disabled"] for button in redrawn[-1].buttons.values())
    assert not any(call.text == shown.text and not call.buttons for call in calls)


@pytest.mark.parametrize("wish", ["", "slow"])
async def test_a_question_that_is_gone_is_no_error_and_the_answer_comes(connected, wish, caplog):
    shown = await question(connected)
    connected.platform.pressed_is_gone = True
    connected.answerer.wish = wish
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))
    calls = await pressed.until(2 if wish else 1)
    assert "The right side is further away" in calls[-1].text
    assert not any(line.levelname == "ERROR" for line in caplog.records)


async def test_buttons_that_answer_no_question_stay(connected):
    shown = await verdict(connected)
    for _ in range(2):
        pressed = await connected.platform.send(press(shown.data, shown.buttons["Why?"]["custom_id"]))
        await pressed.answer()
        await asyncio.sleep(0.1)
        assert [call.type for call in pressed.calls] == [record.MESSAGE]


async def test_a_press_while_the_service_stops_is_sent_away_kindly_and_the_question_stays(connected):
    shown = await question(connected)
    await connected.desk.drain(0.1)
    pressed = await connected.platform.send(press(shown.data, shown.buttons["Yes"]["custom_id"]))
    answer = await pressed.answer()
    assert answer.type == record.MESSAGE
    assert "being restarted" in answer.text
    assert len(connected.answerer.heard) == 1


@pytest.mark.parametrize("private", [True, False])
async def test_a_question_with_a_picture_stays_as_it_is_and_is_answered(connected, private):
    """Its pictures came as files, which are not here any more."""
    connected.answerer.actions = (Action("Yes", "symptoms", {"confirm": "yes"}, once=True),)
    shown = await verdict(connected)
    sent = {**shown.data, "flags": shown.data["flags"] | (EPHEMERAL if private else 0)}
    pressed = await connected.platform.send(press(sent, shown.buttons["Yes"]["custom_id"]))
    await pressed.answer()
    await asyncio.sleep(0.1)
    assert [call.type for call in pressed.calls] == [record.MESSAGE]
