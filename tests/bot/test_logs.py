"""Log lines: one line each, fields by name, and nothing that a person wrote."""

import io
import logging

import pytest

from bot.logs import configure_logs


@pytest.fixture
def lines():
    """Configure the logs for one test and put everything back."""
    names = (None, "bot", "core")
    before = [(logging.getLogger(name), logging.getLogger(name).level) for name in names]
    handlers = list(logging.getLogger().handlers)
    stream = io.StringIO()
    configure_logs("INFO", stream)
    yield lambda: stream.getvalue().splitlines()
    logging.getLogger().handlers[:] = handlers
    for logger, level in before:
        logger.setLevel(level)


def test_a_record_is_one_line_of_named_fields(lines):
    logging.getLogger("bot.desk").info("answered", extra={"reference": "abc2345", "command": "readings"})
    (line,) = lines()
    assert "level=INFO logger=bot.desk event=answered reference=abc2345 command=readings" in line
    assert line.startswith("time=20")


def test_a_value_can_neither_start_a_line_nor_fake_a_field(lines):
    logging.getLogger("bot").info("x", extra={"option": 'a\nlevel=ERROR event="forged"\u2028'})
    (line,) = lines()
    assert 'option="a\\nlevel=ERROR event=\\"forged\\"\\u2028"' in line


def test_of_an_exception_the_kind_and_the_place_are_kept_and_its_words_are_not(lines):
    """An exception's message may quote what a person wrote."""
    try:
        try:
            int("wren's secret sentence")
        except ValueError as error:
            raise RuntimeError("wren again") from error
    except RuntimeError:
        logging.getLogger("bot").exception("failed")
    (line,) = lines()
    assert "wren" not in line
    assert 'error="RuntimeError<ValueError"' in line
    assert "test_logs.py:" in line


def test_libraries_are_heard_only_when_they_warn(lines):
    logging.getLogger("discord.gateway").info("chatter")
    logging.getLogger("discord.gateway").warning("trouble")
    logging.getLogger("bot").debug("detail")
    assert ["trouble" in line for line in lines()] == [True]
