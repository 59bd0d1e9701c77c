"""The platform's documented limits as checks: a body in, sentences about what it breaks out.

Source: the platform's developer documentation, API v10 ("Message resource", "Component reference", "Application
commands", "Receiving and responding to interactions", "Reference: uploading files"), read in November 2026.
"""

import re
from collections.abc import Iterator
from typing import Any

COMPONENTS_V2 = 1 << 15
EPHEMERAL = 1 << 6
NAME = re.compile(r"^[-_a-z0-9]{1,32}$")
FILE_NAME = re.compile(r"^[-_.A-Za-z0-9]+$")
FILE_BYTES = 10 * 1024 * 1024
FILE, FILE_KEY = 13, "file"


def length(text: str) -> int:
    """UTF-16 units, the strictest way of counting."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def walk(components: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield every component at every depth."""
    for component in components:
        yield component
        yield from walk(component.get("components", []))
        for inner in ("component", "accessory"):
            if component.get(inner):
                yield from walk([component[inner]])


def faults_of_message(data: dict[str, Any], files: dict[str, bytes]) -> list[str]:
    """Check a message, together with the files that came with it."""
    found: list[str] = []
    everything = list(walk(data.get("components") or []))
    if (data.get("flags") or 0) & COMPONENTS_V2:
        if data.get("content") or data.get("embeds"):
            found.append("components v2 exclude content and embeds")
        if len(everything) > 40:
            found.append(f"{len(everything)} components, at most 40")
        written = sum(length(one["content"]) for one in everything if one["type"] == 10)
        if written > 4000:
            found.append(f"{written} characters of text, at most 4000")
        if any(one["type"] == 10 and not one["content"].strip() for one in everything):
            found.append("an empty text display")
    else:
        found += _faults_of_classic_message(data, everything)
    return [*found, *_faults_of_buttons(everything), *_faults_of_attachments(data, everything, files)]


def _faults_of_buttons(everything: list[dict[str, Any]]) -> list[str]:
    found: list[str] = []
    buttons = [one for one in everything if one["type"] == 2]
    for one in buttons:
        if not 1 <= length((one.get("label") or "").strip()) <= 80:
            found.append("label of a button takes 1 to 80")
        if not 1 <= length(one["custom_id"]) <= 100:
            found.append("custom_id takes 1 to 100")
    if len({one["custom_id"] for one in buttons}) != len(buttons):
        found.append("two components of one custom_id")
    if any(one["type"] == 1 and not 1 <= len(one["components"]) <= 5 for one in everything):
        found.append("a row takes 1 to 5 buttons")
    return found


def _faults_of_attachments(
    data: dict[str, Any], everything: list[dict[str, Any]], files: dict[str, bytes]
) -> list[str]:
    found: list[str] = []
    attached = {one.get("filename"): one for one in data.get("attachments") or []}
    if len(attached) != len(data.get("attachments") or []):
        found.append("two attachments of one name")
    if len(attached) > 10:
        found.append(f"{len(attached)} attachments, at most 10")
    found += [
        f"alt text of {length(one['description'])}"
        for one in attached.values()
        if length(one.get("description") or "") > 1024
    ]
    found += [f"{name}: no such file came along" for name in attached if name not in files]
    found += [f"{name}: not a name that can be referred to" for name in attached if not FILE_NAME.match(name)]
    found += [f"{name}: over 10 MiB" for name, content in files.items() if len(content) > FILE_BYTES]
    shown = list(references(everything))
    names = [url.removeprefix("attachment://") for url in shown if url.startswith("attachment://")]
    found += [f"attachment://{name} is not attached" for name in names if name not in attached]
    if (data.get("flags") or 0) & COMPONENTS_V2:
        # A message of components shows no attachment by itself.
        found += [f"{name}: attached and nowhere shown" for name in attached if name not in names]
    return [*found, *_faults_of_showing(everything)]


