"""The shape of knowledge: what each data file holds and what the rest of the core may ask of it.

In: parsed TOML. Out: one frozen ``Knowledge``. This file must never know a particular cause, finding or
remedy.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from core.report import Identifier

Kind = Literal["mechanical", "exposure", "model", "machine"]
KINDS: tuple[Kind, ...] = ("mechanical", "exposure", "model", "machine")
"""Also the order in which remedies are offered when probabilities are close."""

PlaceKind = Literal["everywhere", "side_or_corner", "edges", "centre", "scattered"]
NormName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
"""An identifier that may end in a unit such as ``mm2``."""
Probability = Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]

Share = Annotated[float, Field(ge=-1, le=1, allow_inf_nan=False)]
"""A place along one axis of the plate, in halves of it."""


class Entry(BaseModel):
    """Base of all entries: frozen, unknown keys refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Source(Entry):
    """Where a number comes from."""

    title: str
    how: Literal["read", "quoted", "memory", "derived", "practice"]


class Cause(Entry):
    """Something that can be wrong, with its starting prior."""

    kind: Kind
    prior: Probability
    source: Identifier


class Finding(Entry):
    """Something a person can see, and how strongly each cause shows it (noisy-OR links).

    Attributes:
        placed: Whether it has a place.
        side: ``squeezed`` belongs where the plate is close, ``gap`` where it is far.
        links: Cause to the chance that the cause alone produces the finding.
        effort: Relative effort of looking for it; 1 is a glance at the print in hand.
        check: Whether it takes a deliberate check rather than a look.
        sketch: Name of its drawing; without one it is shown in words only.
        seen_on: What it is seen on, and so drawn together with.
        mistaken_for: The finding that it is most often taken for.
    """

    placed: bool
    side: Literal["squeezed", "gap"] | None = None
    leak: Probability
    links: Mapping[Identifier, Probability]
    effort: float = Field(gt=0)
    check: bool = False
    sketch: Identifier | None = None
    seen_on: Identifier | None = None
    mistaken_for: Identifier | None = None
    source: Identifier


class Place(Entry):
    """A word for where something shows."""

    kind: PlaceKind
    x: int = Field(default=0, ge=-1, le=1)
    y: int = Field(default=0, ge=-1, le=1)


class PlaceProfile(Entry):
    """Chance of each kind of place, given that a cause made the finding; sums to 1."""

    everywhere: Probability
    side_or_corner: Probability
    edges: Probability
    centre: Probability
    scattered: Probability
    source: Identifier


class Norm(Entry):
    """One number the program reasons with."""

    value: float
    unit: str
    source: Identifier
    note: str = ""


class Remedy(Entry):
    """Something to do about one or more causes.

    Attributes:
        raises_exposure: Whether it is, or contains, an increase of exposure. Such a remedy needs geometry
            known good.
        effort: Relative effort; 1 is a number changed in the slicer.
        source: Where ``effort`` comes from.
    """

    causes: tuple[Identifier, ...]
    kind: Literal["check", "mechanical", "exposure", "model", "machine"]
    raises_exposure: bool = False
    effort: float = Field(gt=0)
    source: Identifier = "common_practice"
    cautions: tuple[Identifier, ...] = ()


class Check(Entry):
    """A way to learn more: looking for findings, measuring, or telling a setting.

    Attributes:
        about: ``finding:<id>``, ``reading:<position>``, ``readings`` or ``setting:<field>`` that it would
            tell; a field of a report's settings, raft, machine or resin, whose names do not overlap.
        effort: Relative effort; 1 is a glance at the print in hand.
        source: Where ``effort`` comes from.
    """

    about: str
    effort: float = Field(gt=0)
    source: Identifier = "common_practice"
    cautions: tuple[Identifier, ...] = ()


class Caution(Entry):
    """A warning that goes with advice. Its words are under ``cautions`` in the language files."""

    source: Identifier
    order: int = 0


class Adjuster(Entry):
    """Where a kind of plate is adjusted; places are (x, y) in halves of the plate, -1 left, front, +1 right, back.

    Attributes:
        screws: Name of a place to where its screw stands.
        pivots: Points that stay where they are while screws turn; none where the plate hangs on screws alone.
        guide: The guide that says how to go about it.
    """

    screws: Mapping[Identifier, tuple[Share, Share]]
    pivots: tuple[tuple[Share, Share], ...] = ()
    guide: Identifier
    source: Identifier


class Guide(Entry):
    """A procedure. Its words, ``title`` and numbered steps, are under ``guides`` in the language files."""

    cautions: tuple[Identifier, ...] = Field(min_length=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """Everything the files say, cross-checked. Mappings keep file order.

    Attributes:
        version: Digest of all files' contents, stored with every verdict.
        profiles: Cause to how its findings spread over kinds of place; a cause not listed spreads evenly.
    """

    version: str
    causes: Mapping[str, Cause]
    findings: Mapping[str, Finding]
    places: Mapping[str, Place]
    profiles: Mapping[str, PlaceProfile]
    norms: Mapping[str, Norm]
    remedies: Mapping[str, Remedy]
    checks: Mapping[str, Check]
    cautions: Mapping[str, Caution]
    sources: Mapping[str, Source]
    adjusters: Mapping[str, Adjuster]
    guides: Mapping[str, Guide]

    def norm(self, name: str) -> float:
        """Return the value of a norm in its stated unit; ``KeyError`` for a name that is not in the data."""
        return self.norms[name].value
