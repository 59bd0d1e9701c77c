"""What is registered is the table of commands, no more and no less, whatever else this front end can do."""

import pytest
from stand_in.invented import InventedAnswerer, suggest, texts
from stand_in.limits import faults_of_commands, faults_of_modal

from bot.discord_app.client import PlatewrightClient
from bot.discord_app.desk import Desk
from bot.discord_app.forms import build_form
from bot.discord_app.slash import SUGGESTED, SlashBuilder
from core.commands import COMMANDS, Command, Option
from core.errors import UnusableKnowledge
from core.words import Words

BY_NAME = {command.name: command for command in COMMANDS}


ROLE, CHANNEL, TEXT = 8, 7, 3
TYPES = {"role": ROLE, "channel": CHANNEL}
ON_MESSAGE = 3


def client(words, table=COMMANDS):
    desk = Desk(InventedAnswerer(), suggest, table=table)
    return PlatewrightClient(desk=desk, words=words, languages=texts(), suggest=suggest, memory=None)


def payload(words, table=COMMANDS):
    tree = client(words, table).tree
    return [command.to_dict(tree) for command in tree.get_commands()]


def registered(words, name) -> dict:
    """Return what is registered of a command, a word below its group or not."""
    first, _, second = name.partition(" ")
    (found,) = (one for one in payload(words) if one["name"] == first)
    return next(one for one in found["options"] if one["name"] == second) if second else found


async def test_the_registered_commands_are_the_table_in_its_order(words):
    typed = [command.name.partition(" ")[0] for command in COMMANDS if not command.menu]
    assert [one["name"] for one in payload(words) if one["type"] != ON_MESSAGE] == list(dict.fromkeys(typed))
    for command in COMMANDS:
        if not command.menu:
            assert registered(words, command.name)["name"] == command.name.rpartition(" ")[2]


async def test_what_is_chosen_on_a_message_is_in_its_menu_and_not_typed(words):
    entries = [one for one in payload(words) if one["type"] == ON_MESSAGE]
    assert [one["name"] for one in entries] == ["Read symptoms"]
    assert not any("options" in one for one in entries)


TYPED = [command.name for command in COMMANDS if not command.menu]


@pytest.mark.parametrize("name", TYPED)
async def test_the_options_are_the_tables_in_its_order_and_none_is_required(words, name):
    found = registered(words, name)["options"]
    wanted = BY_NAME[name].options
    assert [(one["name"], one["type"]) for one in found] == [(one.name, TYPES.get(one.kind, TEXT)) for one in wanted]
    assert not any(option.get("required") for option in found)


async def test_a_channel_is_one_that_people_write_in(words):
    (found,) = (one for one in registered(words, "setup")["options"] if one["type"] == CHANNEL)
    assert found["channel_types"] == [0, 5, 15]


async def test_what_is_for_administrators_is_shown_to_who_manages_the_community(words):
    """A hint for the platform only: the service checks by itself."""
    wanted = {one["name"]: one["default_member_permissions"] for one in payload(words)}
    assert wanted.pop("setup") == 1 << 5
    assert set(wanted.values()) == {None}


async def test_what_needs_a_community_is_not_offered_in_private(words):
    contexts = {one["name"]: one["contexts"] for one in payload(words)}
    for first, offered in contexts.items():
        of_name = [command for command in COMMANDS if command.name.partition(" ")[0] == first]
        assert (1 in offered) == (any(one.direct for one in of_name) or not of_name), first
    assert contexts["setup"] == [0]


@pytest.mark.parametrize(
    ("command", "option"), [(c.name, o) for c in COMMANDS for o in c.options], ids=lambda x: getattr(x, "name", x)
)
async def test_fixed_lists_are_choices_and_open_lists_are_suggested(words, command, option):
    (found,) = (one for one in registered(words, command)["options"] if one["name"] == option.name)
    fixed = [value for value, _ in words.under(f"choices.{option.choices}")] if option.choices else []
    assert [choice["value"] for choice in found.get("choices", [])] == ([] if option.choices in SUGGESTED else fixed)
    assert bool(found.get("autocomplete")) == (option.choices in SUGGESTED)


async def test_the_registration_keeps_every_limit(words):
    assert faults_of_commands(payload(words)) == []


@pytest.mark.parametrize("name", [command.name for command in COMMANDS if any(o.form for o in command.options)])
async def test_a_form_has_the_options_that_are_marked_for_it_and_keeps_every_limit(words, name):
    form = build_form(BY_NAME[name], words, suggest, "999999999").to_dict()
    options = [option for option in BY_NAME[name].options if option.form]
    own_words = ["text"] if any(option.choices for option in options) else []
    assert [label["component"]["custom_id"] for label in form["components"]] == [
        *(option.name for option in options),
        *own_words,
    ]
    for label, option in zip(form["components"], options, strict=False):
        assert label["component"]["type"] == (3 if option.choices else 4)
        assert label["component"]["required"] is False
    assert form["custom_id"] == f"form:{name}:999999999"
    assert faults_of_modal(form) == []


async def test_no_words_about_commands_are_left_that_no_command_has(words):
    """A renamed option would otherwise leave its old description behind."""
    known = {f"{command.name.partition(' ')[0]}.description" for command in COMMANDS}
    for command in COMMANDS:
        name = command.name if command.menu else command.name.replace(" ", ".")
        known |= {f"{name}.{end}" for end in ("description", "form.title", *(["menu"] if command.menu else []))}
        known |= {f"{name}.options.{option.name}" for option in command.options}
        for part in ("label", "hint", "example"):
            known |= {f"{name}.form.{option.name}.{part}" for option in command.options if option.form}
            known |= {f"{name}.form.text.{part}" for option in command.options if option.form and option.choices}
    assert {key for key, _ in words.under("commands")} <= known


TEXTS = {
    "commands.case.description": "Cases.",
    "commands.case.show.description": "Show.",
    "commands.why.description": "Why.",
}


async def test_a_name_of_two_words_becomes_a_command_with_a_sub_command():
    (case, why) = payload(Words("en", TEXTS), (Command("case show"), Command("why")))
    assert (case["name"], [option["name"] for option in case["options"]]) == ("case", ["show"])
    assert why["name"] == "why"


async def test_a_command_without_words_is_found_at_the_start():
    with pytest.raises(UnusableKnowledge):
        payload(Words("en", {}), (Command("why"),))


async def test_a_list_too_long_for_choices_is_found_at_the_start():
    held = {"commands.why.description": "Why.", "commands.why.options.a": "A."} | {
        f"choices.long.v{n}": "x" for n in range(26)
    }
    builder = SlashBuilder(Desk(InventedAnswerer(), suggest), Words("en", held), suggest)
    with pytest.raises(ValueError, match="26 entries"):
        builder.build([Command("why", options=(Option("a", choices="long"),))])
