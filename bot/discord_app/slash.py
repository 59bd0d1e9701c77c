"""The table of commands and the words in, the library's slash commands out. Knows no single command.

Every option is an optional text: the core reads it, so that each front end accepts and refuses the same.
"""

import inspect
import logging
from collections.abc import Callable, Coroutine, Iterable
from typing import Any

import discord
from discord import app_commands

from bot.discord_app.contracts import Suggest
from bot.discord_app.desk import Desk
from core.commands import Command, Option
from core.words import Words

LOG = logging.getLogger(__name__)

Interaction = discord.Interaction[Any]
SlashCommand = app_commands.Command[Any, ..., None]

SUGGESTED = frozenset({"findings", "places"})
"""Lists of which several may be named in one option: offered while typing. All others are fixed choices."""

MOST_CHOICES = 25
LONGEST_LABEL = 100


class SlashBuilder:
    """Builds the slash commands that go to one desk."""

    def __init__(self, desk: Desk, words: Words, suggest: Suggest) -> None:
        self._desk = desk
        self._words = words
        self._suggest = suggest

    def build(self, table: Iterable[Command]) -> list[SlashCommand | app_commands.Group]:
        """Return every command of ``table`` in order; names of two words become a group with sub-commands."""
        built: dict[str, SlashCommand | app_commands.Group] = {}
        for command in table:
            first, _, second = command.name.partition(" ")
            if not second:
                built[first] = self._build(command)
                continue
            if first not in built:
                built[first] = app_commands.Group(
                    name=first, description=self._words.say(f"commands.{first}.description")
                )
            group = built[first]
            if not isinstance(group, app_commands.Group):
                raise TypeError(f"{first}: the platform has a command either with sub-commands or by itself")
            group.add_command(self._build(command))
        return list(built.values())

    def _build(self, command: Command) -> SlashCommand:
        async def callback(interaction: Interaction, **options: str | None) -> None:
            await self._desk.take(interaction, command, options)

        # The library reads the options off the signature, which here comes out of the table.
        callback.__signature__ = _signature(command)  # type: ignore[attr-defined] # functions do accept it
        key = f"commands.{command.name.replace(' ', '.')}"
        described = {option.name: self._words.say(f"{key}.options.{option.name}") for option in command.options}
        fixed = {option.name: self._choices(option) for option in command.options if _is_fixed(option)}
        built: SlashCommand = app_commands.Command(
            name=command.name.rpartition(" ")[2],
            description=self._words.say(f"{key}.description"),
            callback=app_commands.describe(**described)(app_commands.choices(**fixed)(callback)),
        )
        for option in command.options:
            if option.choices in SUGGESTED:
                built.autocomplete(option.name)(self._completion(option.name))
        return built

    def _choices(self, option: Option) -> list[app_commands.Choice[str]]:
        choices = [
            app_commands.Choice(name=label, value=value)
            for value, label in self._words.under(f"choices.{option.choices}")
        ]
        if not 0 < len(choices) <= MOST_CHOICES:
            raise ValueError(
                f"choices.{option.choices}: {len(choices)} entries, the platform takes 1 to {MOST_CHOICES}"
            )
        return choices

    def _completion(
        self, option: str
    ) -> Callable[[Interaction, str], Coroutine[Any, Any, list[app_commands.Choice[str]]]]:
        async def complete(_interaction: Interaction, typed: str) -> list[app_commands.Choice[str]]:
            try:
                pairs = self._suggest(option, typed)
            except Exception:
                # The library would swallow it; the person can still type on.
                LOG.exception("no suggestions", extra={"option": option})
                return []
            # A value too long to be carried cannot be shortened without changing what it means.
            fitting = [(label, value) for label, value in pairs if label and 0 < len(value) <= LONGEST_LABEL]
            return [
                app_commands.Choice(
                    name=label if len(label) <= LONGEST_LABEL else f"{label[: LONGEST_LABEL - 1]}…",
                    value=value,
                )
                for label, value in fitting[:MOST_CHOICES]
            ]

        return complete


def _is_fixed(option: Option) -> bool:
    return option.choices is not None and option.choices not in SUGGESTED


def _signature(command: Command) -> inspect.Signature:
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    return inspect.Signature(
        [
            inspect.Parameter("interaction", kind, annotation=Interaction),
            *(inspect.Parameter(option.name, kind, default=None, annotation=str | None) for option in command.options),
        ]
    )
