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

from core.intake.tokens import Token

NUMBER = "{}"
"""Name under which every number stands."""

Names = Sequence[Mapping[str, int]]
"""For each token, what it can be called, and how many tokens that name covers."""

_GAPS = {"~": 3, ".": 2, "..": 7}
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


def compile_pattern(line: str, units: Mapping[str, Unit]) -> tuple[Pattern, ...]:
    """Return the patterns a line stands for, one per choice of its optional elements.

    Raises:
        KeyError: A number names a field that has no unit table.
        ValueError: The line is empty or starts or ends with a gap.
    """
    choices: list[tuple[Element | None, ...]] = []
    for written in line.split():
        optional = len(written) > 1 and written.endswith("?")
        element = _element(written.removesuffix("?") if optional else written, units)
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
    element = pattern[step]
    if element.gap:
        for skipped in _skips(element.gap, at, tokens, names):
            for end, gaps, numbers in _fit(pattern, step + 1, skipped, tokens, names, units):
                yield end, (*range(at, skipped), *gaps), numbers
        return
    if at >= len(tokens):
        return
    if element.number:
        value = tokens[at].number
        if value is None or (element.below_one and value >= 1):
            return
        if element.number == NUMBER:
            after = at + 1 + (1 if at + 1 < len(tokens) and "<unit>" in names[at + 1] else 0)
            captured: tuple[tuple[str, float], ...] = ()
        else:
            read = _with_unit(element, value, at, names, units[element.number])
            if read is None:
                return
            after, captured = read
        for end, gaps, numbers in _fit(pattern, step + 1, after, tokens, names, units):
            yield end, gaps, captured + numbers
        return
    for name in element.names:
        length = names[at].get(name)
        if length:
            for end, gaps, numbers in _fit(pattern, step + 1, at + length, tokens, names, units):
                yield end, gaps, numbers


def _skips(gap: str, at: int, tokens: Sequence[Token], names: Names) -> Iterator[int]:
    yield at
    commas = 0
    for skipped in range(at, min(at + _GAPS[gap], len(tokens))):
        name = names[skipped]
        if "<stop>" in name or "<turn>" in name:
            return
        if gap == "~" and "<light>" not in name:
            return
        if "<soft>" in name:
            commas += 1
            if gap != ".." or commas > _COMMAS_CROSSED:
                return
        if ("<good>" in name or "<subject>" in name) and not _is_beside_the_point(skipped, names):
            return
        yield skipped + 1


def _is_beside_the_point(at: int, names: Names) -> bool:
    """Say whether a noun hangs on a preposition ("on the plate"), so that it is no new subject."""
    before = range(max(0, at - _PREPOSITION_NEAR), at)
    return any("<preposition>" in names[index] for index in before)


def _with_unit(
    element: Element, value: float, at: int, names: Names, unit: Unit
) -> tuple[int, tuple[tuple[str, float], ...]] | None:
    following = names[at + 1] if at + 1 < len(names) else {}
    for name, factor in unit.factors.items():
        if name in following:
            return at + 1 + following[name], ((unit.path, round(value * factor, 6)),)
    if element.unit_needed or "<unit>" in following:
        return None
    return at + 1, ((unit.path, value),)


def _element(written: str, units: Mapping[str, Unit]) -> Element:
    if written in _GAPS:
        return Element(gap=written)
    if written == NUMBER:
        return Element(number=NUMBER)
    if written.startswith("{"):
        field = written.strip("{}")
        number = field.rstrip("!.")
        units[number]
        return Element(number=number, unit_needed=field.endswith("!"), below_one=field.endswith("."))
    return Element(names=tuple(written.split("|")))
