"""A text of whatever language in; what was understood of it out, read in the language it is most probably written in.

People write in the language of their group as often as in that of their client. This file must never know a word of any
language.
"""

from collections.abc import Iterator, Mapping
from importlib.resources import files
from types import MappingProxyType

from core.intake.sentence_lexicon import SentenceLexicon, load_sentence_lexicon
from core.intake.sentences import Heard, read_sentence
from core.intake.tokens import split_tokens
from core.knowledge import Knowledge

OTHERWISE = "en"
"""Language of whoever's own there is no lexicon for."""


def sentence_languages() -> tuple[str, ...]:
    """Return the tags of all languages sentences can be read in, in order of the alphabet."""
    names = (file.name for file in (files("core.intake") / "data").iterdir())
    return tuple(
        sorted(
            name.removeprefix("sentences_").removesuffix(".toml")
            for name in names
            if name.startswith("sentences_") and name.endswith(".toml")
        )
    )


def load_sentence_lexicons() -> Mapping[str, SentenceLexicon]:
    """Read the lexicons of all languages.

    Raises:
        UnusableKnowledge: One of them cannot be used.
    """
    return MappingProxyType({language: load_sentence_lexicon(language) for language in sentence_languages()})


def hear_sentence(text: str, language: str, lexicons: Mapping[str, SentenceLexicon], knowledge: Knowledge) -> Heard:
    """Return what a message says, read in the asker's language or in another in which it makes more sense.

    Another language is only tried where it has at least as many of the words: a condition or a question of one language
    would otherwise be taken for a plain statement of another. Among those in which something was understood, the one
    that leaves the least unread is taken; the asker's where that does not decide.

    Args:
        text: As typed, at most ``LONGEST`` characters, of any content.
        language: Tag of the asker's client, such as ``de`` or ``en-GB``.
        lexicons: Language to its lexicon; ``OTHERWISE`` among them.
        knowledge: For the findings and places there are.

    Raises:
        UnusableInput: The text is too long.
    """
    own = _base(language) if _base(language) in lexicons else OTHERWISE
    heard = read_sentence(text, lexicons[own], knowledge)
    known = _known(text, lexicons[own])
    readings = [heard]
    readings.extend(read_sentence(text, lexicons[other], knowledge) for other in _others(text, own, known, lexicons))
    # The first of equals is the asker's own.
    return min(readings, key=lambda one: (not _says_something(one), _unread(one)))


def _others(text: str, own: str, known: int, lexicons: Mapping[str, SentenceLexicon]) -> Iterator[str]:
    return (other for other in lexicons if other != own and _known(text, lexicons[other]) >= known)


def _known(text: str, lexicon: SentenceLexicon) -> int:
    """Return how many words of a text a language has, without putting any right."""
    tokens = split_tokens(text, lexicon.spelling)
    return sum(token.is_word and not token.slips and token.text in lexicon.spelling.known for token in tokens)


def _says_something(heard: Heard) -> bool:
    return bool(heard.findings or heard.absences or heard.settings or heard.readings or heard.unsure)


def _unread(heard: Heard) -> int:
    return sum(len(phrase.text) for phrase in heard.unread)


def _base(tag: str) -> str:
    """Return the language of a tag: ``de`` of ``de-AT``."""
    return tag.replace("_", "-").partition("-")[0].casefold()
