"""The demo is played in every language there is, with the same measurements in each."""

import re

import pytest

from bot.terminal_app.demo import demo_lines
from core.words import languages


def numbers(lines):
    typed = (line.replace(",", ".") for line in lines if line.startswith("/"))
    return [re.findall(r"\d+(?:\.\d+)?", line) for line in typed]


@pytest.mark.parametrize("language", languages())
def test_every_language_has_a_demo_with_the_same_numbers(language):
    measured = [one for one in numbers(demo_lines(language)) if one]
    assert measured == [one for one in numbers(demo_lines("en")) if one]
    assert len(measured) == 3


@pytest.mark.parametrize("language", languages())
def test_the_demo_says_first_that_it_is_invented(language):
    first = demo_lines(language)[0]
    assert first.startswith({"en": "# Invented:", "de": "# Erfunden:"}[language])
