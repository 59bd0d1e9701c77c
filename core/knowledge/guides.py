"""A guide's identifier in, its title, steps and cautions out. This file must never know what a guide is about."""

import itertools
from dataclasses import dataclass

from core.knowledge.schema import Knowledge
from core.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideText:
    """A procedure ready to be shown. ``cautions`` are identifiers, in the order in which to show them."""

    id: str
    title: str
    steps: tuple[str, ...]
    cautions: tuple[str, ...]


def say_guide(name: str, knowledge: Knowledge, words: Words) -> GuideText:
    """Return a guide in words: its steps are the texts ``1``, ``2`` and so on.

    Raises:
        KeyError: There is no such guide.
        UnusableKnowledge: The language has no title for it.
    """
    guide = knowledge.guides[name]
    key = f"guides.{name}"
    numbers = itertools.takewhile(lambda number: words.has(f"{key}.{number}"), itertools.count(1))
    return GuideText(
        id=name,
        title=words.say(f"{key}.title"),
        steps=tuple(words.say(f"{key}.{number}") for number in numbers),
        cautions=tuple(sorted(guide.cautions, key=lambda caution: knowledge.cautions[caution].order)),
    )
