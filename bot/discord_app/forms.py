"""A command's form: one part for each option that has ``form`` set, five at most.

What is on a list is chosen from it, everything else is typed; beside lists there is room for one's own words. A form
carries its command, and the case it is about, in its identifier and is not remembered here: any number may be open at
once, one that is dismissed costs nothing, and one that is sent after a restart is still understood.

Limits: 25 entries in a list, 100 characters for each (the platform's developer documentation, "Component reference",
API v10).
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import discord
from discord import ui

from bot.discord_app.contracts import Suggest
from core.commands import Command, Option
from core.words import Words

LONGEST_FIELD = 200
LONGEST_TEXT = 1500
MOST_ENTRIES = 25
LONGEST_ENTRY = 100
TEXT = "text"
"""The part for one's own words: no option, but the text of the inquiry."""

_PREFIX = "form"
_MARK = ":"
_CASE = re.compile(r"#?([1-9][0-9]{0,8})")


@dataclass(frozen=True, slots=True)
class Submitted:
    """Which command's form came back, and about which case; nothing where it named none."""

    command: Command
    case: str = ""


def has_form(command: Command) -> bool:
    """Say whether a command has a form."""
    return any(option.form for option in command.options)


def read_case(given: str) -> str | None:
    """Return a case's number as a form carries it, nothing where none was given, ``None`` where it is no number."""
    if not given.strip():
        return ""
    found = _CASE.fullmatch(given.strip())
    return found[1] if found else None


def build_form(command: Command, words: Words, suggest: Suggest, case: str = "") -> ui.Modal:
    """Return the form of ``command``, with words from ``commands.<name>.form``."""
    key = f"commands.{command.name.replace(' ', '.')}.form"
    custom_id = _MARK.join(part for part in (_PREFIX, command.name, case) if part)
    form = ui.Modal(title=words.say(f"{key}.title"), custom_id=custom_id, timeout=60)
    for name, component in _parts(command, key, words, suggest):
        form.add_item(
            ui.Label[ui.Modal](
                text=words.say(f"{key}.{name}.label"),
                description=words.say(f"{key}.{name}.hint"),
                component=component,
            )
        )
    # The library keeps forms by identifier, and all of one command share theirs; a finished one is not kept.
    form.stop()
    return form


def read_form(interaction: discord.Interaction[Any], table: Iterable[Command]) -> Submitted | None:
    """Return what the submitted form is about, or ``None`` unless ``build_form`` could have written it."""
    if interaction.data is None:
        return None
    prefix, *parts = str(interaction.data.get("custom_id", "")).split(_MARK)
    name, *case = parts or [""]
    command = next((one for one in table if one.name == name and has_form(one)), None)
    if prefix != _PREFIX or command is None or len(case) > 1 or (case and case[0] != (read_case(case[0]) or None)):
        return None
    return Submitted(command, *case)


def _parts(
    command: Command, key: str, words: Words, suggest: Suggest
) -> Iterator[tuple[str, ui.TextInput[ui.Modal] | ui.Select[ui.Modal]]]:
    chosen = False
    for option in (option for option in command.options if option.form):
        example = words.say(f"{key}.{option.name}.example")
        entries = _entries(option, words, suggest)
        if entries:
            chosen = True
            yield (
                option.name,
                ui.Select[ui.Modal](
                    custom_id=option.name,
                    placeholder=example,
                    # The library and the platform differ in what they take an unsaid value for.
                    required=False,
                    min_values=0,
                    max_values=len(entries),
                    options=entries,
                ),
            )
        else:
            yield (
                option.name,
                ui.TextInput[ui.Modal](
                    custom_id=option.name, placeholder=example, required=False, max_length=LONGEST_FIELD
                ),
            )
    if chosen:
        yield (
            TEXT,
            ui.TextInput[ui.Modal](
                custom_id=TEXT,
                placeholder=words.say(f"{key}.{TEXT}.example"),
                style=discord.TextStyle.paragraph,
                required=False,
                max_length=LONGEST_TEXT,
            ),
        )


def _entries(option: Option, words: Words, suggest: Suggest) -> list[discord.SelectOption]:
    """Return what an option may be chosen from, what is looked for most first."""
    if option.choices is None:
        return []
    fixed = [(label, value) for value, label in words.under(f"choices.{option.choices}")]
    pairs = {value: label for label, value in fixed or suggest(option.choices, "", words.language)}
    return [
        discord.SelectOption(label=label[:LONGEST_ENTRY], value=value)
        for value, label in list(pairs.items())[:MOST_ENTRIES]
        if label and 0 < len(value) <= LONGEST_ENTRY
    ]
