"""What a card offers can be typed as it is shown, and asks what the button would have asked."""

from datetime import UTC, datetime

import pytest

from bot.terminal_app.inbound import read_line
from bot.terminal_app.render import render
from bot.terminal_app.typed import write_line
from core.card import Action, Card, Section, channel, role

AT = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)

ACTIONS = [
    pytest.param("why", {}, None, "/why", id="a bare command"),
    pytest.param("why", {"case": "3"}, 3, "/why", id="one's own open case is left out"),
    pytest.param("why", {"case": "3"}, 4, "/why 3", id="another is named"),
    pytest.param("why", {"case": "3"}, None, "/why 3", id="where there is none of one's own too"),
    pytest.param("readings", {"case": "3"}, 4, "/readings case=3", id="where a number would be a reading"),
    pytest.param("help", {"topic": "findings"}, None, "/help findings", id="a topic"),
    pytest.param("my-data erase", {"confirm": "yes"}, None, "/my-data erase yes", id="a yes that is no sentence's"),
    pytest.param("case outcome", {"case": "3", "result": "not_yet"}, 3, "/case outcome not_yet", id="an outcome"),
    pytest.param(
        "case outcome",
        {"case": "3", "result": "fixed_by_step", "step": "level_plate"},
        4,
        "/case outcome fixed_by_step case=3 step=level_plate",
        id="an outcome of somebody else's",
    ),
    pytest.param("case show", {"case": "3", "thread": "yes"}, 3, "/case show thread=yes", id="an option"),
    pytest.param("case show", {"case": "3", "thread": "yes"}, 4, "/case show case=3 thread=yes", id="two options"),
    pytest.param("readings", {"plate": "150 x 85"}, None, '/readings plate="150 x 85"', id="with spaces"),
]


@pytest.mark.parametrize(("command", "options", "meant", "line"), ACTIONS)
def test_a_button_is_typed_as(command, options, meant, line):
    action = Action("a label", command, options)
    assert write_line(action, meant) == line
    inquiry = read_line(line, AT, "r-1")
    left_out = {"case": str(meant)} if options.get("case") == str(meant) else {}
    assert (inquiry.command, inquiry.text) == (command, "")
    assert {**inquiry.options, **left_out} == options


def test_a_yes_to_a_sentence_is_one_word_and_the_card_has_said_it_already():
    yes = Action("Yes", "symptoms", {"confirm": "yes"}, once=True)
    assert write_line(yes, None) == "yes"
    assert "->" not in render(Card(title="t", conclusion="Say yes or no.", actions=(yes,)), 80)


@pytest.mark.parametrize("width", [36, 40, 60, 88])
def test_commands_are_packed_and_none_is_broken(width):
    """None of these is wider than a line, so each stands whole on one."""
    commands = [("readings", {}), ("screws", {}), ("why", {}), ("case outcome", {"result": "fixed_by_step"})]
    card = Card(title="t", conclusion="", actions=tuple(Action("l", name, options) for name, options in commands))
    shown = render(card, width).splitlines()[2:]
    assert all(len(line) <= width for line in shown)
    assert shown[0].startswith("-> /readings  /screws  /why")
    assert len(shown) == (1 if width >= 60 else 2)
    assert [part for line in shown for part in line.removeprefix("-> ").strip().split("  ")] == [
        "/readings",
        "/screws",
        "/why",
        "/case outcome fixed_by_step",
    ]


def test_channels_and_roles_are_shown_by_name_and_nothing_else_gets_through():
    lines = (f"In {channel('workshop')} by {role('helpers')}", "\ue000 \x1b[2J")
    shown = render(Card(title="t", conclusion="", sections=(Section("list", "", lines),)), 80)
    assert "In #workshop by @helpers" in shown
    assert "\\ue000 \\u001b[2J" in shown
