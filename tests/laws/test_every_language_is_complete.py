"""Law: what is said in one language is said in every other, with the same values, and within the platform's limits."""

import re
from collections.abc import Iterator
from string import Formatter

import pytest

from core.commands import COMMANDS
from core.words import Words, languages, load_words

BY_LANGUAGE = {language: load_words(language) for language in languages()}
LANGUAGES = list(BY_LANGUAGE)
OTHERS = [language for language in LANGUAGES if language != "en"]

SAME_IN_GERMAN = {
    "commands.settings.form.layer_height.hint": "a unit behind a word both languages have",
    "discord.tones.plain": "an ordinary answer has no mark",
    "choices.languages.de": "a language is named in itself",
    "choices.languages.en": "a language is named in itself",
}
"""Texts that are right in both languages, and why."""

BLANK = {"discord.tones.plain": "an ordinary answer has no mark"}

UNITS = {"mm", "h", "s", "min", "ml", "C", "Pa", "N"}

ENGLISH = frozenset(
    re.findall(
        r"\w+",
        """
        the and your you with is are of to this that it for or from have has been but than then there their they which
        when what who why how can could should would does did if by be into only one two three four five left right
        front back over under about further closer
        """,
    )
)
"""Words of English that are none of German."""
NOT_ENGLISH_HERE: dict[str, str] = {}
"""Texts of another language that may hold such a word, and why."""

TYPED = re.compile(
    r"/[a-z-]+(?: [a-z]+)?|[a-z_]+ ?= ?\S*|--[a-z]+|PLATEWRIGHT_\w+|\{[^}]*\}|\w+\.toml|[a-z]+(?:_[a-z]+)+|„where“"
)
"""What is typed or filled in, and so is alike in every language."""

PLATFORM_LIMITS = {"title": 45, "label": 45, "hint": 100, "example": 100, "description": 100, "menu": 32}
"""Characters the platform takes: title, label and placeholder of a form; description and menu name of a command."""
LONGEST_CHOICE = LONGEST_OPTION = 100
LONGEST_BUTTON = 80


@pytest.fixture(params=LANGUAGES)
def words(request) -> Words:
    return BY_LANGUAGE[request.param]


@pytest.fixture(params=OTHERS)
def translated(request) -> Words:
    return BY_LANGUAGE[request.param]


def placeholders(text: str) -> set[tuple[str, str, str]]:
    """Return what a template wants: names, conversions and formats, those inside formats included."""
    wanted: set[tuple[str, str, str]] = set()
    for _, name, spec, conversion in Formatter().parse(text):
        if name is not None:
            wanted |= {(name, spec or "", conversion or "")} | placeholders(spec or "")
    return wanted


def test_there_is_more_than_one_language():
    assert {"en", "de"} <= set(LANGUAGES)


def test_every_text_exists_in_every_language(translated):
    english = BY_LANGUAGE["en"].texts
    assert sorted(english.keys() - translated.texts.keys()) == []
    assert sorted(translated.texts.keys() - english.keys()) == []


def test_every_text_wants_the_same_values_in_every_language(translated):
    """The same names in the same formats: there is one convention for numbers, whatever the language."""
    english = BY_LANGUAGE["en"].texts
    other = {
        key: (placeholders(english[key]), placeholders(text))
        for key, text in translated.texts.items()
        if key in english and placeholders(english[key]) != placeholders(text)
    }
    assert other == {}


def test_a_placeholder_inside_a_format_counts():
    assert placeholders("{size:.{digits}f} mm") == {("size", ".{digits}f", ""), ("digits", "", "")}


def test_nothing_is_blank(words):
    assert [key for key, text in words.texts.items() if not text.strip() and key not in BLANK] == []


def test_nothing_was_left_in_english(translated):
    """A text that is alike in both languages holds only values, numbers, units and signs, or says why it may."""
    english = BY_LANGUAGE["en"].texts
    left = [
        key
        for key, text in translated.texts.items()
        if text == english.get(key) and key not in SAME_IN_GERMAN and not set(spoken(text)) <= UNITS
    ]
    assert left == []


def test_what_may_be_alike_is_alike(translated):
    """A reason that is no longer needed goes."""
    english = BY_LANGUAGE["en"].texts
    assert [key for key in SAME_IN_GERMAN if translated.texts.get(key) != english.get(key)] == []


def test_no_english_word_stands_in_another_language(translated):
    mixed = {
        key: sorted(found)
        for key, text in translated.texts.items()
        if key not in NOT_ENGLISH_HERE and (found := ENGLISH & {word.casefold() for word in spoken(text)})
    }
    assert mixed == {}


def test_the_search_for_english_words_finds_some():
    """English itself is full of them, so the search works."""
    texts = BY_LANGUAGE["en"].texts.values()
    assert sum(bool(ENGLISH & set(spoken(text))) for text in texts) > len(texts) / 2


def spoken(text: str) -> list[str]:
    """Return the words of a text without what is typed, filled in, or a number."""
    return re.findall(r"[^\W\d_]+", TYPED.sub(" ", text))


def of_commands(words: Words) -> Iterator[tuple[str, str, int]]:
    """Yield key, text and limit of whatever the chat platform shows of a command."""
    for key, text in words.under("commands"):
        leaf = key.rpartition(".")[2]
        yield key, text, LONGEST_OPTION if ".options." in key else PLATFORM_LIMITS[leaf]
    for key, text in words.under("choices"):
        yield f"choices.{key}", text, LONGEST_CHOICE
    for key, text in words.under("actions"):
        yield f"actions.{key}", text, LONGEST_BUTTON


def test_what_the_platform_shows_of_a_command_fits(words):
    seen = list(of_commands(words))
    assert len(seen) > 2 * len(COMMANDS)
    assert [(key, len(text)) for key, text, limit in seen if not 0 < len(text) <= limit] == []


def test_lists_read_as_the_language_has_them():
    assert BY_LANGUAGE["en"].listed(["a", "b", "c"]) == "a, b and c"
    assert BY_LANGUAGE["de"].listed(["a", "b", "c"]) == "a, b und c"
