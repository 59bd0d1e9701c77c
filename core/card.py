"""What a front end shows, whatever its platform: the Card.

In: a Verdict, a Geometry, notes. Out: frozen text in sections, an optional picture with alt text. This file must
never know how a platform draws, limits or sends things.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from core.verdict import Verdict
from core.words import Words, capital
from core.words.numbers import percent

LEAST_SHOWN = 0.05
"""Causes and bands less probable than this are left out of the card; the Verdict holds them all."""
MOST_CAUSES = 4
HALF_STEP_MM = 0.005
"""Half a caliper step: less than this is said to be nothing."""

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


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file to keep, under a bare name such as ``coupons.stl``."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Action:
    """Something the asker can do with one press: a command with its options, and a label of a few words.

    ``once`` says that it answers a question: pressed one, all of that card's have had their day.
    """

    label: str
    command: str
    options: Mapping[str, str] = field(default_factory=dict)
    once: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the verdict of a case stands on a platform, of which there should be one.

    Attributes:
        case: Number of the case.
        attempt: Which of its verdicts this is.
        place: Where its last verdict stands, in the front end's own terms; nothing where none does.
    """

    case: int
    attempt: int
    place: str = ""


@dataclass(frozen=True, slots=True)
class ThreadWish:
    """A thread that should be opened for a case, at its verdict if that still stands somewhere."""

    case: int
    name: str
    place: str = ""


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
        files: To keep, possibly none.
        actions: What the asker may do next with one press, best first.
        standing: For the verdict of a case: it takes the place of the one that stands, or follows it.
        thread: A thread to open, where the platform has such a thing.
        language: Tag of the language it is written in, for whatever a front end adds of its own.
    """

    title: str
    conclusion: str
    sections: tuple[Section, ...] = ()
    pictures: tuple[Picture, ...] = ()
    tone: Tone = "plain"
    private: bool = False
    case: int | None = None
    footer: str = ""
    files: tuple[Attachment, ...] = ()
    actions: tuple[Action, ...] = ()
    standing: Standing | None = None
    thread: ThreadWish | None = None
    language: str = ""


_OPENS, _CLOSES = "\ue000", "\ue001"
CHANNEL_OR_ROLE = re.compile(f"{_OPENS}(?P<role>&?)(?P<id>[^{_OPENS}{_CLOSES}]+){_CLOSES}")
"""A channel or role within a text; the front end puts the platform's own spelling in its place."""


def channel(identifier: str) -> str:
    """Return a channel as it stands in a card's text."""
    return f"{_OPENS}{identifier}{_CLOSES}"


def role(identifier: str) -> str:
    """Return a role as it stands in a card's text."""
    return f"{_OPENS}&{identifier}{_CLOSES}"


def verdict_card(
    verdict: Verdict,
    words: Words,
    *,
    map_lines: tuple[str, ...] = (),
    heard: tuple[str, ...] = (),
    light: tuple[str, ...] = (),
    recap: tuple[str, ...] = (),
    case: int | None = None,
    footer: str = "",
) -> Card:
    """Lay out a verdict for reading: conclusion, numbers, what to do, what not to do, what to check next, cautions.

    Args:
        verdict: What to say.
        words: Texts for headings and numbers.
        map_lines: The plate map as text, for front ends without pictures.
        heard: What was read into the person's words, or changed since the last time; said before anything else.
        light: What the settings do to the resin.
        recap: What the person told, to hand over to a human helper.
        case: Number of the case.
        footer: Small print.
    """
    parts = (
        ("notes", heard, "heard"),
        ("map", map_lines, "map"),
        ("numbers", tuple(_numbers(verdict, words)), "numbers"),
        ("numbers", light, "light"),
        ("questions", verdict.questions, "questions"),
        (
            "do",
            tuple(words.say("card.step", words=s.words, worked_if=s.worked_if) for s in verdict.steps),
            "do",
        ),
        ("avoid", tuple(item.why for item in verdict.avoid), "avoid"),
        ("next", (verdict.next_check.words,) if verdict.next_check else (), "next"),
        ("why", tuple(_reasons(verdict, words)), "why"),
        ("list", recap, "recap"),
        ("notes", verdict.notes, "notes"),
        ("cautions", tuple(caution.words for caution in verdict.cautions), "cautions"),
    )
    return Card(
        title=_title(verdict, words),
        conclusion=verdict.summary,
        sections=tuple(
            Section(kind, words.say(f"card.headings.{heading}"), tuple(lines))  # type: ignore[arg-type]  # a literal in each row
            for kind, lines, heading in parts
            if lines
        ),
        tone=_tone(verdict),
        case=case,
        footer=footer,
        actions=tuple(_next_presses(verdict, case, words)),
    )


