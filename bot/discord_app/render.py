"""A Card in, messages within the platform's limits out, as plain frozen values.

A message is text blocks with pictures after the first and files after the last. When a card is too long, whole
lines go from the end of the least important section first, and a line says how many. Cautions always stay: if need
be they run on into further messages. Buttons take what room the words leave, and that is never less than one row.
This file knows limits; it must never know the library's objects.

Limits: message components v2, at most 40 components and 4,000 characters of text in one message (the platform's
developer documentation, "Component reference" and "Message resource", API v10).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from bot.discord_app.buttons import MOST_ROW_ROOM, Row, cost, fit, group
from bot.discord_app.enclosures import Enclosures, enclose
from bot.discord_app.writing import BREAKS, NOT_SHOWN, ZERO_WIDTH_SPACE, clip, escape, size, whole
from core.card import Attachment, Card, Picture, Section, SectionKind, Tone
from core.commands import COMMANDS, Command
from core.words import Words

MOST_TEXT = 4000
MOST_COMPONENTS = 40
MOST_NAMED = 6
"""Files left out that are named; the rest is counted."""
LONGEST_TITLE = 200
LONGEST_CONCLUSION = 1200
LONGEST_LINE = 900
LONGEST_FOOTER = 300
CAUTIONS_HERE = 1400
"""Cautions up to this length stand in the first message, where what to do and what not to do leave them the room."""
BEFORE_CAUTIONS: tuple[SectionKind, ...] = ("do", "avoid")

LEAST_IMPORTANT_FIRST: tuple[SectionKind, ...] = (
    "notes",
    "list",
    "map",
    "why",
    "questions",
    "next",
    "numbers",
    "avoid",
    "do",
)
"""The order in which sections give up lines; cautions are not in it."""


@dataclass(frozen=True, slots=True)
class Message:
    """One message: blocks of formatted text, pictures after the first, files and then buttons after the last."""

    blocks: tuple[str, ...]
    tone: Tone
    private: bool
    pictures: tuple[Picture, ...] = ()
    files: tuple[Attachment, ...] = ()
    rows: tuple[Row, ...] = ()


@dataclass(frozen=True, slots=True)
class _Part:
    """One section, escaped: a heading, lines, and how many lines were left out."""

    kind: SectionKind
    heading: str
    lines: tuple[str, ...]
    left_out: int = 0

    def text(self, words: Words) -> str:
        marks = f"-# {_left_out(self.left_out, words)}" if self.left_out else ""
        if self.kind == "map":
            body = "\n".join(("```", *self.lines, "```")) if self.lines else ""
        else:
            body = "\n".join(f"- {line}" for line in self.lines)
        heading = f"### {self.heading}" if self.heading else ""
        return "\n".join(piece for piece in (heading, body, marks) if piece)


def render(
    card: Card, words: Words, most_bytes: int, person: int, table: tuple[Command, ...] = COMMANDS
) -> tuple[Message, ...]:
    """Lay a card out.

    Args:
        card: What to show.
        words: For the tone and for what was left out.
        most_bytes: How large the pictures and files of one message may be together.
        person: Who may press the buttons.
        table: The commands that buttons may stand for.

    Returns:
        One message, and more only when there are more cautions than fit.
    """
    enclosed = enclose(card.pictures, card.files, most_bytes)
    notes = tuple(words.say("discord.picture_left_out", alt=picture.alt) for picture in enclosed.pictures_left_out)
    sections = (*card.sections, *((Section("notes", "", notes),) if notes else ()))
    top, footer = _top(card, words), _footer(card)
    # Where the picture is sent, its alt text says what the map in letters would.
    told = (one for one in sections if one.kind != "map" or not enclosed.pictures)
    escaped = [part for part in map(_part, told) if part.lines]
    # A missing file is never passed over in silence, whatever else has to go.
    missing = _missing(enclosed, words)
    kept = (top, footer, *missing, *(part.text(words) for part in escaped if part.kind in BEFORE_CAUTIONS))
    stay, move = _share_cautions(
        [part for part in escaped if part.kind == "cautions"],
        min(CAUTIONS_HERE, MOST_TEXT - sum(map(size, kept)) - 2 * _notice(words)),
    )
    stay = (*stay, *missing)
    rows = group(card.actions, person, table)
    room = MOST_COMPONENTS - 1 - bool(enclosed.pictures) - len(enclosed.files) - min(cost(rows), MOST_ROW_ROOM)
    parts = _shorten(
        [part for part in escaped if part.kind != "cautions"],
        MOST_TEXT - sum(size(text) for text in (top, footer, *stay)),
        # One more for the line that says how much was left out.
        room - len((top, footer)) - len(stay) - 1,
        words,
    )
    blocks = tuple(block for block in (top, *(part.text(words) for part in parts), *stay, footer) if block)
    taken = 1 + bool(enclosed.pictures) + len(enclosed.files) + len(blocks)
    first = Message(
        blocks, card.tone, card.private, enclosed.pictures, enclosed.files, fit(rows, MOST_COMPONENTS - taken)
    )
    return (first, *(Message((page,), card.tone, card.private) for page in move))


def _missing(enclosed: Enclosures, words: Words) -> tuple[str, ...]:
    names = [file.name for file in enclosed.files_left_out]
    if not names:
        return ()
    rest = len(names) - MOST_NAMED
    more = [words.say("discord.more_files", count=rest)] if rest > 0 else []
    return (
        clip(escape(words.say("discord.file_left_out", names=words.listed(names[:MOST_NAMED] + more))), LONGEST_LINE),
    )


def _top(card: Card, words: Words) -> str:
    sign = words.say(f"discord.tones.{card.tone}")
    title = clip(escape(card.title), LONGEST_TITLE)
    lines = (
        f"## {title}" if title else "",
        f"**{sign}**" if sign else "",
        clip(escape(card.conclusion), LONGEST_CONCLUSION),
    )
    return "\n".join(line for line in lines if line) or ZERO_WIDTH_SPACE


def _footer(card: Card) -> str:
    footer = clip(escape(card.footer), LONGEST_FOOTER)
    return f"-# {footer}" if footer else ""


def _part(section: Section) -> _Part:
    heading = clip(escape(section.heading), LONGEST_TITLE)
    if section.kind == "map":
        lines = [NOT_SHOWN.sub("", row) for line in section.lines for row in BREAKS.split(line)]
        # A fence cannot be escaped inside a code block, only broken.
        return _Part("map", heading, tuple(row.replace("```", f"`{ZERO_WIDTH_SPACE}``") for row in lines))
    lines = [line for line in map(escape, section.lines) if line]
    # A caution is never cut, only carried over.
    return _Part(
        section.kind,
        heading,
        tuple(lines if section.kind == "cautions" else (clip(x, LONGEST_LINE) for x in lines)),
    )


def _share_cautions(parts: list[_Part], room: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the blocks of cautions that stand in the first message, and the pages that follow it."""
    lines = [
        line
        for part in parts
        for line in ([f"### {part.heading}"] if part.heading else []) + [f"- {x}" for x in part.lines]
    ]
    together = "\n".join(lines)
    if size(together) <= room:
        return ((together,) if together else ()), ()
    pages = list(_paginate(lines))
    return (), tuple(pages)


