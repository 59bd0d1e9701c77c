"""Law: everything the knowledge names can be said, in every language that ships."""

import re
from importlib.resources import files
from string import Formatter

import pytest

from core.knowledge import load_knowledge
from core.knowledge.check import WORDS, check_knowledge
from core.words import load_words

LANGUAGES = sorted(folder.name for folder in (files("core.words") / "data").iterdir() if folder.is_dir())


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_id_has_words(language: str):
    words = load_words(language)
    assert [words.fault(fault) for fault in check_knowledge(load_knowledge(), words)] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_words_of_an_id_need_no_values(language: str):
    """They are said wherever the identifier turns up, so they may not wait for a value."""
    words = load_words(language)
    waiting = [
        f"{part}.{key}"
        for part in WORDS
        for key, text in words.under(part)
        if any(field is not None for _, field, _, _ in Formatter().parse(text))
    ]
    assert waiting == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_advice_gives_motions_and_never_signed_numbers(language: str):
    """Firmware disagrees about the sign of a height setting, so a sign sends half the plates the wrong way."""
    words = load_words(language)
    signed = [key for key, text in words.under("remedies") if re.search(r"(?<!\w)[+\-−]\s?\d", text)]
    assert signed == []
