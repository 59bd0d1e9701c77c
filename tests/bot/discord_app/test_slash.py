"""What is registered is the table of commands, no more and no less, whatever else this front end can do."""

import pytest
from stand_in.invented import InventedAnswerer, suggest
from stand_in.limits import faults_of_commands, faults_of_modal

from bot.discord_app.client import PlatewrightClient
from bot.discord_app.desk import Desk
from bot.discord_app.forms import build_form
from bot.discord_app.slash import SUGGESTED, SlashBuilder
from core.commands import COMMANDS, Command, Option
from core.errors import UnusableKnowledge
from core.words import Words

BY_NAME = {command.name: command for command in COMMANDS}


def payload(words, table=COMMANDS):
    client = PlatewrightClient(
        desk=Desk(InventedAnswerer(), words, table=table), words=words, suggest=suggest, memory=None
    )
    return [command.to_dict(client.tree) for command in client.tree.get_commands()]


async def test_the_registered_commands_are_the_table_in_its_order(words):
    assert [command["name"] for command in payload(words)] == list(BY_NAME)


@pytest.mark.parametrize("name", BY_NAME)
async def test_the_options_are_the_tables_in_its_order_all_text_and_none_required(words, name):
    registered = next(command for command in payload(words) if command["name"] == name)["options"]
    assert [option["name"] for option in registered] == [option.name for option in BY_NAME[name].options]
    assert {option["type"] for option in registered} <= {3}
    assert not any(option.get("required") for option in registered)


@pytest.mark.parametrize(
    ("command", "option"), [(c.name, o) for c in COMMANDS for o in c.options], ids=lambda x: getattr(x, "name", x)
)
async def test_fixed_lists_are_choices_and_open_lists_are_suggested(words, command, option):
    registered = next(one for one in payload(words) if one["name"] == command)["options"]
    (found,) = (one for one in registered if one["name"] == option.name)
    fixed = [value for value, _ in words.under(f"choices.{option.choices}")] if option.choices else []
    assert [choice["value"] for choice in found.get("choices", [])] == ([] if option.choices in SUGGESTED else fixed)
    assert bool(found.get("autocomplete")) == (option.choices in SUGGESTED)


async def test_the_registration_keeps_every_limit(words):
    assert faults_of_commands(payload(words)) == []


@pytest.mark.parametrize("name", [command.name for command in COMMANDS if any(o.form for o in command.options)])
async def test_a_form_has_the_options_that_are_marked_for_it_and_keeps_every_limit(words, name):
    form = build_form(BY_NAME[name], words).to_dict()
    assert [label["component"]["custom_id"] for label in form["components"]] == [
        option.name for option in BY_NAME[name].options if option.form
    ]
    assert faults_of_modal(form) == []


async def test_no_words_about_commands_are_left_that_no_command_has(words):
    """A renamed option would otherwise leave its old description behind."""
    known = {f"{command.name}.{end}" for command in COMMANDS for end in ("description", "form.title")}
    for command in COMMANDS:
        for option in command.options:
            known.add(f"{command.name}.options.{option.name}")
            known |= {f"{command.name}.form.{option.name}.{part}" for part in ("label", "hint", "example")}
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
    texts = {"commands.why.description": "Why.", "commands.why.options.a": "A."} | {
        f"choices.long.v{n}": "x" for n in range(26)
    }
    builder = SlashBuilder(Desk(InventedAnswerer(), Words("en", texts)), Words("en", texts), suggest)
    with pytest.raises(ValueError, match="26 entries"):
        builder.build([Command("why", options=(Option("a", choices="long"),))])
