"""What a person has typed so far in; the entries of a list that they may mean out, best first.

Official names count most, then what people call things; the beginning of a word counts as the word, a slip as nearly
the word. This file must never know an entry of any list nor a word of any language.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from rapidfuzz import fuzz, process

from core.intake.characters import fold

MOST = 25
"""Suggestions that common chat platforms show."""
LONGEST_VALUE = 100
LONGEST_LABEL = 100
"""So much of a suggestion is seen where least room is."""
"""Characters a suggestion may carry on common chat platforms."""
LONGEST_TYPED = 100
"""Characters of one piece that are looked at; the longest name has fewer."""
SEPARATORS = ",;+"
MOST_PIECES = 4
"""Pieces into which separators part the name that has most of them."""

WHOLE, START, INSIDE, SLIP = 1.0, 0.8, 0.55, 0.5
"""What a typed word is worth that is a word of the entry, begins one, stands inside one, or is nearly one."""
SHORTEST_INSIDE, SHORTEST_SLIP = 4, 4
NEAR = 75.0
"""Similarity, out of 100, from which a word is taken for another with a slip."""
SAME_NAME, NAME_BEGINS, SAME_PHRASE, PHRASE_BEGINS = 4.0, 3.0, 2.5, 1.5
"""What it adds that the whole of what was typed is the name, begins it, is a phrase of the entry, or begins one."""
OF_NAME, OF_PHRASE, OF_ELSEWHERE = 1.0, 0.9, 0.7
"""What a word is worth by where it stands: in the name, in a phrase, in a phrase of another language."""
UNTYPED = 0.01
"""What each word of a name costs that was not typed: of "right" and "back right", "right" means the first."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a list.

    Attributes:
        id: What is chosen.
        label: Its official name.
        phrases: What people call it.
        foreign: What people call it in other languages.
    """

    id: str
    label: str
    phrases: frozenset[str] = frozenset()
    foreign: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class SuggestionList:
    """A list made ready to be searched.

    Attributes:
        entries: In the order of the data.
        several: Whether an option takes several of them.
        letters: Letter to how it may be written without an accent.
        names: Comparable name and identifier to the number of the entry.
        phrases: Comparable phrases of each entry.
        words: Word to the entries it stands for, each with how much it tells.
        sizes: Words in the name of each entry.
    """

    entries: tuple[Entry, ...]
    several: bool
    letters: Mapping[int, str]
    names: Mapping[str, int]
    phrases: tuple[frozenset[str], ...]
    words: Mapping[str, tuple[tuple[int, float], ...]]
    sizes: tuple[int, ...]


def build_list(entries: Iterable[Entry], letters: Mapping[int, str], *, several: bool = False) -> SuggestionList:
    """Return a list ready to be searched.

    A word that stands for many entries tells little of each.

    Args:
        entries: In the order in which they are shown where nothing is typed.
        letters: Letter, as its code point, to how it may be written without an accent.
        several: Whether an option takes several of them, separated by commas.
    """
    kept = tuple(entries)
    labels = [comparable(entry.label, letters) for entry in kept]
    names = {comparable(entry.id, letters): number for number, entry in enumerate(kept)}
    names |= {label: number for number, label in enumerate(labels)}
    phrases: list[frozenset[str]] = []
    worth: dict[str, dict[int, float]] = {}
    for number, (entry, label) in enumerate(zip(kept, labels, strict=True)):
        own, foreign = (frozenset(comparable(one, letters) for one in said) for said in (entry.phrases, entry.foreign))
        phrases.append(own | foreign)
        told = ((foreign, OF_ELSEWHERE), (own, OF_PHRASE), ({label, comparable(entry.id, letters)}, OF_NAME))
        for said, value in told:
            for word in {word for phrase in said for word in phrase.split()}:
                worth.setdefault(word, {})[number] = value
    words = {
        word: tuple((number, value / len(held) ** 0.5) for number, value in held.items())
        for word, held in worth.items()
    }
    return SuggestionList(
        entries=kept,
        several=several,
        letters=MappingProxyType(dict(letters)),
        names=MappingProxyType(names),
        phrases=tuple(phrases),
        words=MappingProxyType(words),
        sizes=tuple(len(label.split()) for label in labels),
    )


def suggest(typed: str, offered: SuggestionList) -> tuple[tuple[str, str], ...]:
    """Return label and value of the entries that may be meant, best first, at most ``MOST``.

    Nothing typed, or nothing that is like any entry: all of them in the order of the data. Where several may be named,
    the last piece is completed and the earlier ones are kept.

    Args:
        typed: As typed so far, of any content.
        offered: The list.
    """
    earlier, piece = _split(typed, offered)
    told = [_meant(one, offered) for one in earlier]
    chosen = {number for number in told if number is not None}
    ranked = [number for number in _rank(piece, offered) if number not in chosen]
    if not ranked:
        ranked = [number for number in range(len(offered.entries)) if number not in chosen]
    # What is not known stays as it was typed.
    before = [
        (one, one) if number is None else (offered.entries[number].label, offered.entries[number].id)
        for one, number in zip(earlier, told, strict=True)
    ]
    pairs = []
    for number in ranked:
        entry = offered.entries[number]
        label = _label([name for name, _ in before], entry.label)
        value = ", ".join((*(value for _, value in before), entry.id))
        if len(value) <= LONGEST_VALUE:
            pairs.append((label, value))
    return tuple(pairs[:MOST])


def _label(earlier: list[str], last: str) -> str:
    """Return names in a row, short enough to be seen to their end: the last one is what tells suggestions apart."""
    row = ", ".join((*earlier, last))
    while len(row) > LONGEST_LABEL and earlier:
        earlier = earlier[1:]
        row = ", ".join(("…", *earlier, last))
    return row


def comparable(text: str, letters: Mapping[int, str]) -> str:
    """Return text as it is compared: no case, no marks, letters with accents written without."""
    plain = fold(text).translate(letters)
    return " ".join("".join(sign if sign.isalnum() or sign == "'" else " " for sign in plain).split())


def _split(typed: str, offered: SuggestionList) -> tuple[Sequence[str], str]:
    """Return the pieces before the last separator, and the last piece; a name may hold separators of its own."""
    if not offered.several:
        return (), typed
    pieces = [""]
    for sign in typed[: LONGEST_VALUE * 3]:
        if sign in SEPARATORS:
            pieces.append("")
        else:
            pieces[-1] += sign
    pieces = [piece.strip() for piece in pieces]
    joined: list[str] = []
    at = 0
    while at < len(pieces):
        whole = (
            end for end in range(min(at + MOST_PIECES, len(pieces)), at + 1, -1) if _is_name(pieces[at:end], offered)
        )
        end = next(whole, at + 1)
        joined.append(", ".join(pieces[at:end]))
        at = end
    return [piece for piece in joined[:-1] if piece], joined[-1]


def _is_name(pieces: Sequence[str], offered: SuggestionList) -> bool:
    return all(pieces) and comparable(" ".join(pieces), offered.letters) in offered.names


def _meant(piece: str, offered: SuggestionList) -> int | None:
    """Return the entry that an earlier piece is the name or a phrase of, if it is one entry and no other."""
    wanted = comparable(piece, offered.letters)
    if wanted in offered.names:
        return offered.names[wanted]
    called = [number for number, phrases in enumerate(offered.phrases) if wanted in phrases]
    return called[0] if len(called) == 1 else None


def _rank(typed: str, offered: SuggestionList) -> Iterator[int]:
    wanted = comparable(typed[:LONGEST_TYPED], offered.letters)
    if not wanted:
        return
    scores: dict[int, float] = dict.fromkeys(range(len(offered.entries)), 0.0)
    for word in dict.fromkeys(wanted.split()):
        for number, worth in _worth(word, offered).items():
            scores[number] += worth
    for number, phrases in enumerate(offered.phrases):
        if wanted in phrases:
            scores[number] += SAME_PHRASE
        elif any(phrase.startswith(wanted) for phrase in phrases):
            scores[number] += PHRASE_BEGINS
    begun: set[int] = set()
    for name, number in offered.names.items():
        if name == wanted:
            scores[number] += SAME_NAME
        elif name.startswith(wanted) and number not in begun:
            begun.add(number)
            scores[number] += NAME_BEGINS
    liked = [number for number, score in scores.items() if score]
    yield from sorted(liked, key=lambda number: (UNTYPED * offered.sizes[number] - scores[number], number))


def _worth(word: str, offered: SuggestionList) -> Mapping[int, float]:
    """Return what one typed word is worth for each entry: that of the best of its words."""
    best: dict[int, float] = {}

    def count(known: str, share: float) -> None:
        for number, value in offered.words[known]:
            best[number] = max(best.get(number, 0.0), share * value)

    if word in offered.words:
        count(word, WHOLE)
    for known in offered.words:
        if known.startswith(word):
            count(known, START)
        elif len(word) >= SHORTEST_INSIDE and word in known:
            count(known, INSIDE)
    if not best and len(word) >= SHORTEST_SLIP:
        near = process.extract(word, tuple(offered.words), scorer=fuzz.ratio, score_cutoff=NEAR, limit=MOST)
        for known, likeness, _ in near:
            count(known, SLIP * likeness / 100)
    return best
