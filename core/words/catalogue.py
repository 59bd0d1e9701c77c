"""Language files in, ready sentences out. Knows nothing of what the sentences are about.

A language is ``core/words/data/<language>/``: TOML files whose tables are merged; a key is the dotted path of a
text. Texts are ``str.format`` templates.
"""

import tomllib
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files

from core.errors import Fault, UnusableKnowledge

GIVEN_SHOWN = 40
"""How many characters of what a person gave are shown back in a fault."""


_DATA = files("core.words") / "data"


@dataclass(frozen=True, slots=True)
class Words:
    """All texts of one language.

    Attributes:
        language: The language's tag, such as ``en``.
        texts: Dotted key to template.
    """

    language: str
    texts: Mapping[str, str]

    def say(self, key: str, /, **values: object) -> str:
        """Return the text at ``key`` with ``values`` filled in.

        Raises:
            UnusableKnowledge: The key does not exist or its template wants a value that was not passed.
        """
        template = self.texts.get(key)
        if template is None:
            raise UnusableKnowledge((Fault(f"words.{self.language}", key, "no_such_text"),))
        try:
            return template.format(**values)
        except (KeyError, IndexError, ValueError) as error:
            raise UnusableKnowledge(
                (Fault(f"words.{self.language}", key, "bad_template", {"why": str(error)}),)
            ) from error

    def has(self, key: str) -> bool:
        """Say whether there is a text at ``key``."""
        return key in self.texts

    def under(self, prefix: str) -> Iterator[tuple[str, str]]:
        """Yield ``(rest of the key, template)`` for every text below ``prefix``, in file order."""
        start = f"{prefix}."
        for key, text in self.texts.items():
            if key.startswith(start):
                yield key.removeprefix(start), text

    def listed(self, items: Sequence[str]) -> str:
        """Return ``a``, ``a and b``, ``a, b and c`` in the language's way."""
        if len(items) <= 1:
            return "".join(items)
        return self.say("lists.last", first=self.say("lists.comma").join(items[:-1]), last=items[-1])

    def fault(self, fault: Fault) -> str:
        """Return one line: which field, what was given, what is accepted."""
        name = self.texts.get(f"fields.{fault.field}", fault.field)
        values = {key: visible(value) if isinstance(value, str) else value for key, value in fault.values.items()}
        return self.say(f"faults.{fault.code}", field=name, given=shown(fault.given), **values)


def capital(text: str) -> str:
    """Return ``text`` with its first letter large, as a sentence or a title begins."""
    return f"{text[:1].upper()}{text[1:]}"


def shown(given: str) -> str:
    """Return ``given`` fit to be shown back: visible, one line, at most ``GIVEN_SHOWN`` characters."""
    return visible(given) if len(given) <= GIVEN_SHOWN else f"{visible(given[: GIVEN_SHOWN - 1])}…"


def visible(text: str) -> str:
    """Return ``text`` with every control, direction and unassigned character spelled as its code point."""
    hidden = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
    return "".join(f"\\u{ord(sign):04x}" if unicodedata.category(sign) in hidden else sign for sign in text)


def languages() -> tuple[str, ...]:
    """Return the tags of all languages there are texts for, in order of the alphabet."""
    return tuple(sorted(folder.name for folder in _DATA.iterdir() if folder.is_dir()))


def load_words(language: str = "en") -> Words:
    """Read all files of one language.

    Raises:
        UnusableKnowledge: There is no such language, a file is no TOML, a value is no text, or a key stands twice.
    """
    folder = _DATA / language
    faults: list[Fault] = []
    texts: dict[str, str] = {}
    if not folder.is_dir():
        raise UnusableKnowledge((Fault("words", language, "no_such_language"),))
    for file in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if not file.name.endswith(".toml"):
            continue
        try:
            tables = tomllib.loads(file.read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            faults.append(Fault(f"words/{language}/{file.name}", str(error), "not_toml"))
            continue
        for key, value in _flatten(tables):
            if not isinstance(value, str):
                faults.append(Fault(f"words/{language}/{file.name}", key, "not_a_text"))
            elif key in texts:
                faults.append(Fault(f"words/{language}/{file.name}", key, "text_twice"))
            else:
                texts[key] = value
    if faults:
        raise UnusableKnowledge(tuple(faults))
    return Words(language, texts)


def _flatten(table: Mapping[str, object], prefix: str = "") -> Iterator[tuple[str, object]]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flatten(value, f"{prefix}{key}.")
        else:
            yield f"{prefix}{key}", value
