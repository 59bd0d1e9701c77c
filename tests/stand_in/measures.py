"""What the platform counts and where it looks: lengths, components at every depth, references to attachments."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

COMPONENTS_V2 = 1 << 15
EPHEMERAL = 1 << 6
LOADING = 1 << 7

ROW, BUTTON, SELECT, TEXT_INPUT = 1, 2, 3, 4
SELECTS = frozenset({3, 5, 6, 7, 8})
SECTION, TEXT, THUMBNAIL, GALLERY, FILE, SEPARATOR, CONTAINER, LABEL = 9, 10, 11, 12, 13, 14, 17, 18
UPLOAD, RADIOS, CHECKBOXES, CHECKBOX = 19, 21, 22, 23
FILE_KEY = "file"


def length(text: str) -> int:
    """UTF-16 units, the strictest way of counting."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def walk(components: Iterable[Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
    """Yield every component at every depth."""
    for component in components:
        yield component
        yield from walk(component.get("components") or [])
        for inner in ("component", "accessory"):
            if component.get(inner):
                yield from walk([component[inner]])


def references(everything: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Yield the address of everything that galleries, files and thumbnails show."""
    for one in everything:
        for shown in (*(one.get("items") or []), one):
            for key in ("media", FILE_KEY):
                if key in shown:
                    yield shown[key]["url"]


def written(data: Mapping[str, Any]) -> str:
    """Return everything written in a message."""
    parts = [data.get("content") or "", *(one.get("content") or "" for one in walk(data.get("components") or []))]
    return "\n".join(part for part in parts if part)
