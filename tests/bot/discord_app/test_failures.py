"""Each kind of failure has its words, in an order that lets the more special speak first."""

import pytest
from discord import app_commands

from bot.discord_app.failures import HANDLERS, apology
from core.errors import Refused, ServiceFailure


@pytest.mark.parametrize(
    ("error", "part"),
    [
        (ServiceFailure("case_moved"), "changed while this was being worked out"),
        (ServiceFailure("database_failed", why="disk I/O error", path="/srv/cases.db"), "our fault"),
        (ServiceFailure("no_words_for_this"), "our fault"),
        (TimeoutError(), "took longer"),
        (app_commands.CommandNotFound("levelling", []), "has just changed"),
        (ZeroDivisionError("by zero"), "our fault"),
    ],
)
def test_a_failure_is_told_kindly_privately_and_with_its_reference(words, error, part):
    card = apology(error, "abc2345", words)
    assert part in card.conclusion
    assert card.private
    assert "abc2345" in card.footer
    assert not any(inside in card.conclusion for inside in ("disk", "/srv", "zero"))


def test_a_refusal_is_told_in_its_own_words(words):
    assert apology(Refused("no_case"), "abc2345", words).conclusion == words.say("refusals.no_case")


def test_no_handler_is_hidden_behind_a_wider_one():
    for place, handler in enumerate(HANDLERS):
        assert not any(issubclass(handler.kind, earlier.kind) for earlier in HANDLERS[:place])


def test_every_exception_has_a_handler():
    assert HANDLERS[-1].kind is Exception
