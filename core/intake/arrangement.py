"""Tokens in, names and groups of repeats out, in the order in which they were typed.

In: tokens of typed readings. Out: entries, and the unit that was written once for all. This file must never
know where a reading belongs, what is plausible, or how words are spelt.
"""

from dataclasses import dataclass, field, replace
from itertools import pairwise

from core.intake.choices import closest
from core.intake.grammar import Token
from core.intake.lexicon import Lexicon

WHOLE = "readings"
"""Field name of a fault that belongs to no single reading."""

LEAST_LIKE_A_NAME = 5
"""Letters from which an unknown word may be a misspelt name; shorter ones are like too much."""


@dataclass(slots=True)
class Group:
    """Values, lost marks and unread pieces joined by slashes; ``dangling`` if a slash joins nothing."""

    items: list[Token] = field(default_factory=list)
    dangling: bool = False

    @property
    def given(self) -> str:
        """As typed, about."""
        return "/".join(item.given for item in self.items) + ("/" if self.dangling else "")


@dataclass(slots=True)
class Entry:
    """A name, a group, or a name with its group."""

    name: Token | None = None
    group: Group | None = None


def arrange(tokens: tuple[Token, ...], lexicon: Lexicon) -> tuple[list[Entry], str | None]:
    """Return names and groups in order, and the unit that stands once for all bare numbers."""
    by_name = any(token.kind == "name" for token in tokens) or _tries_a_name(tokens, lexicon)
    bench = _Bench(by_name=by_name)
    for token in tokens:
        bench.take(token)
    entries = bench.entries
    items = [item for entry in entries if entry.group for item in entry.group.items if item.kind == "value"]
    if len(bench.written) == 1 and items and items[-1] is bench.written[0]:
        bench.for_all = bench.written[0].unit
    else:
        for entry in entries:
            _share_unit(entry.group)
    return _names_first(entries), bench.for_all


@dataclass(slots=True)
class _Bench:
    """Where tokens are put together, one after the other.

    Attributes:
        by_name: Whether positions are named, so that an unknown word may be a misspelt name.
        written: Values with a unit of their own.
        for_all: Unit before all values.
        last: Group that a slash, a unit or a repeat would join.
        joining: Whether a slash came last.
    """

    by_name: bool
    entries: list[Entry] = field(default_factory=list)
    written: list[Token] = field(default_factory=list)
    for_all: str | None = None
    last: Group | None = None
    joining: bool = False

    def take(self, token: Token) -> None:
        """Put one token where it belongs."""
        if token.kind == "link":
            return
        if token.kind == "slash":
            self._join()
        elif token.kind == "unit":
            self._unit(token)
        elif token.kind == "name" or (token.kind == "odd" and self._may_be_a_name(token)):
            self.entries.append(Entry(name=token))
            self.last, self.joining = None, False
        else:
            self._item(token)

    def _may_be_a_name(self, token: Token) -> bool:
        return self.by_name and not self._awaited() and _wordy(token)

    def _awaited(self) -> bool:
        return bool(self.entries) and self.entries[-1].name is not None and self.entries[-1].group is None

    def _join(self) -> None:
        if self.last is None or self.joining:
            # A slash with nothing before it joins nothing, whatever follows.
            self._open(Group(dangling=True))
            self.joining = False
            return
        self.last.dangling = self.joining = True

    def _unit(self, token: Token) -> None:
        items = self.last.items if self.last is not None else []
        if items and items[-1].kind == "value" and items[-1].unit is None and not self.joining:
            items[-1] = replace(items[-1], unit=token.unit, given=f"{items[-1].given} {token.given}")
            self.written.append(items[-1])
        elif not self.entries and self.for_all is None:
            self.for_all = token.unit
        else:
            self._item(replace(token, kind="odd"))

    def _item(self, token: Token) -> None:
        if self.joining and self.last is not None:
            self.last.items.append(token)
            self.last.dangling = self.joining = False
        else:
            self._open(Group([token]))
        if token.kind == "value" and token.unit is not None:
            self.written.append(token)

    def _open(self, group: Group) -> None:
        if self._awaited():
            self.entries[-1].group = group
        else:
            self.entries.append(Entry(group=group))
        self.last = group


def _tries_a_name(tokens: tuple[Token, ...], lexicon: Lexicon) -> bool:
    """Say whether an unknown word stands where a name would: before a link, or like one before a value."""
    for token, after in pairwise(tokens):
        if token.kind == "odd" and _wordy(token):
            if after.kind == "link":
                return True
            near = closest(token.given, tuple(lexicon.positions), WHOLE, "not_a_position")
            if after.kind == "value" and len(token.given) >= LEAST_LIKE_A_NAME and "meant" in near.values:
                return True
    return False


def _wordy(token: Token) -> bool:
    return not any(sign.isdigit() for sign in token.given)


def _share_unit(group: Group | None) -> None:
    """Let a unit after the last repeat stand for all repeats of that coupon."""
    if group and group.items and group.items[-1].unit and all(item.unit is None for item in group.items[:-1]):
        unit = group.items[-1].unit
        group.items = [replace(item, unit=unit) if item.kind == "value" else item for item in group.items]


def _names_first(entries: list[Entry]) -> list[Entry]:
    """Turn ``1.02 front left, 0.98 front right`` round: every value is followed by its name."""
    if len(entries) < 2 or entries[0].name is not None or entries[-1].group is not None:  # noqa: PLR2004 - a pair
        return entries
    flat: list[Token | Group] = []
    for entry in entries:
        flat.extend(part for part in (entry.name, entry.group) if part is not None)
    if len(flat) % 2 or any(isinstance(part, Group) != (index % 2 == 0) for index, part in enumerate(flat)):
        return entries
    return [
        Entry(name, group)
        for group, name in zip(flat[::2], flat[1::2], strict=True)
        if isinstance(group, Group) and isinstance(name, Token)
    ]
