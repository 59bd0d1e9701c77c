"""The conversation when what answers fails: one plain line, the rest in the log, and on with the next."""

import pytest

from bot.terminal_app.chat import converse, given_lines
from core.card import Card
from core.errors import Fault, StoreUnusable, UnusableKnowledge
from core.words import load_words


class Failing:
    """Answers ``/help``, and fails in the given way at anything else."""

    def __init__(self, error):
        self.error = error

    async def handle(self, inquiry):
        if inquiry.command == "help":
            return Card(title="Help", conclusion="Here it is.")
        raise self.error


async def talk(error, tmp_path):
    lines = given_lines(["/why", "/help", "/quit", "/why"])
    return await converse(Failing(error), load_words(), lines, pictures=tmp_path)


@pytest.mark.parametrize(
    "error",
    [ZeroDivisionError("moss wrote this"), UnusableKnowledge((Fault("words.en", "moss", "no_such_text"),))],
)
async def test_an_unexpected_failure_costs_one_line_and_the_conversation_goes_on(error, tmp_path, capsys, caplog):
    assert await talk(error, tmp_path) == 1
    out, err = capsys.readouterr()
    assert "Here it is." in out
    (line,) = err.splitlines()
    (record,) = caplog.records
    assert record.reference in line
    assert record.levelname == "ERROR"
    assert record.exc_info[1] is error
    assert "moss" not in out + err


async def test_a_failing_store_says_why_and_the_conversation_goes_on(tmp_path, capsys, caplog):
    assert await talk(StoreUnusable("database_failed", why="disk full"), tmp_path) == 1
    out, err = capsys.readouterr()
    assert "Here it is." in out
    assert "disk full" in err
    assert len(err.splitlines()) == 1
    assert not caplog.records


async def test_a_reader_that_went_away_ends_the_conversation(tmp_path):
    with pytest.raises(BrokenPipeError):
        await talk(BrokenPipeError(), tmp_path)
