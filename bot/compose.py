"""The one place where things are built: settings in, a running service out, everything closed again at the end."""

from collections.abc import AsyncIterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

from rapidfuzz import fuzz, process

from bot.settings import Settings
from core.cases.privacy import fingerprint, load_secret
from core.cases.store import Store
from core.errors import StoreUnusable
from core.intake.lexicon import load_lexicon
from core.intake.sentences import load_sentence_lexicon
from core.knowledge import load_knowledge
from core.service import Service
from core.service.answer import Tools
from core.words import Words, load_words

MOST_SUGGESTIONS = 25
FINGERPRINT = "secret"
"""Where the store remembers the fingerprint of the secret its pseudonyms were made with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """What the front ends need of the composed program."""

    service: Service
    store: Store
    words: Words
    tools: Tools


@asynccontextmanager
async def compose(settings: Settings) -> AsyncIterator[House]:
    """Build the service around the database of the settings; close everything on leaving.

    Raises:
        StoreUnusable: Database or secret cannot be used, or they do not belong together.
        UnusableKnowledge: A knowledge or words file is wrong.
    """
    words = load_words("en")
    tools = Tools(load_knowledge(), load_lexicon(), load_sentence_lexicon())
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
                words={"en": words},
                judging=judging,
                drawing=drawing,
            )
            yield House(service=service, store=store, words=words, tools=tools)
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


def suggest(house: House, option: str, typed: str) -> Sequence[tuple[str, str]]:
    """Return labels and values for what is typed so far of a finding or a place, best first."""
    words = house.words
    if option in {"seen", "absent"}:
        labels = {name: words.say(f"findings.{name}.name") for name in house.tools.knowledge.findings}
    elif option == "where":
        labels = {name: words.say(f"places.{name}") for name in (*house.tools.knowledge.places, "unknown")}
    else:
        return ()
    if not typed.strip():
        return tuple((label, name) for name, label in labels.items())[:MOST_SUGGESTIONS]
    ranked = process.extract(typed, labels, scorer=fuzz.WRatio, processor=str.casefold, limit=MOST_SUGGESTIONS)
    return tuple((label, name) for label, _, name in ranked)