def references(everything: list[dict[str, Any]]) -> Iterator[str]:
    """Yield the address of everything that galleries, files and thumbnails show."""
    for one in everything:
        for shown in (*one.get("items", []), one):
            for key in ("media", FILE_KEY):
                if key in shown:
                    yield shown[key]["url"]


def _faults_of_showing(everything: list[dict[str, Any]]) -> list[str]:
    found: list[str] = []
    for one in everything:
        items = one.get("items", [])
        if one["type"] == 12 and not 1 <= len(items) <= 10:
            found.append("a gallery takes 1 to 10 pictures")
        found += ["alt text of a picture over 1024" for item in items if length(item.get("description") or "") > 1024]
        if one["type"] == FILE and not one[FILE_KEY]["url"].startswith("attachment://"):
            found.append("a file component shows attachments only")
    return found


def _faults_of_classic_message(data: dict[str, Any], everything: list[dict[str, Any]]) -> list[str]:
    found: list[str] = []
    if length(data.get("content") or "") > 2000:
        found.append("content over 2000")
    if any(one["type"] in {9, 10, 11, 12, FILE, 14, 17} for one in everything):
        found.append("a component of v2 without its flag")
    if not (data.get("content") or data.get("embeds") or data.get("attachments") or everything):
        found.append("an empty message")
    return found


def faults_of_modal(data: dict[str, Any]) -> list[str]:
    """Check a form."""
    found: list[str] = []
    if not 1 <= length(data.get("title", "")) <= 45:
        found.append("title takes 1 to 45")
    if not 1 <= length(data.get("custom_id", "")) <= 100:
        found.append("custom_id takes 1 to 100")
    if not 1 <= len(data.get("components", [])) <= 5:
        found.append("a form takes 1 to 5 parts")
    for one in walk(data.get("components", [])):
        if one["type"] == 18 and not 1 <= length(one["label"]) <= 45:
            found.append(f"label takes 1 to 45: {one['label']}")
        if one["type"] == 18 and length(one.get("description") or "") > 100:
            found.append(f"description takes 100: {one['description']}")
        if one["type"] == 4 and length(one.get("placeholder") or "") > 100:
            found.append("placeholder takes 100")
    return found


def faults_of_commands(commands: list[dict[str, Any]]) -> list[str]:
    """Check a registration."""
    found: list[str] = []
    if len(commands) > 100:
        found.append("at most 100 commands")
    if len({command["name"] for command in commands}) != len(commands):
        found.append("two commands of one name")
    for command in commands:
        written = 0
        for one in _with_options(command):
            written += length(one["name"]) + length(one["description"])
            written += sum(length(c["name"]) + length(str(c["value"])) for c in one.get("choices") or [])
            found += _faults_of_option(one)
        if written > 8000:
            found.append(f"{command['name']}: {written} characters, at most 8000")
    return found


def _with_options(command: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield command
    for option in command.get("options") or []:
        yield from _with_options(option)


def _faults_of_option(one: dict[str, Any]) -> list[str]:
    found: list[str] = []
    if not NAME.match(one["name"]):
        found.append(f"name {one['name']!r}")
    if not 1 <= length(one["description"]) <= 100:
        found.append(f"{one['name']}: description takes 1 to 100")
    if len(one.get("options") or []) > 25:
        found.append(f"{one['name']}: at most 25 options")
    choices = one.get("choices") or []
    if len(choices) > 25 or any(not 1 <= length(c["name"]) <= 100 or length(str(c["value"])) > 100 for c in choices):
        found.append(f"{one['name']}: at most 25 choices of 100")
    if choices and one.get("autocomplete"):
        found.append(f"{one['name']}: choices exclude autocompletion")
    return found


def faults_of_suggestions(data: dict[str, Any]) -> list[str]:
    """Check an answer to autocompletion."""
    choices = data.get("choices", [])
    wrong = [c for c in choices if not 1 <= length(c["name"]) <= 100 or not 1 <= length(c["value"]) <= 100]
    return (["at most 25 suggestions"] if len(choices) > 25 else []) + [f"suggestion {c}" for c in wrong]
