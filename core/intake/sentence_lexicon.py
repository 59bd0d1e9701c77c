"""What people call things when they describe a failed print, loaded from data.

In: ``core/intake/data/sentences_<language>.toml``. Out: one frozen ``SentenceLexicon``. This file must never hold a word or a
finding of the trade itself.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

from core.errors import Fault, UnusableKnowledge
from core.intake.lexicon import Lexicon, load_lexicon
from core.intake.patterns import NUMBER, Pattern, Unit, compile_pattern
from core.intake.tokens import SHORTEST_CORRECTED, Spelling, Token

Kind = Literal["seen", "ask", "absent", "setting"]
Value = float | int | bool | str
KINDS: tuple[Kind, ...] = ("seen", "ask", "absent")
PLACE_CLASSES = ("left", "right", "front", "back", "middle", "side", "everywhere", "rim")
TABLES = ("classes", "ordinary", "units", "findings", "settings")


@dataclass(frozen=True)
class Rule:
    """One way of saying one thing.

    Attributes:
        about: A finding's id, or the dotted path of a setting; empty where the pattern captures numbers of several settings.
        kind: What it says about it.
        pattern: The words.
        where: Place that lies in the words themselves, as in "nothing on the plate".
        value: What the setting is then.
        denied: What it is where the words are negated.
    """

    about: str
    kind: Kind
    pattern: Pattern
    where: str = ""
    value: Value | None = None
    denied: Value | None = None

    @cached_property
    def needs(self) -> tuple[frozenset[str], ...]:
        """Names of which a text must hold at least one each, or the pattern need not be tried."""
        return tuple(frozenset(element.names) for element in self.pattern[1:] if element.names)


@dataclass(frozen=True, slots=True, kw_only=True)
class SentenceLexicon:
    """All that is needed to read sentences of one language.

    Attributes:
        phrases: First word to the phrases that start with it, each with the classes it belongs to.
        rules: First name to the rules whose pattern can start there.
        units: Field to its path and the units its number may carry.
        spelling: Words a slip may be put right to.
        readings: Words of coupon readings, which have a grammar of their own.
    """

    phrases: Mapping[str, tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]]
    rules: Mapping[str, tuple[Rule, ...]]
    units: Mapping[str, Unit]
    spelling: Spelling
    readings: Lexicon

    def name_tokens(self, tokens: tuple[Token, ...]) -> tuple[Mapping[str, int], ...]:
        """Return for each token what it can be called and how many tokens that name covers."""
        texts = tuple(token.text for token in tokens)
        named: list[Mapping[str, int]] = []
        for index, text in enumerate(texts):
            names = {NUMBER if tokens[index].number is not None else text: 1}
            for phrase, classes in self.phrases.get(text, ()):
                if texts[index : index + len(phrase)] == phrase:
                    for name in classes:
                        names[name] = max(len(phrase), names.get(name, 0))
            named.append(names)
        return tuple(named)


def load_sentence_lexicon(language: str = "en") -> SentenceLexicon:
    """Read the lexicon of one language.

    Raises:
        UnusableKnowledge: The file is missing, is no TOML, or a pattern names a class or a field that does not exist.
    """
    name = f"sentences_{language}.toml"
    try:
        read = tomllib.loads((files("core.intake") / "data" / name).read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UnusableKnowledge((Fault(name, str(error), "lexicon_table"),)) from error
    return build_sentence_lexicon(read, name)


def build_sentence_lexicon(read: Mapping[str, object], name: str) -> SentenceLexicon:
    """Return the lexicon that parsed tables describe; ``name`` stands in the faults.

    Raises:
        UnusableKnowledge: A table is missing or unknown, or a pattern names a class or a field that does not exist.
    """
    tables = {table: read.get(table) for table in TABLES}
    faults = [Fault(f"{name}.{table}", table, "lexicon_table") for table in read if table not in TABLES]
    faults += [Fault(f"{name}.{table}", "", "lexicon_table") for table, held in tables.items() if not held]
    if faults:
        raise UnusableKnowledge(tuple(faults))
    classes: Mapping[str, list[str]] = tables["classes"]  # type: ignore[assignment] - the shape is checked by use
    units = {
        field: Unit(path=table["path"], factors={f"<{unit}>": factor for unit, factor in table["factors"].items()})
        for field, table in tables["units"].items()  # type: ignore[union-attr] - the shape is checked by use
    }
    rules: dict[str, list[Rule]] = {}
    named = set(PLACE_CLASSES)
    literals: set[str] = set()
    for about, line, rule in _lines(tables, units):
        try:
            patterns = compile_pattern(line, units)
        except (KeyError, ValueError):
            faults.append(Fault(f"{name}.{about}", line, "lexicon_pattern"))
            continue
        for pattern in patterns:
            wanted = {alternative for element in pattern for alternative in element.names}
            unknown = [one for one in wanted if one.startswith("<") and one.strip("<>") not in classes]
            faults.extend(Fault(f"{name}.{about}", one, "lexicon_pattern") for one in unknown)
            literals |= {one for one in wanted if not one.startswith("<")}
            named |= {one.strip("<>") for one in wanted if one.startswith("<")} & classes.keys()
            made = Rule(about, rule.kind, pattern, rule.where, rule.value, rule.denied)
            for first in pattern[0].names or (NUMBER,):
                rules.setdefault(first, []).append(made)
    if faults:
        raise UnusableKnowledge(tuple(faults))
    phrases = _index(classes)
    ordinary: list[str] = tables["ordinary"]["words"]  # type: ignore[call-overload, index] - the shape is checked by use
    return SentenceLexicon(
        phrases=MappingProxyType({first: tuple(held) for first, held in phrases.items()}),
        rules=MappingProxyType({first: tuple(held) for first, held in rules.items()}),
        units=MappingProxyType(units),
        spelling=_spelling(phrases, literals | _words_of(named, classes), ordinary),
        readings=load_lexicon(),
    )


def _lines(tables: Mapping[str, object], units: Mapping[str, Unit]) -> Iterator[tuple[str, str, Rule]]:
    findings: Mapping[str, Mapping[str, list[object]]] = tables["findings"]  # type: ignore[assignment] - checked by use
    for about, table in findings.items():
        for kind in KINDS:
            for entry in table.get(kind, ()):
                line, where = (entry, "") if isinstance(entry, str) else (entry["say"], entry["where"])  # type: ignore[index] - checked by use
                yield about, line, Rule(about, kind, (), where)
    settings: list[Mapping[str, object]] = tables["settings"]  # type: ignore[assignment] - checked by use
    for entry in settings:
        about = str(entry.get("set", ""))
        for line in entry["say"]:  # type: ignore[attr-defined] - checked by use
            yield about, line, Rule(about, "setting", (), "", entry.get("to"), entry.get("denied"))  # type: ignore[arg-type] - checked by use


def _index(classes: Mapping[str, list[str]]) -> dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]:
    members: dict[tuple[str, ...], set[str]] = {}
    for name in classes:
        for phrase in _spell_out(name, classes, frozenset()):
            members.setdefault(tuple(phrase.split(" ")), set()).add(f"<{name}>")
    # Split at single blanks only: a newline is a mark of its own.
    index: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]] = {}
    for phrase, names in members.items():
        index.setdefault(phrase[0], []).append((phrase, tuple(sorted(names))))
    return index


def _spell_out(name: str, classes: Mapping[str, list[str]], above: frozenset[str]) -> Iterator[str]:
    """Yield the phrases of a class, with those of the classes it includes."""
    for phrase in classes[name]:
        if not phrase.startswith("<") or phrase == "<":
            yield phrase
        elif phrase.strip("<>") not in above:
            yield from _spell_out(phrase.strip("<>"), classes, above | {name})


def _words_of(named: set[str], classes: Mapping[str, list[str]]) -> set[str]:
    return {word for name in named for phrase in _spell_out(name, classes, frozenset()) for word in phrase.split()}


def _spelling(
    phrases: Mapping[str, list[tuple[tuple[str, ...], tuple[str, ...]]]], of_trade: set[str], ordinary: list[str]
) -> Spelling:
    # Slips are put right towards what can be seen and set, never towards a word that would make a sentence void.
    every_word = {word for held in phrases.values() for phrase, _ in held for word in phrase}
    by_letter: dict[str, list[str]] = {}
    for word in sorted(of_trade):
        if len(word) >= SHORTEST_CORRECTED - 1 and word.isalpha() and word.isascii():
            by_letter.setdefault(word[0], []).append(word)
    return Spelling(
        words=MappingProxyType({letter: tuple(words) for letter, words in by_letter.items()}),
        known=frozenset(of_trade | every_word | set(ordinary)),
    )
