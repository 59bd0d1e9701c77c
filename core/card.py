"""What a front end shows, whatever its platform: the Card.

In: a Verdict, a Geometry, notes. Out: frozen text in sections, an optional picture with alt text. This file must never know
how a platform draws, limits or sends things.
"""

from dataclasses import dataclass
from typing import Literal

Tone = Literal["good", "watch", "act", "unsure", "fault", "plain"]
"""How the card feels; a front end may colour by it but must not rely on the colour alone."""

SectionKind = Literal["numbers", "do", "avoid", "next", "why", "questions", "notes", "cautions", "map", "list"]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and its lines. ``map`` sections are preformatted text of fixed width."""

    kind: SectionKind
    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A PNG with the words for whoever cannot see it. ``name`` is a bare file name such as ``plate-map.png``."""

    name: str
    png: bytes
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One answer.

    Attributes:
        title: A few words.
        conclusion: One or two sentences, read first.
        sections: In reading order.
        pictures: Possibly none.
        tone: How it feels.
        private: Whether only the asker should see it.
        case: Number of the case this belongs to, if any.
        footer: Small print, such as case number and reference.
    """

    title: str
    conclusion: str
    sections: tuple[Section, ...] = ()
    pictures: tuple[Picture, ...] = ()
    tone: Tone = "plain"
    private: bool = False
    case: int | None = None
    footer: str = ""
