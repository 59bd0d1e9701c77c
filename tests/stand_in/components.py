"""The rules for single components of a message: components at every depth in, sentences about what they break out.

Source: the platform's developer documentation, API v10, "Component reference", read in November 2026.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from stand_in.measures import (
    BUTTON,
    CONTAINER,
    FILE,
    FILE_KEY,
    GALLERY,
    ROW,
    SECTION,
    SELECT,
    SELECTS,
    SEPARATOR,
    TEXT,
    THUMBNAIL,
    length,
)

Component = Mapping[str, Any]

_COMMON = {"type", "id"}
_CHOICE = {"custom_id", "placeholder", "min_values", "max_values", "disabled", "required"}
KEYS = {
    ROW: {"components"},
    BUTTON: {"style", "label", "emoji", "custom_id", "sku_id", "url", "disabled"},
    SELECT: {*_CHOICE, "options"},
    **{key: {*_CHOICE, "default_values"} for key in SELECTS - {SELECT, 8}},
    8: {*_CHOICE, "default_values", "channel_types"},
    SECTION: {"components", "accessory"},
    TEXT: {"content"},
    THUMBNAIL: {"media", "description", "spoiler"},
    GALLERY: {"items"},
    FILE: {FILE_KEY, "spoiler", "name", "size"},
    SEPARATOR: {"divider", "spacing"},
    CONTAINER: {"components", "accent_color", "spoiler"},
}
"""Type of component to the keys it may have beside type and number."""
V2_ONLY = frozenset({SECTION, TEXT, THUMBNAIL, GALLERY, FILE, SEPARATOR, CONTAINER})
IN_CONTAINER = frozenset({ROW, SECTION, TEXT, GALLERY, FILE, SEPARATOR})
LINK, SHOP = 5, 6


def faults_of_components(top: Iterable[Component], everything: Iterable[Component]) -> list[str]:
    """Check what stands at the top of a message, and every component at every depth."""
    everything = list(everything)
    allowed = IN_CONTAINER | {CONTAINER}
    found = [f"a component of type {one['type']} at the top" for one in top if one["type"] not in allowed]
    ids = [one["custom_id"] for one in everything if "custom_id" in one]
    if len(set(ids)) != len(ids):
        found.append("two components of one custom_id")
    found += [f"custom_id takes 1 to 100: {one!r}" for one in ids if not 1 <= length(one) <= 100]
    for one in everything:
        if one["type"] not in KEYS:
            found.append(f"a component of type {one['type']} in a message")
            continue
        found += unknown_keys(one, KEYS[one["type"]])
        found += _RULES.get(one["type"], _no_rule)(one)
    return found


def unknown_keys(one: Component, known: set[str]) -> list[str]:
    """Say which keys a component may not have."""
    return [f"component {one['type']}: unknown key {key}" for key in one if key not in known | _COMMON]


def faults_of_select(one: Component) -> Iterator[str]:
    """Check a menu, in a message or a form."""
    if length(one.get("placeholder") or "") > 150:
        yield "placeholder of a menu takes 150"
    least, most = one.get("min_values", 1), one.get("max_values", 1)
    if not (0 <= least <= 25 and 1 <= most <= 25 and least <= most):
        yield "a menu takes 0 to 25 values"
    if one["type"] == SELECT:
        yield from faults_of_options(one.get("options") or [], least=1, most=25)
        if sum(bool(option.get("default")) for option in one.get("options") or []) > most:
            yield "more preselected than may be chosen"


def faults_of_options(options: list[Component], *, least: int, most: int) -> Iterator[str]:
    """Check the list a person chooses from."""
    if not least <= len(options) <= most:
        yield f"{least} to {most} options, not {len(options)}"
    if len({option["value"] for option in options}) != len(options):
        yield "two options of one value"
    for option in options:
        if not 1 <= length(option["label"].strip()) <= 100 or not 1 <= length(str(option["value"])) <= 100:
            yield f"label and value of an option take 1 to 100: {option['label']}"
        if not 0 <= length(option.get("description") or "") <= 100:
            yield f"description of an option takes 100: {option['description']}"
        for key in option.keys() - {"label", "value", "description", "emoji", "default"}:
            yield f"option: unknown key {key}"


def _row(one: Component) -> Iterator[str]:
    kinds = [inner["type"] for inner in one["components"]]
    if not (kinds and set(kinds) == {BUTTON} and len(kinds) <= 5) and not (len(kinds) == 1 and kinds[0] in SELECTS):
        yield "a row takes 1 to 5 buttons or one menu"


def _button(one: Component) -> Iterator[str]:
    label, style = (one.get("label") or "").strip(), one.get("style")
    if not (1 <= length(label) <= 80 or (not label and one.get("emoji"))):
        yield "label of a button takes 1 to 80"
    if style not in range(1, 7):
        yield f"a button of style {style}"
    elif style in {LINK, SHOP}:
        if "custom_id" in one or ("url" in one) != (style == LINK):
            yield "a link has an address and no custom_id"
    elif not one.get("custom_id") or "url" in one:
        yield "a button has a custom_id and no address"


def _section(one: Component) -> Iterator[str]:
    if not 1 <= len(one["components"]) <= 3 or any(inner["type"] != TEXT for inner in one["components"]):
        yield "a section takes 1 to 3 texts"
    if (one.get("accessory") or {}).get("type") not in {BUTTON, THUMBNAIL}:
        yield "a section has a button or a thumbnail beside it"


def _text(one: Component) -> Iterator[str]:
    if not one["content"].strip():
        yield "an empty text display"


def _gallery(one: Component) -> Iterator[str]:
    items = one.get("items") or []
    if not 1 <= len(items) <= 10:
        yield "a gallery takes 1 to 10 pictures"
    if any(length(item.get("description") or "") > 1024 for item in items):
        yield "alt text of a picture over 1024"
    for item in items:
        for key in item.keys() - {"media", "description", "spoiler"}:
            yield f"picture: unknown key {key}"


def _file(one: Component) -> Iterator[str]:
    if not one[FILE_KEY]["url"].startswith("attachment://"):
        yield "a file component shows attachments only"


def _separator(one: Component) -> Iterator[str]:
    if one.get("spacing", 1) not in {1, 2}:
        yield "spacing is 1 or 2"


def _container(one: Component) -> Iterator[str]:
    for inner in one["components"]:
        if inner["type"] not in IN_CONTAINER:
            yield f"a component of type {inner['type']} in a container"
    if not 0 <= (one.get("accent_color") or 0) <= 0xFFFFFF:
        yield "no such colour"


def _no_rule(_one: Component) -> Iterator[str]:
    yield from ()


_RULES = {
    ROW: _row,
    BUTTON: _button,
    **dict.fromkeys(SELECTS, faults_of_select),
    SECTION: _section,
    TEXT: _text,
    GALLERY: _gallery,
    FILE: _file,
    SEPARATOR: _separator,
    CONTAINER: _container,
}
