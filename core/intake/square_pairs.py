"""How typed squares are cut into pairs of an exposure and a thickness: patterns, each under its rule.

In: clean text (``characters.clean``) and a lexicon. Out: every possible way to pair its numbers, with what could not be
paired. This file must never know how many squares there are or what is plausible.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isnan, nan
from typing import Literal

from core.intake.characters import fold
from core.intake.grammar import DASH, LINK, NUMBER, comma_readings, drop_bullets, unit_of
from core.intake.lexicon import Lexicon

# A comma can be decimal only between two digits; elsewhere it separates.
CLOSED_COMMA = re.compile(r"(?<!\d),|,(?!\d)")
# A running number goes only where two numbers stay behind it: in "1: 0.10" the 1 is an exposure.
ANY_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
# A comma with nothing beside it may part squares or their halves, so it says no more than a space: 2,0.21 4,0.32
TIGHT_COMMA = re.compile(r"(?<=\S),(?=\S)")
# Rows of a table, squares, and the two halves of one are parted by these, the stronger first.
LEVELS = ("\n", ";|", ",")
# A minus is a sign where a number follows and neither a number nor a unit comes before: 2 -0.21 but 2-0.21, 2 - 0.21
SIGN = rf"(?<![\w.]){DASH}(?=\.?\d)"
PIECES = re.compile(
    rf"(?P<number>(?:{SIGN}|\+(?=\.?\d))?[\d.]*\d[\d.]*(?:[eE][-+]?\d+)?)"
    r"|(?P<word>[^\W\d_]+|\"|''|″|′′|[“”])"
    r"|(?P<split>[\n;|,])"
    r"|(?P<slash>/)"
    rf"|(?P<link>{LINK.pattern}|{DASH}|~|@)"
    r"|(?P<space>[\s()\[\]{}.!*]+)"
    r"|(?P<odd>.)"
)
WHOLE_NUMBER = re.compile(NUMBER)
LONGEST_NUMBER = 12
"""Characters; no clock and no caliper shows more."""

Code = Literal["square_not_a_pair", "square_unread", "square_units"]


@dataclass(frozen=True, slots=True)
class Amount:
    """One number as typed, with its unit where one was written; ``start`` and ``end`` say where it stood."""

    given: str
    number: float
    unit: str | None
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Pair:
    """One square: exposure and thickness, and how they were typed together."""

    given: str
    time: Amount
    thickness: Amount


@dataclass(frozen=True, slots=True)
class Unread:
    """A piece that is no pair, and the code of its fault."""

    given: str
    code: Code


Group = tuple[Amount, ...]
"""Numbers joined by slashes."""
Pairing = tuple[list[Pair], list[Unread]]


def pair_readings(text: str, lexicon: Lexicon) -> Iterator[Pairing]:
    """Yield the possible ways to pair the numbers of ``text``: decimal or separating commas, squares or two rows."""
    text = _without_running_numbers(text)
    for reading in comma_readings(CLOSED_COMMA.sub(";", text)):
        # A separating comma came back as a semicolon; it parts less than one that was typed.
        marked = "".join(
            "," if sign == ";" and typed == "," else sign for sign, typed in zip(reading, text, strict=True)
        )
        cut = _Cut(TIGHT_COMMA.sub(" ", marked), text, lexicon)
        yield cut.in_squares()
        rows = cut.in_rows()
        if rows is not None:
            yield rows


def _without_running_numbers(text: str) -> str:
    bare = drop_bullets(text)
    lines = [line for line in bare.splitlines() if line.strip()]
    return bare if all(len(ANY_NUMBER.findall(line)) > 1 for line in lines) else text


class _Cut:
    """One reading of the commas, cut into groups of numbers and the signs that part them."""

    def __init__(self, marked: str, text: str, lexicon: Lexicon) -> None:
        self.text = text
        self.lexicon = lexicon
        self.marked = marked
        self.unread: list[Unread] = []
        self.parts: list[Group | str] = []
        self._slashed = False
        for piece in PIECES.finditer(marked):
            if self._slashed and piece.lastgroup not in {"number", "space"}:
                self._leave_slash()
            self._take(piece)
        if self._slashed:
            self._leave_slash()

    def in_squares(self) -> Pairing:
        """Pair the numbers square by square."""
        pairs: list[Pair] = []
        unread = list(self.unread)
        groups = self._groups(self.parts)
        found: list[tuple[Group, Group]] = []
        if groups and all(len(group) == 2 for group in groups):  # noqa: PLR2004 - 2/0.21: the slash parts the halves
            found = [((first,), (second,)) for first, second in groups]
        else:
            for chunk in self._chunks(self.parts, LEVELS):
                if len(chunk) % 2:
                    unread.append(Unread(self._given(chunk), "square_not_a_pair"))
                else:
                    found += zip(chunk[::2], chunk[1::2], strict=True)
        for first, second in found:
            self._pair(first, second, pairs, unread)
        return pairs, unread

    def in_rows(self) -> Pairing | None:
        """Pair exposures in one row with thicknesses in the next; ``None`` where there are no two equal rows."""
        rows = [groups for row in _split(self.parts, "\n") if (groups := self._groups(row))]
        if len(rows) != 2 or len(rows[0]) != len(rows[1]) or len(rows[0]) <= 2:  # noqa: PLR2004 - two rows of three
            return None
        pairs: list[Pair] = []
        unread = list(self.unread)
        for first, second in zip(*rows, strict=True):
            self._pair(first, second, pairs, unread)
        return pairs, unread

    def _take(self, piece: re.Match[str]) -> None:
        kind, given = piece.lastgroup, self.text[piece.start() : piece.end()]
        last = self.parts[-1] if self.parts else None
        if kind == "number":
            number = piece[0].rstrip(".")
            digits = number.lstrip("-–—−‐‑+")
            if WHOLE_NUMBER.fullmatch(digits) is None or len(digits) > LONGEST_NUMBER:
                # It keeps its place, so that what it was paired with is not called alone.
                self.unread.append(Unread(given, "square_unread"))
                value = nan
            else:
                value = float(digits) if number[0].isdigit() or number[0] in ".+" else -float(digits)
            amount = Amount(given.rstrip("."), value, None, piece.start(), piece.start() + len(number))
            if self._slashed and isinstance(last, tuple):
                self.parts[-1] = (*last, amount)
            else:
                self.parts.append((amount,))
            self._slashed = False
        elif kind == "word":
            self._word(piece, given, last)
        elif kind == "split":
            self.parts.append(piece[0])
        elif kind == "slash" and isinstance(last, tuple):
            self._slashed = True
        elif kind in {"odd", "slash"}:
            self.unread.append(Unread(given, "square_unread"))

    def _leave_slash(self) -> None:
        """Report a slash with nothing behind it."""
        self.unread.append(Unread("/", "square_unread"))
        self._slashed = False

    def _word(self, piece: re.Match[str], given: str, last: Group | str | None) -> None:
        word = fold(piece[0])
        unit = unit_of(word, self.lexicon, "time") or unit_of(word, self.lexicon, "length")
        if unit is None:
            if word not in self.lexicon.fillers:
                self.unread.append(Unread(given, "square_unread"))
            return
        if not isinstance(last, tuple):
            # A unit before any number heads a column and repeats what is assumed, or misleads: seconds and mm only.
            if unit not in {"s", "mm"}:
                self.unread.append(Unread(given, "square_unread"))
            return
        if last[-1].unit is not None:
            preposition = fold(self.text[last[-1].end : piece.start()].strip()) in self.lexicon.before_unit
            if not preposition:
                self.unread.append(Unread(given, "square_unread"))
                return
        self.parts[-1] = (*last[:-1], replace(last[-1], unit=unit))

    def _groups(self, parts: Sequence[Group | str]) -> list[Group]:
        return [part for part in parts if isinstance(part, tuple)]

    def _chunks(self, parts: Sequence[Group | str], levels: Sequence[str]) -> Iterator[list[Group]]:
        """Yield groups that are pairs among themselves: split at the strongest sign that leaves pairs whole."""
        groups = self._groups(parts)
        if not groups:
            return
        if not levels:
            yield groups
            return
        inner = [part for part in _split(parts, levels[0]) if self._groups(part)]
        if all(len(self._groups(part)) == 1 for part in inner):
            yield groups
            return
        for part in inner:
            yield from self._chunks(part, levels[1:])

    def _pair(self, first: Group, second: Group, pairs: list[Pair], unread: list[Unread]) -> None:
        if any(isnan(one.number) for one in (*first, *second)):
            return
        given = self._given((first, second))
        kinds = [{self._kind(one) for one in group} - {None} for group in (first, second)]
        if "length" in kinds[0] and "length" not in kinds[1]:
            first, second, kinds = second, first, kinds[::-1]
        if "length" in kinds[0] or "time" in kinds[1]:
            unread.append(Unread(given, "square_units"))
        elif len(first) != 1:
            unread.append(Unread(given, "square_not_a_pair"))
        else:
            # A unit behind the last of several repeats is the unit of all of them.
            shared = second[-1].unit
            pairs += [Pair(given, first[0], replace(one, unit=one.unit or shared)) for one in second]

    def _kind(self, amount: Amount) -> str | None:
        if amount.unit is None:
            return None
        return "time" if amount.unit in {"s", "ms", "minute"} else "length"

    def _given(self, groups: Sequence[Group]) -> str:
        start, end = groups[0][0].start, groups[-1][-1].end
        return " ".join(self.text[min(start, end) : max(start, end)].split())


def _split(parts: Sequence[Group | str], signs: str) -> Iterator[list[Group | str]]:
    at = [-1, *(index for index, part in enumerate(parts) if isinstance(part, str) and part in signs), len(parts)]
    for start, end in pairwise(at):
        yield list(parts[start + 1 : end])
