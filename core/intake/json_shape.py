"""JSON text in, one object out: size, encoding, syntax, nesting and doubled keys.

In: bytes or text. Out: an ``Object`` of plain values, or faults with line and column. This file must never
know what a report is.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from core.errors import Fault, UnusableInput

LARGEST = 100_000
"""Bytes of one document; a report with every field filled takes about three thousand."""

DEEPEST = 8
"""Nesting of one document; a report needs four."""

LONGEST_INTEGER = 15
"""Digits of a whole number that stays one; longer ones are no value of any field and become floats."""

LONGEST_NAME = 40
NAME = re.compile(rf"[\w-]{{1,{LONGEST_NAME}}}")
"""What a key looks like that can be shown as it is."""

WHOLE = "report"
"""Field name of a fault that belongs to no single field."""


class Object(dict[str, object]):
    """A JSON object that remembers which of its keys stood twice."""

    def __init__(self, pairs: list[tuple[str, object]]) -> None:
        super().__init__(pairs)
        counted = Counter(key for key, _ in pairs)
        self.twice = tuple(key for key, count in counted.items() if count > 1)


@dataclass(frozen=True, slots=True)
class Constant:
    """``NaN``, ``Infinity`` or ``-Infinity``, which are no JSON."""

    name: str


def load_object(raw: bytes | str) -> Object:
    """Return the one object a document holds.

    Raises:
        UnusableInput: It is too large, no UTF-8, no JSON, nested too deeply, no object, or has NaN or a key
        twice.
    """
    text = _decode(raw)
    if _depth(text) > DEEPEST:
        raise UnusableInput((Fault(WHOLE, text[:LARGEST], "too_deep", {"most": DEEPEST}),))
    try:
        document = json.loads(
            text, object_pairs_hook=Object, parse_constant=Constant, parse_int=_parse_int, parse_float=float
        )
    except json.JSONDecodeError as error:
        code = "json_cut_off" if error.pos >= len(text.rstrip()) else "not_json"
        if error.msg.startswith("Unterminated string"):
            code = "json_cut_off"
        place = {"line": error.lineno, "column": error.colno}
        raise UnusableInput((Fault(WHOLE, text[error.pos : error.pos + 40], code, place),)) from None
    if not isinstance(document, Object):
        raise UnusableInput((Fault(WHOLE, show(document), "not_an_object"),))
    faults = tuple(_walk(document, ""))
    if faults:
        raise UnusableInput(faults)
    return document


def name_key(key: str) -> str:
    """Return a key fit for a dotted path: as it is if it looks like a name, else quoted, escaped and shortened."""
    return key if NAME.fullmatch(key) else f"{key[:LONGEST_NAME]!a}"


def show(value: object) -> str:
    """Return a JSON value as text for a fault: texts bare, the rest as JSON."""
    if isinstance(value, str):
        return value
    return json.dumps(value, ensure_ascii=False, default=_spell_constant)


def _spell_constant(value: object) -> str:
    return value.name if isinstance(value, Constant) else str(value)


def _decode(raw: bytes | str) -> str:
    size = len(raw) if isinstance(raw, bytes) else len(raw.encode("utf-8", "surrogatepass"))
    if size > LARGEST:
        raise UnusableInput((Fault(WHOLE, "", "too_large", {"count": size, "most": LARGEST}),))
    if isinstance(raw, str):
        return raw.removeprefix("\ufeff")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        given = raw[error.start : error.start + 8].hex(" ")
        raise UnusableInput((Fault(WHOLE, given, "not_utf8", {"at": error.start + 1}),)) from None


def _depth(text: str) -> int:
    """Return the deepest nesting of brackets outside texts; the decoder itself would recurse."""
    deepest = depth = 0
    inside = escaped = False
    for sign in text:
        if inside:
            inside = escaped or sign != '"'
            escaped = sign == "\\" and not escaped
        elif sign == '"':
            inside = True
        elif sign in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif sign in "]}":
            depth -= 1
    return deepest


def _parse_int(digits: str) -> int | float:
    return int(digits) if len(digits) <= LONGEST_INTEGER else float(digits)


def _walk(value: object, path: str) -> Iterator[Fault]:
    if isinstance(value, Constant):
        yield Fault(path, value.name, "json_constant")
    elif isinstance(value, Object):
        for key in value.twice:
            yield Fault(f"{path}.{name_key(key)}".lstrip("."), show(value[key]), "key_twice")
        for key, one in value.items():
            yield from _walk(one, f"{path}.{name_key(key)}".lstrip("."))
    elif isinstance(value, list):
        for index, one in enumerate(value):
            yield from _walk(one, f"{path}[{index}]")
