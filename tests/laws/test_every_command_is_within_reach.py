"""Law: every command can be typed in the terminal, with each of its options, and the terminal says so."""

from datetime import UTC, datetime

import pytest

from bot.terminal_app.inbound import read_line
from core.commands import COMMANDS
from core.service.desk import BY_NAME
from core.words import languages, load_words

AT = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
NAMES = [command.name for command in COMMANDS]


@pytest.mark.parametrize("name", NAMES)
def test_a_command_is_typed_as_it_is_named(name):
    assert read_line(f"/{name}", AT, "r-1").command == name


@pytest.mark.parametrize("name", NAMES)
def test_each_of_its_options_arrives(name):
    given = {option.name: f"v{n}" for n, option in enumerate(BY_NAME[name].options)}
    line = " ".join((f"/{name}", *(f"{option}={value}" for option, value in given.items())))
    assert read_line(line, AT, "r-1").options == given


@pytest.mark.parametrize("language", languages())
def test_what_only_the_terminal_has_is_said_in_every_language(language):
    words = load_words(language)
    told = "\n".join(text for _, text in words.under("terminal.help"))
    assert all(command in told for command in ("/as fern", "/as moss helpers", "/as you", "in private", "/quit"))
    assert all(f"/{command.name} " in told for command in COMMANDS if command.menu)
    assert "/as fern" in words.say("terminal.welcome")