def fault_card(lines: tuple[str, ...], words: Words) -> Card:
    """Say privately what could not be used, one line per fault; nothing was stored."""
    return Card(
        title=words.say("card.titles.fault"),
        conclusion=words.say("card.fault"),
        sections=(Section("list", "", lines),),
        tone="fault",
        private=True,
    )


def _next_presses(verdict: Verdict, case: int | None, words: Words) -> Iterator[Action]:
    """Yield what may come next: more to tell, the verdict seen from other sides, how it went."""
    of_case = {} if case is None else {"case": str(case)}
    adds = ("readings", "symptoms", "settings") if case is not None else ()
    for name in (*adds, *_first_help(verdict), "why", "next"):
        yield Action(words.say(f"actions.{name}"), name, of_case if name != "coupons" else {})
    if case is not None and verdict.status == "diagnosed":
        for name, result in (("it_worked", "fixed_by_step"), ("not_yet", "not_yet")):
            yield Action(words.say(f"actions.{name}"), "case outcome", {**of_case, "result": result})


def _first_help(verdict: Verdict) -> tuple[str, ...]:
    """Return the command that helps with the first step, where there is one."""
    first = verdict.steps[0].id if verdict.steps else ""
    if first == "level_plate":
        return ("screws",)
    return ("coupons",) if first == "measure_coupons" and verdict.geometry is None else ()


def _title(verdict: Verdict, words: Words) -> str:
    if verdict.status == "diagnosed":
        return capital(words.say(f"causes.{verdict.causes[0].id}.short"))
    return words.say(f"card.titles.{verdict.status}")


def _tone(verdict: Verdict) -> Tone:
    if verdict.status == "no_fault":
        return "good"
    return "act" if verdict.status == "diagnosed" else "unsure"


def _numbers(verdict: Verdict, words: Words) -> Iterator[str]:
    geometry = verdict.geometry
    if geometry is None:
        return
    spread, offset = geometry.spread_mm, geometry.offset_mm
    yield words.say("card.numbers.spread", value=spread.value, low=max(spread.low, 0.0), high=spread.high)
    likely = [(p, band) for band, p in geometry.band_probability.items() if p >= LEAST_SHOWN]
    shares = [
        words.say("card.numbers.band", band=words.say(f"bands.{band}"), probability=percent(p, words))
        for p, band in sorted(likely, reverse=True)
    ]
    yield words.say("card.numbers.bands", bands=words.listed(shares))
    if offset.low <= 0 <= offset.high:
        yield words.say("card.numbers.offset_level", close=-offset.low, far=offset.high)
    else:
        low, high = sorted((abs(offset.low), abs(offset.high)))
        side = "thin" if offset.value < 0 else "thick"
        yield words.say(f"card.numbers.offset_{side}", value=abs(offset.value), low=low, high=high)
    for axis, name in ((geometry.tilt_x_mm, "x"), (geometry.tilt_y_mm, "y")):
        if axis.low <= 0 <= axis.high:
            continue
        fall = 2 * axis.value
        yield words.say(f"card.numbers.tilt_{name}_{'up' if fall > 0 else 'down'}", value=abs(fall))
    crown = geometry.crown_mm
    if not crown.low <= 0 <= crown.high:
        yield words.say(f"card.numbers.crown_{'thick' if crown.value > 0 else 'thin'}", value=abs(crown.value))


def _reasons(verdict: Verdict, words: Words) -> Iterator[str]:
    for cause in verdict.causes[:MOST_CAUSES]:
        because = next((line.words for line in cause.evidence if line.log_odds > 0), "")
        if cause.probability < LEAST_SHOWN or not because:
            # Nothing the person said speaks for it: it stands only where it stood before.
            continue
        name = words.say(f"causes.{cause.id}.name")
        yield words.say(
            "card.reason", name=name, probability=percent(cause.probability, words), because=because
        ).strip()
