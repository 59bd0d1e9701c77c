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
    pytest.param("help", "help", {}, "", id="the bare name of a command"),
    pytest.param("Case show", "case show", {}, "", id="of two words"),
    pytest.param("it worked", "symptoms", {}, "it worked", id="what no button says here"),
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
    pytest.param("/case  show", "case show", {}, "", id="a wide gap"),
    pytest.param("/case show 3", "case show", {"case": "3"}, "", id="the number of a case alone"),
    pytest.param("/why #3", "why", {"case": "#3"}, "", id="with its sign"),
    pytest.param("/readings 3", "readings", {}, "3", id="a number that is a reading"),
    pytest.param("/case note #3 20 s is long", "case note", {"case": "#3"}, "20 s is long", id="a note on a case"),
    pytest.param("/case note 20 s is long", "case note", {}, "20 s is long", id="a note that begins with a number"),
    pytest.param("/case outcome it worked", "case outcome", {"result": "it worked"}, "", id="a result alone"),
    pytest.param(
        "/case outcome 3 fixed_by_step step=level_plate",
        "case outcome",
        {"case": "3", "result": "fixed_by_step", "step": "level_plate"},
        "",
        id="a result, a case and a step",
    ),
    pytest.param("/my-data erase yes", "my-data erase", {"confirm": "yes"}, "", id="a yes"),
    pytest.param("/help straightedge", "help", {"topic": "straightedge"}, "", id="a topic"),
    pytest.param(
        "/setup helpers=@helpers channel=#help", "setup", {"helpers": "helpers", "channel": "help"}, "", id="marks"
    ),
]


@pytest.mark.parametrize(("line", "command", "options", "text"), LINES)
def test_a_line_is_read_as(line, command, options, text):
    inquiry = read(line)
    assert (inquiry.command, dict(inquiry.options), inquiry.text) == (command, options, text)


def test_what_a_button_says_can_be_said():
    buttons = {"it worked": "/case outcome fixed_by_step"}
    inquiry = read_line("It worked", AT, "abc123", buttons=buttons)
    assert (inquiry.command, dict(inquiry.options)) == ("case outcome", {"result": "fixed_by_step"})


@pytest.mark.parametrize(
    ("line", "codes"),
    [
        ("/level", ["unknown_command"]),
        ("/readingsnow", ["unknown_command_meant"]),
        ("/case", ["unknown_command"]),
        ("/case shows", ["unknown_command"]),
        ("/casequeue", ["unknown_command_meant"]),
        ("/", ["unknown_command"]),
        ("/settings burn_in=3 burn_in=4", ["option_twice"]),
        ("/settings glow=3 burn_in=4 hum=2", ["option_not_taken", "option_not_taken"]),
        ("/why which=tilt", ["option_not_taken"]),
        ("/why tilt", ["option_not_taken"]),
        ("/case queue now", ["takes_nothing"]),
        ("/case show 3 4", ["option_not_taken"]),
        ("/case outcome not_yet result=not_fixed", ["option_not_taken"]),
        ("/my-data show case=3", ["takes_nothing"]),
        ("/setup helper=moss", ["option_not_taken"]),
    ],
)
def test_what_would_be_lost_is_refused(line, codes):
    with pytest.raises(UnusableInput) as refusal:
        read(line)
    assert [fault.code for fault in refusal.value.faults] == codes


KINDS = {(command.name, option.name): option.kind for command in COMMANDS for option in command.options}
OPTIONS = [(command.name, option.name) for command in COMMANDS for option in command.options]


@pytest.mark.parametrize(
    ("line", "author", "text"),
    [
        ("/read symptoms author=fern the raft is shiny", "fern", "the raft is shiny"),
        ("/read symptoms the raft is shiny", "you", "the raft is shiny"),
        ("/read symptoms author=@fern burn_in=40 and a shiny raft", "fern", "burn_in=40 and a shiny raft"),
    ],
)
def test_a_message_that_is_read_has_an_author(line, author, text):
    inquiry = read(line)
    assert (inquiry.command, inquiry.author, inquiry.text, dict(inquiry.options)) == ("read symptoms", author, text, {})


@given(st.sampled_from(OPTIONS), st.text(st.characters(exclude_characters='"', exclude_categories=["Cs"])))
def test_any_value_of_any_option_arrives_unchanged_in_quotes(option, value):
    command, name = option
    kind = KINDS[option]
    kept = value.removeprefix({"role": "@", "channel": "#"}[kind]) if kind in {"role", "channel"} else value
    assert read(f'/{command} {name}="{value}"').options == {name: kept}


@pytest.mark.parametrize(
    "line", ["1" * 100_000 + "x", "1 " * 50_000 + "x", "/readings " + '" ' * 50_000, "/readings " + 'a="' * 30_000]
)
def test_the_longest_lines_are_read_in_no_time(line):
    """Linear: a hundred thousand characters; a quadratic reading would take minutes."""
    start = perf_counter()
    read(line)
    assert perf_counter() - start < 2


@pytest.mark.parametrize("line", ["/Readings 1.0", "/READINGS 1.0", "/Case Show 3"])
def test_a_command_is_understood_in_capitals_too(line):
    assert read(line).command == read(line.casefold()).command


@pytest.mark.parametrize("line", ["0,98 1,02 1,31mm 1.28 1.1", "0.98mm 1.02mm 1.31mm 1.28mm 1.10mm", "980um, 1020um"])
def test_numbers_with_units_anywhere_are_readings(line):
    assert read(line).command == "readings"


def test_a_number_with_other_words_is_a_sentence():
    assert read("5 mms of cured mess in the vat").command == "symptoms"


@pytest.mark.parametrize(
    ("typed", "asked"),
    [("yes, erase it all", "/b"), ("Yes, erase", "/b"), ("yes", "yes"), ("no, k", "/a"), ("no, keep it", "/a")],
)
def test_a_button_is_pressed_by_its_words_or_enough_of_them(typed, asked):
    """Fewer than five characters are no press unless they are the whole label."""
    pressed = {"yes, erase it all": "/b", "no, keep it": "/a"}
    buttons = {label: "/my-data erase confirm=" + {"/b": "yes", "/a": "no"}[to] for label, to in pressed.items()}
    inquiry = read_line(typed, AT, "r", buttons=buttons)
    expected = {"/a": ("my-data erase", "no"), "/b": ("my-data erase", "yes"), "yes": ("symptoms", None)}[asked]
    assert (inquiry.command, inquiry.options.get("confirm")) == expected
