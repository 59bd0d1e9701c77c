"""Knowledge, words and what people call things in; the lists to choose from, ready to be searched, out.

In: the official names of one language, ``data/called_<language>.toml`` and the sentence lexicons of all. This file must
never know an entry of any list nor a word of any language.
"""

import tomllib
from collections.abc import Iterator, Mapping
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, get_args

from pydantic import TypeAdapter, ValidationError

from core.errors import Fault, UnusableKnowledge
from core.intake.sentence_lexicon import SentenceLexicon
from core.intake.suggestions import Entry, SuggestionList, build_list
from core.knowledge import Knowledge
from core.knowledge.schema import Place
from core.words import Words

Choices = Literal["findings", "places", "causes", "remedies", "guides"]
Called = Mapping[Choices, Mapping[str, tuple[str, ...]]]
"""List and entry to what people call the entry."""

SEVERAL = frozenset({"findings", "places"})
"""Lists of which an option takes several."""
UNKNOWN = "unknown"
OF_KIND: Mapping[str, str] = MappingProxyType(
    {"everywhere": "<everywhere>", "edges": "<rim>", "centre": "<middle>", "scattered": "<scattered>"}
)
"""Kind of place to the class of words that sentences name it by."""
UNTELLING = ("<light>", "<the>", "<at>", "<be>", "<join>", "<preposition>", "<negator>", "<degree>", "<soft>", "<stop>")
"""Classes whose words tell nothing of what is looked for."""


def load_called(language: str) -> Called:
    """Read what people call things in one language.

    Raises:
        UnusableKnowledge: The file is missing, is no TOML, or has a list that is not known.
    """
    name = f"called_{language}.toml"
    try:
        read = tomllib.loads((files("core.intake") / "data" / name).read_text(encoding="utf-8"))
        return TypeAdapter(Called).validate_python(read)
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError, ValidationError) as error:
        raise UnusableKnowledge((Fault(name, str(error), "sentence_lexicon_table"),)) from error


def build_suggestions(
    words: Words,
    knowledge: Knowledge,
    called: Mapping[str, Called],
    lexicons: Mapping[str, SentenceLexicon],
) -> Mapping[str, SuggestionList]:
    """Return the lists of one language.

    Args:
        words: Official names.
        knowledge: What there is.
        called: Language to what people call things; the other languages count for less.
        lexicons: Language to how sentences speak of findings and places.
    """
    letters = {letter: plain for lexicon in lexicons.values() for letter, plain in lexicon.spelling.letters.items()}
    return MappingProxyType(
        {
            choices: build_list(
                _entries(choices, words, knowledge, called, lexicons), letters, several=choices in SEVERAL
            )
            for choices in get_args(Choices)
        }
    )


def _entries(
    choices: Choices,
    words: Words,
    knowledge: Knowledge,
    called: Mapping[str, Called],
    lexicons: Mapping[str, SentenceLexicon],
) -> Iterator[Entry]:
    said: dict[str, Mapping[str, frozenset[str]]] = {}
    for language in called.keys() | lexicons.keys():
        heard = _heard(choices, lexicons[language], knowledge) if language in lexicons else {}
        people = called[language].get(choices, {}) if language in called else {}
        said[language] = {
            name: frozenset(people.get(name, ())) | heard.get(name, frozenset()) for name in {*people, *heard}
        }
    nothing = frozenset[str]()
    for name, label in _official(choices, words, knowledge):
        foreign = (of.get(name, nothing) for language, of in said.items() if language != words.language)
        yield Entry(
            name,
            label,
            said.get(words.language, {}).get(name, nothing),
            nothing.union(*foreign),
        )


def _official(choices: Choices, words: Words, knowledge: Knowledge) -> Iterator[tuple[str, str]]:
    if choices == "guides":
        return words.under("choices.guides")
    if choices == "places":
        return ((name, words.say(f"places.{name}")) for name in (*knowledge.places, UNKNOWN))
    held = {"findings": knowledge.findings, "causes": knowledge.causes, "remedies": knowledge.remedies}[choices]
    return ((name, words.say(f"{choices}.{name}.name")) for name in held)


def _heard(choices: Choices, lexicon: SentenceLexicon, knowledge: Knowledge) -> Mapping[str, frozenset[str]]:
    """Return the words by which sentences of one language speak of findings or places."""
    members: dict[str, set[str]] = {}
    for first, held in lexicon.phrases.items():
        for phrase, classes in held:
            for name in classes:
                members.setdefault(name, set()).add(" ".join((first, *phrase[1:])))
    dull = {phrase for name in UNTELLING for phrase in members.get(name, ())}
    if choices == "places":
        return {
            name: frozenset(phrase for one in _classes_of(place) for phrase in members.get(one, ()))
            for name, place in knowledge.places.items()
        }
    if choices != "findings":
        return {}
    said: dict[str, set[str]] = {}
    for rules in lexicon.rules.values():
        for rule in rules:
            if rule.kind in {"seen", "ask"}:
                for name in (name for element in rule.pattern for name in element.names):
                    said.setdefault(rule.about, set()).update(members.get(name, ()) if name.startswith("<") else {name})
    return {name: frozenset(phrases - dull) for name, phrases in said.items()}


def _classes_of(place: Place) -> Iterator[str]:
    if place.kind in OF_KIND:
        yield OF_KIND[place.kind]
    for sides, at in ((("<left>", "<right>"), place.x), (("<front>", "<back>"), place.y)):
        if at:
            yield sides[at > 0]
    if place.y and not place.x:
        yield ("<at_front>", "<at_back>")[place.y > 0]
