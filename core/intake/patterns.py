"""Patterns over tokens: a line of the lexicon in, a matcher out.

A pattern is a line of elements. ``word`` is that word, ``<class>`` any word or phrase of the class, ``a|<b>`` either, a
trailing ``?`` makes it optional; ``~`` is up to three unimportant words, ``.`` up to two words, ``..`` up to seven;
``{field}`` is a number with its unit, ``{field!}`` one that must carry its unit, ``{field.}``
one below 1, ``{}`` any number. This file must never know a
word of any class nor what a pattern says.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from types import MappingProxyType

from core.intake.tokens import Token

NUMBER = "{}"
"""Name under which every number stands."""

Names = Sequence[Mapping[str, int]]
"""For each token, what it can be called, and how many tokens that name covers."""

GAPS: Mapping[str, int] = MappingProxyType({"~": 3, ".": 2, "..": 7})
"""Words a gap may hold at most, where a language does not say otherwise."""
_COMMAS_CROSSED = 2
_PREPOSITION_NEAR = 3


@dataclass(frozen=True, slots=True)
class Unit:
    """What may follow a number of a field: unit class to factor."""

    path: str
    factors: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Element:
    """One element of a pattern, with ``?`` already resolved."""

    names: tuple[str, ...] = ()
    gap: str = ""
    reach: int = 0
    number: str = ""
    unit_needed: bool = False
    below_one: bool = False


Pattern = tuple[Element, ...]


@dataclass(frozen=True, slots=True)
class Match:
    """Where a pattern fits.

    Attributes:
        start: First token.
        end: One past the last.
        gaps: Tokens that stand between what the pattern names.
        numbers: Path and value of each number captured.
    """

    start: int
    end: int
    gaps: tuple[int, ...]
    numbers: tuple[tuple[str, float], ...]


def compile_pattern(line: str, units: Mapping[str, Unit], gaps: Mapping[str, int] = GAPS) -> tuple[Pattern, ...]:
    """Return the patterns a line stands for, one per choice of its optional elements.

    Raises:
        KeyError: A number names a field that has no unit table.
        ValueError: The line is empty or starts or ends with a gap.
    """
    choices: list[tuple[Element | None, ...]] = []
    for written in line.split():
        optional = len(written) > 1 and written.endswith("?")
        element = _element(written.removesuffix("?") if optional else written, units, gaps)
        choices.append((element, None) if optional else (element,))
    patterns = tuple(tuple(element for element in chosen if element is not None) for chosen in product(*choices))
    if any(not pattern or pattern[0].gap or pattern[-1].gap for pattern in patterns):
        raise ValueError(line)
    return patterns


def match_at(
    pattern: Pattern, at: int, tokens: Sequence[Token], names: Names, units: Mapping[str, Unit]
) -> Match | None:
    """Return the tightest fit of a pattern that starts at token ``at``."""
    for end, gaps, numbers in _fit(pattern, 0, at, tokens, names, units):
        return Match(at, end, gaps, numbers)
    return None


_Fit = tuple[int, tuple[int, ...], tuple[tuple[str, float], ...]]


def _fit(
    pattern: Pattern, step: int, at: int, tokens: Sequence[Token], names: Names, units: Mapping[str, Unit]
) -> Iterator[_Fit]:
    if step == len(pattern):
        yield at, (), ()
        return
    for after, skipped, captured in _steps(pattern[step], at, tokens, names, units):
        for end, gaps, numbers in _fit(pattern, step + 1, after, tokens, names, units):
            yield end, skipped + gaps, captured + numbers


def _steps(
    element: Element, at: int, tokens: Sequence[Token], names: Names, units: Mapping[str, Unit]
) -> Iterator[_Fit]:
    """Yield where one element may end, the tokens it only skips, and the numbers it captures."""
    if element.gap:
        for after in _skips(element, at, tokens, names):
            yield after, tuple(range(at, after)), ()
    elif at >= len(tokens):
        return
    elif element.number:
        yield from _number(element, at, tokens, names, units)
    else:
        for name in element.names:
            if name in names[at]:
                yield at + names[at][name], (), ()


def _number(
    element: Element, at: int, tokens: Sequence[Token], names: Names, units: Mapping[str, Unit]
) -> Iterator[_Fit]:
    value = tokens[at].number
    if value is None or (element.below_one and value >= 1):
        return
    following = names[at + 1] if at + 1 < len(names) else {}
    if element.number == NUMBER:
        yield at + 1 + following.get("<unit>", 0), (), ()
        return
    unit = units[element.number]
    carried = next((name for name in unit.factors if name in following), None)
    if carried is not None:
        yield at + 1 + following[carried], (), ((unit.path, round(value * unit.factors[carried], 6)),)
    elif not element.unit_needed and "<unit>" not in following:
        yield at + 1, (), ((unit.path, value),)


def _skips(element: Element, at: int, tokens: Sequence[Token], names: Names) -> Iterator[int]:
    yield at
    commas = 0
    for skipped in range(at, min(at + element.reach, len(tokens))):
        name = names[skipped]
        if "<stop>" in name or "<turn>" in name:
            return
        if element.gap == "~" and "<light>" not in name:
            return
        if "<soft>" in name:
            commas += 1
            if element.gap != ".." or commas > _COMMAS_CROSSED:
                return
        if ("<good>" in name or "<subject>" in name) and not _is_beside_the_point(skipped, names):
            return
        yield skipped + 1


def _is_beside_the_point(at: int, names: Names) -> bool:
    """Say whether a noun hangs on a preposition ("on the plate"), so that it is no new subject."""
    before = range(max(0, at - _PREPOSITION_NEAR), at)
    return any("<preposition>" in names[index] for index in before)


def _element(written: str, units: Mapping[str, Unit], gaps: Mapping[str, int]) -> Element:
    if written in gaps:
        return Element(gap=written, reach=gaps[written])
    if written == NUMBER:
        return Element(number=NUMBER)
    if written.startswith("{"):
        field = written.strip("{}")
        number = field.rstrip("!.")
        units[number]
        return Element(number=number, unit_needed=field.endswith("!"), below_one=field.endswith("."))
    return Element(names=tuple(written.split("|")))
