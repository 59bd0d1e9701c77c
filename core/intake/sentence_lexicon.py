"""What people call things when they describe a failed print, loaded from data.

In: ``core/intake/data/sentences_<language>.toml``. Out: one frozen ``SentenceLexicon``. This file must never hold a
word or a finding of the trade itself.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from importlib.resources import files
from itertools import product
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from core.errors import Fault, UnusableKnowledge
from core.intake.lexicon import Lexicon, load_lexicon
from core.intake.patterns import GAPS, NUMBER, Pattern, Unit, compile_pattern
from core.intake.tokens import SHORTEST_CORRECTED, Spelling, Token

Kind = Literal["seen", "ask", "absent", "setting"]
Value = float | int | bool | str
FUNCTION_CLASSES = frozenset({"the", "at", "preposition", "be", "light", "negator", "degree", "join", "good", "opener"})
"""Words so common that a slip of one would more often be another word."""
PLACE_CLASSES = ("left", "right", "front", "back", "middle", "side", "everywhere", "rim")


@dataclass(frozen=True)
class Rule:
    """One way of saying one thing.

    Attributes:
        about: A finding's id, or the dotted path of a setting; empty where the pattern captures numbers.
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
        named: list[dict[str, int]] = []
        for index, text in enumerate(texts):
            names = {NUMBER if tokens[index].number is not None else text: 1}
            for phrase, classes in self.phrases.get(text, ()):
                if texts[index : index + len(phrase)] == phrase:
                    for name in classes:
                        names[name] = max(len(phrase), names.get(name, 0))
            named.append(names)
        return _without_abbreviations(named)


def _without_abbreviations(named: Sequence[dict[str, int]]) -> tuple[Mapping[str, int], ...]:
    """Take from the marks of an abbreviation, such as "ca.", that they end a sentence."""
    for start, names in enumerate(named):
        for at in range(start, start + names.get("<abbreviation>", 0)):
            named[at].pop("<stop>", None)
            named[at].setdefault("<light>", 1)
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
        raise UnusableKnowledge((Fault(name, str(error), "sentence_lexicon_table"),)) from error
    return build_sentence_lexicon(read, name)


def build_sentence_lexicon(read: Mapping[str, object], name: str) -> SentenceLexicon:
    """Return the lexicon that parsed tables describe; ``name`` stands in the faults.

    Raises:
        UnusableKnowledge: A table is missing or unknown, or a pattern names a class or a field that does not exist.
    """
    try:
        file = _File.model_validate(read)
    except ValidationError as error:
        raise UnusableKnowledge(
            tuple(
                Fault(".".join((name, *map(str, one["loc"]))), str(one["input"]), "sentence_lexicon_table")
                for one in error.errors()
            )
        ) from error
    faults: list[Fault] = []
    gaps = {**GAPS, **{str(gap): words for gap, words in file.gaps.items()}}
    letters = {ord(letter): plain for letter, plain in file.letters.items()}
    classes = {
        name: [form for phrase in held for form in _inflected(phrase.translate(letters), file.endings)]
        for name, held in file.classes.items()
    }
    units = {
        field: Unit(path=table.path, factors={f"<{unit}>": factor for unit, factor in table.factors.items()})
        for field, table in file.units.items()
    }
    rules: dict[str, list[Rule]] = {}
    named = set(PLACE_CLASSES)
    literals: set[str] = set()
    for line, rule in _lines(file):
        try:
            patterns = compile_pattern(line.translate(letters), units, gaps)
        except (KeyError, ValueError):
            faults.append(Fault(f"{name}.{rule.about}", line, "lexicon_pattern"))
            continue
        for pattern in patterns:
            wanted = {alternative for element in pattern for alternative in element.names}
            of_class = {one.strip("<>") for one in wanted if one.startswith("<")}
            faults.extend(
                Fault(f"{name}.{rule.about}", one, "lexicon_pattern") for one in sorted(of_class - classes.keys())
            )
            literals |= {one for one in wanted if not one.startswith("<")}
            named |= of_class & classes.keys()
            for first in pattern[0].names or (NUMBER,):
                rules.setdefault(first, []).append(replace(rule, pattern=pattern))
    if faults:
        raise UnusableKnowledge(tuple(faults))
    phrases = _index(classes)
    return SentenceLexicon(
        phrases=MappingProxyType({first: tuple(held) for first, held in phrases.items()}),
        rules=MappingProxyType({first: tuple(held) for first, held in rules.items()}),
        units=MappingProxyType(units),
        spelling=_spelling(
            phrases,
            (literals | _words_of(named, classes)) - _words_of(classes.keys() & FUNCTION_CLASSES, classes),
            file,
        ),
        readings=load_lexicon(),
    )


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Said(_Table):
    say: str
    where: str


