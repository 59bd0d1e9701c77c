"""How typed readings are cut into tokens: patterns, each under its rule, and the scanner over them.

In: clean text (``characters.clean``) and a lexicon. Out: the possible ways to read its commas, and tokens
for one of them. This
file must never know how many readings there are, what is plausible, or what a fault is called.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from core.intake.characters import JOINERS, fold
from core.intake.lexicon import Lexicon
from core.intake.units import UNITS, Kind
from core.report import Position

# A number has digits on at least one side of its point; no exponent, since no caliper shows one.
NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)"
# A minus may be any of the dashes a phone types for it.
DASH = r"[-–—−‐‑]"
# A value is an optional sign, a number, and an optional unit written against it: 0.98 -0.98 0.98mm 0.039"
VALUE = re.compile(rf"(?P<number>(?:{DASH}|\+)?{NUMBER})(?P<unit>[^\d.,][^\d]*)?")
# A name may stand against its value: FL1.02 fl-1.02
NAMED_VALUE = re.compile(rf"(?P<name>[^\W\d_][^\d.]*?){DASH}?(?P<value>{NUMBER}.*)")
# A whole number with leading zeros is half of a number that a comma has cut: 02 out of 1,02
CUT_NUMBER = re.compile(r"0\d+")
# Values are separated by anything but letters, digits and marks that belong to a value.
SEPARATOR = re.compile(r"[\s;|,()\[\]{}]+")
# A slash joins repeats of one spot, except inside a word: 0.98/0.99 but n/a
SLASH = re.compile(r"(?<![^\W\d_])/|/(?![^\W\d_])")
# A name may be linked to its value: fl=1.02, fl: 1.02, fl -> 1.02
LINK = re.compile(r"->|=>|[:=→]")
# A lump is a run of anything else.
LUMP = re.compile(rf"(?:(?!->|=>)(?!{SLASH.pattern})[^\s;|,()\[\]{{}}:=→])+")
# A full stop or exclamation mark ends a sentence, not a number.
SENTENCE_END = ".!"

# A comma is open to two readings where a digit follows: 0,98 or 1.02,0.98. Elsewhere it separates.
# The look-behind keeps a long run of digits from being tried at each of its digits.
OPEN_COMMAS = re.compile(r"(?<!\d)\d*(?:,\d+)+")
# Five values with a dash between: the dashes can be no lost coupons, nine is too many.
DASHED = re.compile(rf"\s*{NUMBER}(?:\s*{DASH}\s*{NUMBER}){{4}}\s*[^\d\s]*\s*")
DASH_BETWEEN = re.compile(rf"(?<=[\d\s]){DASH}(?=[\d\s.])")
# A mark that starts every one of several lines is a bullet: "- front left: 0.98"
BULLET = re.compile(r"(?m)^[ \t]*[-*•·–][ \t]+(?=\S)")
# Numbers 1 to 5 before the lines are an enumeration: "1) 0.98"
ENUMERATION = re.compile(r"(?m)^[ \t]*([1-9])[ \t]*[.):][ \t]+(?=\S)")

LONGEST_PHRASE = 4
"""Words of the longest phrase in any lexicon."""

TokenKind = Literal["name", "lost", "value", "unit", "slash", "link", "odd"]


@dataclass(frozen=True, slots=True)
class Token:
    """One piece of typed readings.

    Attributes:
        kind: What it is; ``odd`` is nothing known.
        given: As typed.
        position: Of a name.
        number: Of a value.
        unit: Key of ``UNITS``: of a unit, and of a value with a unit written against it.
        cut: Whether it looks like a number wrongly cut or joined at a comma.
    """

    kind: TokenKind
    given: str
    position: Position | None = None
    number: float = 0.0
    unit: str | None = None
    cut: bool = False


def drop_bullets(text: str) -> str:
    """Return ``text`` without bullets or running numbers, where every one of several lines has one."""
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) > 1 and all(BULLET.match(line) for line in lines):
        return BULLET.sub("", text)
    found = [ENUMERATION.match(line) for line in lines]
    if len(lines) > 1 and [match and match[1] for match in found] == [str(n + 1) for n in range(len(lines))]:
        return ENUMERATION.sub("", text)
    return text


def comma_readings(text: str) -> tuple[str, ...]:
    """Return the possible readings of the commas in ``text``, the likelier first, each as long as ``text``.

    In a reading a decimal comma is a point and every other comma a semicolon. In a chain such as
    ``0,98,1,02`` decimal commas
    and separators alternate.
    """
    if DASHED.fullmatch(text.replace(",", ".")):
        text = DASH_BETWEEN.sub(";", text)
    decimal = OPEN_COMMAS.sub(lambda chain: _alternate(chain[0]), text).replace(",", ";")
    separating = text.replace(",", ";")
    if decimal == separating:
        return (decimal,)
    return (separating, decimal) if "." in text else (decimal, separating)


def scan(reading: str, text: str, lexicon: Lexicon) -> tuple[Token, ...]:
    """Cut one reading of the commas into tokens; ``text`` gives the pieces as they were typed."""
    return tuple(_join_words(list(_pieces(reading, text, lexicon)), lexicon))


def read_value(lump: str, lexicon: Lexicon, kind: Kind = "length") -> tuple[float, str | None] | None:
    """Return number and unit of a value with decimal point, or ``None`` where it is none."""
    match = VALUE.fullmatch(lump)
    if match is None or CUT_NUMBER.fullmatch(match["number"]):
        return None
    sign = match["number"][0]
    number = float(match["number"].lstrip("-–—−‐‑+"))
    unit = None
    if match["unit"] is not None:
        unit = unit_of(fold(match["unit"]), lexicon, kind)
        if unit is None:
            return None
    return (number if sign.isdigit() or sign in ".+" else -number), unit


def unit_of(word: str, lexicon: Lexicon, kind: Kind = "length") -> str | None:
    """Return the unit id of a folded word, if it is a unit of this kind."""
    unit = lexicon.units.get(word)
    return unit if unit is not None and UNITS[unit].kind == kind else None


def _alternate(chain: str) -> str:
    parts = chain.split(",")
    return "".join(
        part + ("" if index == len(parts) - 1 else "." if index % 2 == 0 else ";") for index, part in enumerate(parts)
    )


def _pieces(reading: str, text: str, lexicon: Lexicon) -> Iterator[Token]:
    at = 0
    while at < len(reading):
        if (match := SEPARATOR.match(reading, at)) is not None:
            pass
        elif (match := SLASH.match(reading, at)) is not None:
            yield Token("slash", "/")
        elif (match := LINK.match(reading, at)) is not None:
            yield Token("link", match[0])
        else:
            match = LUMP.match(reading, at)
            if match is None:
                at += 1
                continue
            yield from _lump(match[0], text[match.start() : match.end()], lexicon)
        at = match.end()


def _lump(lump: str, given: str, lexicon: Lexicon) -> Iterator[Token]:
    kept = lump.rstrip(SENTENCE_END) or lump
    given = given[: len(kept)]
    if fold(kept) in lexicon.lost and not kept.isalpha():
        yield Token("lost", given)
        return
    value = read_value(kept, lexicon)
    if value is not None:
        yield Token("value", given, number=value[0], unit=value[1])
        return
    named = NAMED_VALUE.fullmatch(kept)
    if named is not None and fold(named["name"]) in lexicon.positions:
        value = read_value(named["value"], lexicon)
        if value is not None:
            yield Token("name", named["name"], position=lexicon.positions[fold(named["name"])])
            yield Token("value", given[named.start("value") :], number=value[0], unit=value[1])
            return
    cut = CUT_NUMBER.fullmatch(kept) is not None or ("," in given and not any(sign.isalpha() for sign in given))
    if cut or any(sign.isdigit() for sign in kept):
        yield Token("odd", given, cut=cut)
        return
    # A word; hyphens and underscores part words as spaces do.
    for word in JOINERS.split(given):
        if word:
            yield Token("odd", word)


def _join_words(pieces: list[Token], lexicon: Lexicon) -> Iterator[Token]:
    at = 0
    while at < len(pieces):
        run = at
        while run < len(pieces) and _is_word(pieces[run]):
            run += 1
        if run == at:
            yield pieces[at]
            at += 1
            continue
        yield from _phrases([piece.given for piece in pieces[at:run]], lexicon)
        at = run


def _is_word(piece: Token) -> bool:
    return piece.kind == "odd" and not piece.cut and not any(sign.isdigit() for sign in piece.given)


def _phrases(words: list[str], lexicon: Lexicon) -> Iterator[Token]:
    """Yield tokens for a run of words, the longest known phrase first; unknown neighbours stay together."""
    unknown: list[str] = []
    at = 0
    while at < len(words):
        for length in range(min(LONGEST_PHRASE, len(words) - at), 0, -1):
            known = _known(words[at : at + length], lexicon)
            if known is not None:
                break
        else:
            unknown.append(words[at])
            at += 1
            continue
        if unknown:
            yield Token("odd", " ".join(unknown))
            unknown = []
        at += length
        preposition = fold(known.given) in lexicon.before_unit and at < len(words)
        if not (preposition and unit_of(words[at], lexicon)) and fold(known.given) not in lexicon.fillers:
            yield known
    if unknown:
        yield Token("odd", " ".join(unknown))


def _known(words: list[str], lexicon: Lexicon) -> Token | None:
    phrase = " ".join(words)
    folded = fold(phrase)
    if folded in lexicon.positions:
        return Token("name", phrase, position=lexicon.positions[folded])
    if folded in lexicon.lost:
        return Token("lost", phrase)
    unit = unit_of(folded, lexicon)
    if unit is not None:
        return Token("unit", phrase, unit=unit)
    return Token("odd", phrase) if folded in lexicon.fillers else None
