"""What people read of a command, in every language there is: its key in the words goes with it until it is registered.

In: texts by language. Out: the platform's localisations. This file must never know a command.
"""

from collections.abc import Mapping

import discord
from discord import app_commands

from core.words import Words

_KEY = "key"


def localised(words: Words, key: str) -> app_commands.locale_str:
    """Return a text that is registered in the other languages too."""
    return app_commands.locale_str(words.say(key), **{_KEY: key})


class WordsTranslator(app_commands.Translator):
    """Looks up a text by its key in the language of a locale; names of commands and options have none."""

    def __init__(self, languages: Mapping[str, Words]) -> None:
        self._languages = languages

    async def translate(
        self, string: app_commands.locale_str, locale: discord.Locale, _context: app_commands.TranslationContextTypes
    ) -> str | None:
        """Return the text, or nothing where it would be no other."""
        key, words = string.extras.get(_KEY), self._languages.get(str(locale).partition("-")[0])
        if key is None or words is None:
            return None
        text = words.say(key)
        return None if text == string.message else text
