"""The one place where things are built: settings in, a running service out, everything closed again at the end."""

from collections.abc import AsyncIterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

from bot.language import OTHERWISE, SETTING, choose_language
from bot.settings import Settings
from core.cases.privacy import fingerprint, load_secret
from core.cases.store import Store
from core.errors import StoreUnusable
from core.intake.hearing import load_sentence_lexicons
from core.intake.lexicon import load_lexicon
from core.intake.suggestion_lists import build_suggestions, load_called
from core.intake.suggestions import SuggestionList
from core.intake.suggestions import suggest as find
from core.knowledge import load_knowledge
from core.service import Service
from core.service.answer import Tools
from core.service.pace import Paces
from core.words import Words, languages, load_words

FINGERPRINT = "secret"
"""Where the store remembers the fingerprint of the secret its pseudonyms were made with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """What the front ends need of the composed program.

    Attributes:
        words: Texts of the language of the settings, for whatever has no language of its own.
        languages: Texts by language, all there are.
        suggestions: Language to its lists to choose from.
    """

    service: Service
    store: Store
    words: Words
    languages: Mapping[str, Words]
    tools: Tools
    suggestions: Mapping[str, Mapping[str, SuggestionList]]


@asynccontextmanager
async def compose(settings: Settings, paces: Paces | None = None) -> AsyncIterator[House]:
    """Build the service around the database of the settings; close everything on leaving.

    ``paces`` is how much anybody may ask in a while, the usual if not given.

    Raises:
        StoreUnusable: Database or secret cannot be used, or they do not belong together.
        UnusableInput: The settings name a language there are no texts for.
        UnusableKnowledge: A knowledge or words file is wrong.
    """
    texts = {language: load_words(language) for language in languages()}
    words = texts[choose_language({SETTING: settings.language or OTHERWISE}, tuple(texts))]
    tools = Tools(load_knowledge(), load_lexicon(), load_sentence_lexicons())
    store = await Store.open(settings.database)
    try:
        secret = await _matching_secret(settings.secret_path, store)
        with (
            # Verdicts are numpy and short; two at a time keep the event loop's heartbeat on time.
            ThreadPoolExecutor(2, thread_name_prefix="judging") as judging,
            # matplotlib is not thread-safe: one thread draws.
            ThreadPoolExecutor(1, thread_name_prefix="drawing") as drawing,
        ):
            service = Service(
                store=store,
                secret=secret,
                tools=tools,
                words=texts,
                judging=judging,
                drawing=drawing,
                paces=paces or Paces(),
            )
            yield House(
                service=service,
                store=store,
                words=words,
                languages=texts,
                tools=tools,
                suggestions=_lists(texts, tools),
            )
    finally:
        await store.close()


async def _matching_secret(path: Path, store: Store) -> bytes:
    secret = load_secret(path)
    known = await store.recall(FINGERPRINT)
    if known is None:
        await store.remember(FINGERPRINT, fingerprint(secret))
    elif known != fingerprint(secret):
        raise StoreUnusable("secret_foreign", path=str(path))
    return secret


def suggest(house: House, choices: str, typed: str, language: str = "") -> Sequence[tuple[str, str]]:
    """Return labels and values for what is typed so far of an entry of a list, best first; nothing of other lists.

    Args:
        house: What was composed.
        choices: Key of the list, as ``Option.choices`` has it.
        typed: As typed so far, of any content.
        language: Tag of the asker's language; that of the settings where none is given.
    """
    words = house.service.words_for(language) if language else house.words
    offered = house.suggestions[words.language].get(choices)
    return find(typed, offered) if offered else ()


def _lists(texts: Mapping[str, Words], tools: Tools) -> Mapping[str, Mapping[str, SuggestionList]]:
    called = {language: load_called(language) for language in tools.sentences}
    return {
        language: build_suggestions(words, tools.knowledge, called, tools.sentences)
        for language, words in texts.items()
    }