class _FindingTable(_Table):
    seen: tuple[str | _Said, ...]
    ask: tuple[str | _Said, ...] = ()
    absent: tuple[str | _Said, ...] = ()


class _SettingTable(_Table):
    say: tuple[str, ...]
    set: str = ""
    to: bool | int | float | str | None = None
    denied: bool | int | float | str | None = None


class _UnitTable(_Table):
    path: str
    factors: dict[str, float]


class _Compounds(_Table):
    first: tuple[str, ...] = ()
    last: tuple[str, ...] = ()


class _File(_Table):
    letters: dict[Annotated[str, Field(min_length=1, max_length=1)], str] = {}
    decimal_comma: bool = False
    endings: tuple[str, ...] = ()
    gaps: dict[Literal["~", ".", ".."], Annotated[int, Field(ge=1, le=12)]] = {}
    compounds: _Compounds = _Compounds()
    classes: dict[str, list[str]]
    ordinary: dict[Literal["words"], list[str]]
    units: dict[str, _UnitTable]
    findings: dict[str, _FindingTable]
    settings: tuple[_SettingTable, ...]


def _lines(file: _File) -> Iterator[tuple[str, Rule]]:
    for about, table in file.findings.items():
        entries: tuple[tuple[Kind, tuple[str | _Said, ...]], ...] = (
            ("seen", table.seen),
            ("ask", table.ask),
            ("absent", table.absent),
        )
        for kind, said in entries:
            for entry in said:
                if isinstance(entry, str):
                    yield entry, Rule(about, kind, ())
                else:
                    yield entry.say, Rule(about, kind, (), entry.where)
    for setting in file.settings:
        for line in setting.say:
            yield line, Rule(setting.set, "setting", (), value=setting.to, denied=setting.denied)


Phrases = dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]


def _index(classes: Mapping[str, list[str]]) -> Phrases:
    members: dict[tuple[str, ...], set[str]] = {}
    for name in classes:
        for phrase in _spell_out(name, classes, frozenset()):
            members.setdefault(tuple(phrase.split(" ")), set()).add(f"<{name}>")
    # Split at single blanks only: a newline is a mark of its own.
    index: Phrases = {}
    for words, names in members.items():
        index.setdefault(words[0], []).append((words, tuple(sorted(names))))
    return index


def _inflected(phrase: str, endings: tuple[str, ...]) -> Iterator[str]:
    """Yield a phrase with each ending that a ``*`` after a word stands for."""
    if "*" not in phrase or not endings:
        yield phrase
        return
    for forms in product(
        *([word[:-1] + end for end in endings] if word[1:].endswith("*") else [word] for word in phrase.split(" "))
    ):
        yield " ".join(forms)


def _spell_out(name: str, classes: Mapping[str, list[str]], above: frozenset[str]) -> Iterator[str]:
    """Yield the phrases of a class, with those of the classes it includes."""
    for phrase in classes[name]:
        if not phrase.startswith("<") or phrase == "<":
            yield phrase
        elif phrase.strip("<>") not in above:
            yield from _spell_out(phrase.strip("<>"), classes, above | {name})


def _words_of(named: set[str], classes: Mapping[str, list[str]]) -> set[str]:
    return {word for name in named for phrase in _spell_out(name, classes, frozenset()) for word in phrase.split()}


def _spelling(phrases: Phrases, of_trade: set[str], file: _File) -> Spelling:
    # Slips are put right towards what can be seen and set, never towards a word that would make a sentence void.
    letters = {ord(letter): plain for letter, plain in file.letters.items()}
    every_word = {word for held in phrases.values() for phrase, _ in held for word in phrase}
    ordinary = {word.translate(letters) for word in file.ordinary["words"]}
    last = tuple(part.translate(letters) for part in file.compounds.last)
    by_letter: dict[str, list[str]] = {}
    for word in sorted(of_trade):
        if len(word) >= SHORTEST_CORRECTED - 1 and word.isalpha() and word.isascii():
            by_letter.setdefault(word[0], []).append(word)
    return Spelling(
        words=MappingProxyType({letter: tuple(words) for letter, words in by_letter.items()}),
        known=frozenset(of_trade | every_word | ordinary),
        letters=MappingProxyType(letters),
        compounds=MappingProxyType({first.translate(letters): last for first in file.compounds.first}),
        decimal_comma=file.decimal_comma,
    )
