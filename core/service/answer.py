"""What an answerer hands back to the desk, and what it may look things up in. Values only."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from core.card import Card, Picture
from core.intake.heard import Note
from core.intake.lexicon import Lexicon
from core.intake.sentences import SentenceLexicon
from core.knowledge import Knowledge
from core.report import Report
from core.words import Words

NOTHING = ""
"""A proposal that has been answered."""


@dataclass(frozen=True, slots=True)
class Tools:
    """What every answerer may look things up in.

    Attributes:
        sentences: Language to how sentences of it are read.
    """

    knowledge: Knowledge
    lexicon: Lexicon
    sentences: Mapping[str, SentenceLexicon]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What to do for an inquiry.

    Attributes:
        card: A card that is shown as it is, instead of a side of the verdict.
        added: What joins the open case, which is then judged anew.
        heard: Lines to say first: how the input was read.
        view: Which side of the verdict to show.
        proposal: JSON of a Report that waits for the person's yes; ``NOTHING`` takes the last one back; ``None``
        leaves it.
        picture: Which picture of the case belongs to the answer, where there is something to draw.
        draw: Draws the pictures of ``card``.
    """

    card: Card | None = None
    added: Report | None = None
    heard: tuple[str, ...] = ()
    view: Literal["verdict", "why", "next", "screws"] = "verdict"
    proposal: str | None = None
    picture: Literal["plate_map", "dose_profile", "screws"] | None = None
    draw: Callable[[], tuple[Picture, ...]] | None = None


def in_words(notes: tuple[Note, ...], words: Words) -> tuple[str, ...]:
    """Say how an input was read."""
    return tuple(words.say(f"notes.{note.code}", **note.values) for note in notes)
