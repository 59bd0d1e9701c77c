"""How a terminal line becomes an inquiry."""

from datetime import UTC, datetime
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.terminal_app.inbound import read_line
from core.commands import COMMANDS
from core.errors import UnusableInput

AT = datetime(2026, 3, 14, 9, 26, tzinfo=UTC)


def read(line):
    return read_line(line, AT, "abc123")


@pytest.mark.parametrize("line", ["", "   ", "# a remark", "\ufeff"])
def test_nothing_is_asked_by(line):
    assert read(line) is None


LINES = [
    pytest.param("0.98 1.02 1.31 1.28 1.10", "readings", {}, "0.98 1.02 1.31 1.28 1.10", id="numbers only"),
    pytest.param("980/981 1020 1010 - 990 µm", "readings", {}, "980/981 1020 1010 - 990 µm", id="numbers with a unit"),
    pytest.param("shiny on the left", "symptoms", {}, "shiny on the left", id="a sentence"),
    pytest.param("- - -", "symptoms", {}, "- - -", id="no number at all"),
    pytest.param("/readings 1 1 1 1 1 thread=M4", "readings", {"thread": "M4"}, "1 1 1 1 1", id="text and an option"),
    pytest.param('/readings "plate=150 x 85"', "readings", {"plate": "150 x 85"}, "", id="a quoted option"),
    pytest.param('/readings plate="150 x 85" 1', "readings", {"plate": "150 x 85"}, "1", id="a quoted value"),
    pytest.param(
        '/readings front_left=0.039" front_right=0.040"',
        "readings",
        {"front_left": '0.039"', "front_right": '0.040"'},
        "",
        id="inch signs are no quotes",
    ),
    pytest.param("/symptoms it's the front's raft", "symptoms", {}, "it's the front's raft", id="apostrophes"),
    pytest.param("/readings fl=1.0 fr=1.1", "readings", {}, "fl=1.0 fr=1.1", id="names of the grammar stay text"),
    pytest.param("\ufeff/help", "help", {}, "", id="a byte-order mark"),
    pytest.param("/settings burn_in=", "settings", {"burn_in": ""}, "", id="an empty value"),
]


@pytest.mark.parametrize(("line", "command", "options", "text"), LINES)
def test_a_line_is_read_as(line, command, options, text):
    inquiry = read(line)
    assert (inquiry.command, dict(inquiry.options), inquiry.text) == (command, options, text)


@pytest.mark.parametrize(
    ("line", "codes"),
    [
        ("/level", ["unknown_command"]),
        ("/readingsnow", ["unknown_command"]),
        ("/", ["unknown_command"]),
        ("/settings burn_in=3 burn_in=4", ["option_twice"]),
        ("/settings glow=3 burn_in=4 hum=2", ["option_not_taken", "option_not_taken"]),
        ("/why which=tilt", ["takes_nothing"]),
    ],
)
def test_what_would_be_lost_is_refused(line, codes):
    with pytest.raises(UnusableInput) as refusal:
        read(line)
    assert [fault.code for fault in refusal.value.faults] == codes


OPTIONS = [(command.name, option.name) for command in COMMANDS for option in command.options]


@given(st.sampled_from(OPTIONS), st.text(st.characters(exclude_characters='"', exclude_categories=["Cs"])))
def test_any_value_of_any_option_arrives_unchanged_in_quotes(option, value):
    command, name = option
    assert read(f'/{command} {name}="{value}"').options == {name: value}


@pytest.mark.parametrize(
    "line", ["1" * 100_000 + "x", "1 " * 50_000 + "x", "/readings " + '" ' * 50_000, "/readings " + 'a="' * 30_000]
)
def test_the_longest_lines_are_read_in_no_time(line):
    """Linear: a hundred thousand characters; a quadratic reading would take minutes."""
    start = perf_counter()
    read(line)
    assert perf_counter() - start < 2
