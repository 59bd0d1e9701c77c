"""The words people use for positions, lost coupons, units and answers, loaded from data.

In: ``core/intake/data/lexicon_*.toml``, one file per language, merged. Out: one frozen ``Lexicon``, passed
to whoever reads
text. This file must never hold a word of any list, nor know what a unit is worth.
"""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType

from core.errors import Fault, UnusableKnowledge
from core.intake.characters import fold
from core.report import Position

SECTIONS = ("positions", "lost", "units", "answers", "fillers")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lexicon:
    """Folded word or phrase to what it means.

    Attributes:
        positions: Phrase to the position it names.
        lost: Phrases and marks for a coupon that did not stick or was lost.
        units: Phrase to unit id, a key of ``units.UNITS``.
        answers: Phrase to yes or no.
        fillers: Phrases that may stand around readings and change nothing.
        before_unit: Unit words that are only a preposition when another unit follows.
        by: Words that join the two sides of a plate.
    """

    positions: Mapping[str, Position]
    lost: frozenset[str]
    units: Mapping[str, str]
    answers: Mapping[str, bool]
    fillers: frozenset[str]
    before_unit: frozenset[str]
    by: frozenset[str]


def load_lexicon() -> Lexicon:
    """Read and merge the lexicon files of all languages.

    Raises:
        UnusableKnowledge: A file is no TOML, has an unknown table, or gives one word two meanings.
    """
    faults: list[Fault] = []
    tables: dict[str, dict[str, str]] = {section: {} for section in SECTIONS}
    folder = files("core.intake") / "data"
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if file.name.startswith("lexicon_") and file.name.endswith(".toml"):
            faults.extend(_merge(file, tables))
    positions: dict[str, Position] = {}
    for phrase, name in tables["positions"].items():
        try:
            positions[phrase] = Position(name)
        except ValueError:
            faults.append(Fault("lexicon.positions", name, "lexicon_table"))
    if faults:
        raise UnusableKnowledge(tuple(faults))

    def words(section: str, meaning: str) -> frozenset[str]:
        return frozenset(phrase for phrase, meant in tables[section].items() if meant == meaning)

    return Lexicon(
        positions=MappingProxyType(positions),
        lost=words("lost", "words"),
        units=MappingProxyType(tables["units"]),
        answers=MappingProxyType({phrase: meant == "yes" for phrase, meant in tables["answers"].items()}),
        fillers=words("fillers", "words"),
        before_unit=words("fillers", "before_unit"),
        by=words("fillers", "by"),
    )


def _merge(file: Traversable, tables: dict[str, dict[str, str]]) -> Iterator[Fault]:
    try:
        read = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        yield Fault(f"lexicon.{file.name}", str(error), "lexicon_table")
        return
    for section, meanings in read.items():
        if section not in tables or not isinstance(meanings, dict):
            yield Fault(f"lexicon.{file.name}", section, "lexicon_table")
            continue
        for meaning, phrases in meanings.items():
            for phrase in phrases:
                if tables[section].setdefault(fold(phrase), meaning) != meaning:
                    yield Fault(f"lexicon.{file.name}.{section}", phrase, "lexicon_word_twice")
