"""Law: a number in the knowledge data says where it comes from, in the file itself and not by default."""

import tomllib
from collections.abc import Iterator
from importlib.resources import files

import pytest

DATA = sorted((file for file in (files("core.knowledge") / "data").iterdir()), key=lambda file: file.name)
SIGNS = "places.toml"
"""Left is -1 and right is +1 by definition; that needs no source."""


def numbers(value: object) -> Iterator[float]:
    if isinstance(value, dict):
        for inner in value.values():
            yield from numbers(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers(inner)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value


@pytest.mark.parametrize("file", DATA, ids=lambda file: file.name)
def test_every_number_has_a_source(file):
    sources = tomllib.loads((files("core.knowledge") / "data" / "sources.toml").read_text(encoding="utf-8"))
    entries = tomllib.loads(file.read_text(encoding="utf-8"))
    bare = [name for name, entry in entries.items() if list(numbers(entry)) and entry.get("source") not in sources]
    if file.name == SIGNS:
        assert set(numbers(entries)) <= {-1, 0, 1}
    else:
        assert bare == []


def test_every_source_is_used():
    """A source that no number leans on is left over from one that is gone."""
    entries = {
        file.name: tomllib.loads(file.read_text(encoding="utf-8")) for file in DATA if file.name.endswith(".toml")
    }
    used = {entry.get("source") for table in entries.values() for entry in table.values()}
    assert set(entries["sources.toml"]) - used == set()
