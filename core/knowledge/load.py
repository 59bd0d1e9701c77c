"""Data files in, one cross-checked ``Knowledge`` out, or every fault of every file at once.

A file ``<part>.toml`` holds one table per entry, the table's name being the entry's identifier. This file
must never know a particular cause, finding or remedy, nor the words for a fault.
"""

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError
from pydantic_core import ErrorDetails
from rapidfuzz import process

from core.errors import Fault, UnusableKnowledge
from core.knowledge.check import check_completeness, check_references
from core.knowledge.schema import (
    Adjuster,
    Cause,
    Caution,
    Check,
    Entry,
    Finding,
    Guide,
    Knowledge,
    Norm,
    NormName,
    Place,
    PlaceProfile,
    Remedy,
    Source,
)
from core.report import Identifier

Table = Mapping[str, object]
E = TypeVar("E", bound=Entry)


def load_knowledge(folder: Traversable | Path | None = None) -> Knowledge:
    """Read and cross-check all data files.

    Args:
        folder: Where the files lie; the ones that ship with platewright if not given.

    Raises:
        UnusableKnowledge: One fault per fault, of every file at once.
    """
    faults: list[Fault] = []
    raw = _read(folder if folder is not None else files("core.knowledge") / "data", faults)
    tables = _parse(raw, faults)
    knowledge = Knowledge(
        version=_digest(raw),
        causes=_entries("causes", Cause, tables, faults),
        findings=_entries("findings", Finding, tables, faults),
        places=_entries("places", Place, tables, faults),
        profiles=_entries("profiles", PlaceProfile, tables, faults),
        norms=_entries("norms", Norm, tables, faults),
        remedies=_entries("remedies", Remedy, tables, faults),
        checks=_entries("checks", Check, tables, faults),
        cautions=_entries("cautions", Caution, tables, faults),
        sources=_entries("sources", Source, tables, faults),
        adjusters=_entries("adjusters", Adjuster, tables, faults),
        guides=_entries("guides", Guide, tables, faults),
    )
    # An entry that could not be read still exists: whoever refers to it is not at fault, and what it would
    # have completed is not reported as missing.
    whole = not faults
    faults.extend(check_references(knowledge, {part: tuple(table) for part, table in tables.items()}))
    if whole:
        faults.extend(check_completeness(knowledge))
    if faults:
        raise UnusableKnowledge(tuple(faults))
    return knowledge


_PARTS = (
    "causes",
    "findings",
    "places",
    "profiles",
    "norms",
    "remedies",
    "checks",
    "cautions",
    "sources",
    "adjusters",
    "guides",
)
_IDENTIFIER: TypeAdapter[str] = TypeAdapter(Identifier)
_NORM_NAME: TypeAdapter[str] = TypeAdapter(NormName)

_CODES: Mapping[str, str] = {
    "missing": "key_missing",
    "extra_forbidden": "key_unknown",
    "literal_error": "entry_not_one_of",
    "string_pattern_mismatch": "no_identifier",
    "greater_than": "entry_out_of_range",
    "greater_than_equal": "entry_out_of_range",
    "less_than": "entry_out_of_range",
    "less_than_equal": "entry_out_of_range",
}
"""pydantic's error types to our fault codes; the rest are ``entry_wrong_type``."""


def _digest(raw: Mapping[str, bytes]) -> str:
    digest = hashlib.sha256()
    for part in sorted(raw):
        digest.update(part.encode() + b"\0" + hashlib.sha256(raw[part]).digest())
    return digest.hexdigest()[:12]


def _read(folder: Traversable | Path, faults: list[Fault]) -> dict[str, bytes]:
    there = {file.name: file for file in folder.iterdir() if file.name.endswith(".toml")} if folder.is_dir() else {}
    wanted = {f"{part}.toml": part for part in _PARTS}
    faults.extend(
        Fault(name, name, "file_unknown", _accepted(name, tuple(wanted)))
        for name in sorted(there)
        if name not in wanted
    )
    faults.extend(Fault(name, "", "file_missing") for name in wanted if name not in there)
    return {part: there[name].read_bytes() for name, part in wanted.items() if name in there}


def _parse(raw: Mapping[str, bytes], faults: list[Fault]) -> Mapping[str, Table]:
    tables: dict[str, Table] = {}
    for part, content in raw.items():
        try:
            tables[part] = tomllib.loads(content.decode("utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            faults.append(Fault(f"{part}.toml", "", "file_not_toml", {"why": str(error)}))
    return tables


def _entries(part: str, shape: type[E], tables: Mapping[str, Table], faults: list[Fault]) -> Mapping[str, E]:
    entries: dict[str, E] = {}
    for name, table in tables.get(part, {}).items():
        try:
            (_NORM_NAME if shape is Norm else _IDENTIFIER).validate_python(name)
            # By way of JSON, since only there strict validation takes a list for a tuple.
            entries[name] = shape.model_validate_json(json.dumps(table, default=str), strict=True)
        except ValidationError as error:
            faults.extend(_faults(f"{part}.toml: {name}", shape, error))
    return MappingProxyType(entries)


def _faults(where: str, shape: type[Entry], error: ValidationError) -> Iterator[Fault]:
    for detail in error.errors(include_url=False, include_context=True):
        path = [str(step) for step in detail["loc"] if step != "[key]"]
        code = _CODES.get(detail["type"], "entry_wrong_type")
        given = "" if code == "key_missing" else path[-1] if code == "key_unknown" else str(detail["input"])
        yield Fault(".".join((where, *path)), given, code, _values(code, shape, given, detail))


def _values(code: str, shape: type[Entry], given: str, detail: ErrorDetails) -> Mapping[str, object]:
    if code == "key_unknown":
        return _accepted(given, tuple(shape.model_fields))
    context = detail.get("ctx") or {}
    return {"accepted": str(context.get("expected", detail["msg"]))}


def _accepted(given: str, known: tuple[str, ...]) -> Mapping[str, object]:
    closest = "".join(name for name, _, _ in process.extract(given, known, limit=1))
    return {"accepted": ", ".join(known), "meant": closest}
