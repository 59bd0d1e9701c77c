"""Named tokens in, the outline of a text out: its sentences and clauses, and what may be taken at its word in them.

A question, a condition, advice, a rule of thumb, a plan, something past or mended says nothing about the print in
hand: it is void. A guess, or someone else's print, is doubtful: it is asked. This file must never know what is being
said.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from core.intake.patterns import Names
from core.intake.tokens import Token

Span = tuple[int, int]
T = TypeVar("T")

VOID_SENTENCE = frozenset({"<told>", "<generic>", "<past>", "<advice>", "<other_job>"})
VOID_CLAUSE = frozenset({"<future>"})
_LONGEST_TOLD = 6
"""Words of the longest way to say that something was done as told."""


@dataclass(frozen=True, slots=True)
class Outline:
    """The shape of a text, token by token.

    Attributes:
        sentences: First token and one past the last of each sentence.
        clauses: The same for each clause; clauses end at commas and at words such as "but".
        sentence_of: Sentence of each token.
        clause_of: Clause of each token.
        void: Whether the token may not be taken at its word.
        doubt: Reason to ask about what the token says, or nothing.
    """

    sentences: tuple[Span, ...]
    clauses: tuple[Span, ...]
    sentence_of: tuple[int, ...]
    clause_of: tuple[int, ...]
    void: tuple[bool, ...]
    doubt: tuple[str, ...]


def outline_text(tokens: Sequence[Token], names: Names) -> Outline:
    """Return sentences, clauses and their standing."""
    sentences = tuple(_runs(names, frozenset({"<stop>"})))
    clauses = tuple(_clauses(names))
    void = [False] * len(tokens)
    doubt = [""] * len(tokens)
    elsewhere = any("<other_job>" in name for name in names) and not any("<resin_job>" in name for name in names)
    for sentence in sentences:
        _judge(sentence, [clause for clause in clauses if _within(clause, sentence)], names, void, doubt)
    for index, name in enumerate(names):
        if "<resolved>" in name:
            end = next((clause[1] for clause in clauses if clause[0] <= index < clause[1]), index)
            _mark(void, (0, end), True)
    return Outline(
        sentences,
        clauses,
        _owners(sentences, len(tokens)),
        _owners(clauses, len(tokens)),
        tuple(void) if not elsewhere else (True,) * len(tokens),
        tuple(doubt),
    )


def _judge(sentence: Span, clauses: Sequence[Span], names: Names, void: list[bool], doubt: list[str]) -> None:
    if _is_void(sentence, names):
        _mark(void, sentence, True)
    for clause in clauses:
        whole = range(*clause)
        if any(_sets_condition(index, names) for index in whole):
            _mark(void, (clause[0], sentence[1]), True)
        if not all(VOID_CLAUSE.isdisjoint(names[index]) for index in whole):
            _mark(void, clause, True)
        if any("<hedge>" in names[index] for index in whole):
            _mark(doubt, clause, "hedged")
    _question(sentence, clauses, names, void, doubt)
    if any("<third>" in names[index] for index in range(*sentence)):
        _mark(doubt, sentence, "ambiguous")


def _is_void(sentence: Span, names: Names) -> bool:
    starts = _openings(sentence, names)
    orders = any("<imperative>" in names[start] and "<report_start>" not in names[start] for start in starts)
    asks = "<aux>" in names[starts[-1]]
    said = [index for index in range(*sentence) if not _is_done_as_told(index, sentence[0], names)]
    return orders or asks or not all(VOID_SENTENCE.isdisjoint(names[index]) for index in said)


def _is_done_as_told(at: int, first: int, names: Names) -> bool:
    """Say whether a word belongs to "like they told me": what was told was also done."""
    return any(names[start].get("<as_told>", 0) > at - start for start in range(max(first, at - _LONGEST_TOLD), at + 1))


def _question(sentence: Span, clauses: Sequence[Span], names: Names, void: list[bool], doubt: list[str]) -> None:
    """Void what is asked; "why is it so?" takes for granted that it is, and is only doubtful."""
    is_marked = sentence[1] < len(names) and "?" in names[sentence[1]]
    found = False
    for clause in clauses:
        asked = (clause[0], sentence[1]) if is_marked else clause
        starts = _openings(clause, names)
        if any("<why>" in names[start] for start in starts):
            _mark(doubt, asked, "hedged")
            found = True
        elif any("<asking>" in names[start] for start in starts):
            _mark(void, asked, True)
            found = True
    if is_marked and not found:
        _mark(doubt, sentence, "hedged")


def _sets_condition(at: int, names: Names) -> bool:
    """Say whether an "if" is one, and not that of "not sure if"."""
    if "<if>" not in names[at]:
        return False
    return not any(names[start].get("<if_not>", 0) > at - start for start in range(max(0, at - 3), at + 1))


def _openings(span: Span, names: Names) -> list[int]:
    """Return where a clause may be said to begin: its first token and, past greetings and joins, the next."""
    starts: list[int] = []
    at = span[0]
    while at < span[1]:
        starts.append(at)
        length = names[at].get("<opener>")
        if not length:
            break
        at += length
    return starts


def _runs(names: Names, ends: frozenset[str]) -> Iterator[Span]:
    start = 0
    for index, name in enumerate(names):
        if not ends.isdisjoint(name):
            if index > start:
                yield start, index
            start = index + 1
    if start < len(names):
        yield start, len(names)


def _clauses(names: Names) -> Iterator[Span]:
    """Yield clauses; "I think, it is so" is one, and "it seems, that it is so" where a language has that comma."""
    before: Span | None = None
    for clause in _runs(names, frozenset({"<stop>", "<soft>", "<turn>"})):
        if before is not None:
            parted = before[1] + 1 < clause[0] or "<soft>" not in names[before[1]]
            goes_on = "<continues>" in names[clause[0]] or _only_hedges(before, names)
            if goes_on and not parted:
                clause = before[0], clause[1]  # noqa: PLW2901 - the two are one
            else:
                yield before
        before = clause
    if before is not None:
        yield before


def _only_hedges(clause: Span, names: Names) -> bool:
    whole = range(*clause)
    hedged = [index for index in whole if "<hedge>" in names[index]]
    reach = {at for index in hedged for at in range(index, index + names[index]["<hedge>"])}
    return bool(hedged) and all(
        index in reach or "<light>" in names[index] or "<opener>" in names[index] for index in whole
    )


def _within(inner: Span, outer: Span) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def _owners(spans: Sequence[Span], count: int) -> tuple[int, ...]:
    owners = [-1] * count
    for number, span in enumerate(spans):
        _mark(owners, span, number)
    return tuple(owners)


def _mark(marks: list[T], span: Span, value: T) -> None:
    marks[span[0] : span[1]] = [value] * (span[1] - span[0])