def _paginate(lines: Iterable[str]) -> Iterable[str]:
    page = ""
    for line in lines:
        for piece in _pieces(line):
            if page and size(page) + 1 + size(piece) > MOST_TEXT:
                yield page
                page = ""
            page = f"{page}\n{piece}" if page else piece
    if page:
        yield page


def _pieces(line: str) -> Iterable[str]:
    """Cut an endless line where it has to be, never through an escape."""
    while size(line) > MOST_TEXT:
        piece = whole(line[: MOST_TEXT // 2])
        yield piece
        line = line[len(piece) :]
    yield line


def _shorten(parts: list[_Part], room: int, most_parts: int, words: Words) -> list[_Part]:
    """Take whole lines from the end of the least important parts until the rest fits."""
    rank = {kind: place for place, kind in enumerate(LEAST_IMPORTANT_FIRST)}
    order = sorted(range(len(parts)), key=lambda place: (rank[parts[place].kind], -place))
    notice = _notice(words)
    total, shown, gone = sum(size(part.text(words)) for part in parts), len(parts), 0
    for place in order:
        part = parts[place]
        was = size(part.text(words))
        while part.lines and (total > room - (notice if gone else 0) or shown > most_parts):
            # Half a map misleads, so a map goes as one; so does what could not be shown next to others anyway.
            at_once = part.kind == "map" or shown > most_parts
            fewer = 0 if at_once else len(part.lines) - 1
            part = replace(part, lines=part.lines[:fewer], left_out=part.left_out + len(part.lines) - fewer)
            now = size(part.text(words)) if part.lines else 0
            total, was = total - was + now, now
            if not part.lines:
                shown, gone = shown - 1, gone + part.left_out
        parts[place] = part
    kept = [part for part in parts if part.lines]
    if gone and room >= notice:
        kept.append(_Part("notes", "", (), gone))
    return kept


def _notice(words: Words) -> int:
    """Return how long the line about what was left out may become."""
    return size(f"-# {_left_out(10**6, words)}") + 1


def _left_out(count: int, words: Words) -> str:
    return words.say("discord.one_more") if count == 1 else words.say("discord.more", count=count)
