"""What the composed program offers while someone types: every list that has suggestions, in the asker's language."""

import pytest

from bot.compose import compose, suggest
from bot.settings import Settings
from core.commands import COMMANDS


@pytest.fixture
async def house(tmp_path):
    async with compose(Settings(database=tmp_path / "cases.db")) as built:
        yield built


@pytest.mark.parametrize(
    ("choices", "typed", "language", "first"),
    [
        ("findings", "fell off", "en-GB", "missing_parts"),
        ("findings", "abgefallen", "de", "missing_parts"),
        ("places", "far corner", "en-US", "back_left"),
        ("causes", "schief", "de", "tilt"),
        ("remedies", "shake", "en", "mix_resin"),
        ("guides", "Lineal", "de", "straightedge"),
        ("findings", "shiny", "fr", "glossy_raft"),
    ],
)
async def test_suggestions_are_found_by_peoples_words_and_named_in_the_askers(house, choices, typed, language, first):
    label, value = suggest(house, choices, typed, language)[0]
    assert value == first
    words = house.service.words_for(language)
    key = {"places": f"places.{value}", "guides": f"choices.guides.{value}"}.get(choices, f"{choices}.{value}.name")
    assert label == words.say(key)


async def test_without_a_language_it_is_that_of_the_settings(tmp_path):
    async with compose(Settings(database=tmp_path / "cases.db", language="de")) as house:
        assert suggest(house, "findings", "Glas") == suggest(house, "findings", "Glas", "de")


async def test_other_lists_have_no_suggestions(house):
    others = {option.choices for command in COMMANDS for option in command.options} - set(house.suggestions["en"])
    assert {"yes_no", "adjusters"} <= others
    assert all(suggest(house, choices or "", "y", "en") == () for choices in others)
