"""Which language the command line speaks: the environment and the languages there are in, a language's tag out.

This file must never know a text of any language.
"""

from collections.abc import Mapping, Sequence

from bot.settings import PREFIX
from core.errors import Fault, UnusableInput

SETTING = f"{PREFIX}LANGUAGE"
LOCALE = ("LC_ALL", "LC_MESSAGES", "LANG")
"""The first that is set and not empty names the locale of messages (POSIX.1-2017, Base Definitions, 8.2)."""
OTHERWISE = "en"


def choose_language(environment: Mapping[str, str], supported: Sequence[str]) -> str:
    """Return the language of the setting, else of the locale where it is supported, else English.

    Args:
        environment: Environment variables.
        supported: Tags of the languages there are texts for.

    Raises:
        UnusableInput: The setting names a language there are no texts for.
    """
    given = environment.get(SETTING, "").strip()
    if given:
        if _language(given) not in supported:
            raise UnusableInput((Fault(SETTING, given, "not_a_language", {"accepted": ", ".join(supported)}),))
        return _language(given)
    locale = next((value for name in LOCALE if (value := environment.get(name, ""))), "")
    return _language(locale) if _language(locale) in supported else OTHERWISE


def _language(tag: str) -> str:
    """Return the language of ``de``, ``de-AT`` or ``de_AT.UTF-8@euro``; of ``C.UTF-8`` that is ``c``."""
    for end in "@._-":
        tag = tag.partition(end)[0]
    return tag.casefold()
