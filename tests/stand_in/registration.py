"""The rules for registering commands: commands in, sentences about what they break out.

Source: the platform's developer documentation, API v10, "Application commands", read in November 2026.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from stand_in.measures import length

NAME = re.compile(r"^[-_a-z0-9äöüß]{1,32}$")
"""Lower-case letters of the languages that are written here; the platform takes those of every script."""
TYPED, ON_PERSON, ON_MESSAGE = 1, 2, 3
COMMAND_OPTION, GROUP_OPTION = 1, 2
TAKES_CHOICES = frozenset({3, 4, 10})
LOCALES = frozenset(
    [
        "id",
        "da",
        "de",
        "en-GB",
        "en-US",
        "es-ES",
        "es-419",
        "fr",
        "hr",
        "it",
        "lt",
        "hu",
        "nl",
        "no",
        "pl",
        "pt-BR",
        "ro",
        "fi",
        "sv-SE",
        "vi",
        "tr",
        "cs",
        "el",
        "bg",
        "ru",
        "uk",
        "hi",
        "th",
        "zh-CN",
        "ja",
        "zh-TW",
        "ko",
    ]
)
COMMAND_KEYS = frozenset(
    [
        "id",
        "type",
        "name",
        "name_localizations",
        "description",
        "description_localizations",
        "options",
        "default_member_permissions",
        "dm_permission",
        "default_permission",
        "integration_types",
        "contexts",
        "nsfw",
        "handler",
    ]
)
OPTION_KEYS = frozenset(
    [
        "type",
        "name",
        "name_localizations",
        "description",
        "description_localizations",
        "required",
        "choices",
        "options",
        "channel_types",
        "min_value",
        "max_value",
        "min_length",
        "max_length",
        "autocomplete",
    ]
)
MOST = {TYPED: 100, ON_PERSON: 15, ON_MESSAGE: 15}


def faults_of_commands(commands: list[Mapping[str, Any]]) -> list[str]:
    """Check a registration."""
    found: list[str] = []
    for kind, count in Counter(kind_of(command) for command in commands).items():
        if count > MOST[kind]:
            found.append(f"at most {MOST[kind]} commands of type {kind}")
    names = [
        (kind_of(command), locale, name)
        for command in commands
        for locale, name in {"": command["name"], **(command.get("name_localizations") or {})}.items()
    ]
    if len(set(names)) != len(names):
        found.append("two commands of one name")
    for command in commands:
        found += [f"command: unknown key {key}" for key in command if key not in COMMAND_KEYS]
        found += _faults_of_places(command)
        if kind_of(command) == TYPED:
            found += _faults_of_typed(command)
        else:
            found += _faults_of_menu(command)
    return found


def kind_of(command: Mapping[str, Any]) -> int:
    """Return whether a command is typed or chosen on something."""
    return command.get("type", TYPED)


def _faults_of_places(command: Mapping[str, Any]) -> Iterator[str]:
    contexts, installed = command.get("contexts"), command.get("integration_types")
    if contexts is not None and (not contexts or not set(contexts) <= {0, 1, 2}):
        yield f"{command['name']}: contexts {contexts}"
    if installed is not None and (not installed or not set(installed) <= {0, 1}):
        yield f"{command['name']}: integration_types {installed}"
    permissions = command.get("default_member_permissions")
    if permissions is not None and not str(permissions).isdigit():
        yield f"{command['name']}: default_member_permissions {permissions!r}"


def _faults_of_menu(command: Mapping[str, Any]) -> Iterator[str]:
    for name in (command["name"], *(command.get("name_localizations") or {}).values()):
        if not 1 <= length(name.strip()) <= 32:
            yield f"name {name!r}"
    if command.get("description") or command.get("options"):
        yield f"{command['name']}: a menu command has neither description nor options"
    yield from _faults_of_locales(command)


def _faults_of_typed(command: Mapping[str, Any]) -> Iterator[str]:
    written = 0
    for depth, one in _with_options(command):
        written += _longest(one, "name") + _longest(one, "description")
        written += sum(_longest(c, "name") + length(str(c["value"])) for c in one.get("choices") or [])
        yield from _faults_of_option(one)
        if depth:
            yield from (f"{one['name']}: unknown key {key}" for key in one if key not in OPTION_KEYS)
            if not 1 <= one["type"] <= 11:
                yield f"{one['name']}: an option of type {one['type']}"
        if one.get("type") == GROUP_OPTION and depth != 1:
            yield f"{one['name']}: a group inside a group"
        if depth and one["type"] == COMMAND_OPTION and depth > 2:
            yield f"{one['name']}: a command inside a command"
    if written > 8000:
        yield f"{command['name']}: {written} characters, at most 8000"


def _longest(one: Mapping[str, Any], key: str) -> int:
    """Of a text and its translations the longest counts."""
    return max(length(text) for text in (one.get(key) or "", *(one.get(f"{key}_localizations") or {}).values()))


def _with_options(command: Mapping[str, Any], depth: int = 0) -> Iterator[tuple[int, Mapping[str, Any]]]:
    yield depth, command
    for option in command.get("options") or []:
        yield from _with_options(option, depth + 1)


def _faults_of_option(one: Mapping[str, Any]) -> Iterator[str]:
    for name in (one["name"], *(one.get("name_localizations") or {}).values()):
        if not NAME.match(name):
            yield f"name {name!r}"
    for text in (one["description"], *(one.get("description_localizations") or {}).values()):
        if not 1 <= length(text.strip()) <= 100:
            yield f"{one['name']}: description takes 1 to 100"
    yield from _faults_of_locales(one)
    options = one.get("options") or []
    if len(options) > 25:
        yield f"{one['name']}: at most 25 options"
    if len({option["name"] for option in options}) != len(options):
        yield f"{one['name']}: two options of one name"
    required = [bool(option.get("required")) for option in options]
    if required != sorted(required, reverse=True):
        yield f"{one['name']}: options that must be given come first"
    kinds = {option["type"] in {COMMAND_OPTION, GROUP_OPTION} for option in options}
    if len(kinds) > 1:
        yield f"{one['name']}: commands and options side by side"
    yield from _faults_of_choices(one)


def _faults_of_choices(one: Mapping[str, Any]) -> Iterator[str]:
    choices = one.get("choices") or []
    for choice in choices:
        for name in (choice["name"], *(choice.get("name_localizations") or {}).values()):
            if not 1 <= length(name.strip()) <= 100 or length(str(choice["value"])) > 100:
                yield f"{one['name']}: name and value of a choice take 1 to 100"
        yield from _faults_of_locales(choice)
    if len(choices) > 25:
        yield f"{one['name']}: at most 25 choices"
    if len({choice["name"] for choice in choices}) != len(choices):
        yield f"{one['name']}: two choices of one name"
    if choices and one.get("autocomplete"):
        yield f"{one['name']}: choices exclude autocompletion"
    if (choices or one.get("autocomplete")) and one["type"] not in TAKES_CHOICES:
        yield f"{one['name']}: an option of type {one['type']} takes no choices"


def _faults_of_locales(one: Mapping[str, Any]) -> Iterator[str]:
    for key in ("name_localizations", "description_localizations"):
        for locale in one.get(key) or {}:
            if locale not in LOCALES:
                yield f"{one['name']}: no such locale {locale}"
