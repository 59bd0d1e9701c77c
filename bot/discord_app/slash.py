"""The table of commands and the words in, the library's slash commands and menu entries out. Knows no single command.

Every option is optional, and but for roles and channels, of which it is the identifier, a text: the core reads it, so
that each front end accepts and refuses the same. Names stay as the table has them; whatever else people read is
registered in every language there is.
"""

import inspect
import logging
from collections.abc import Callable, Coroutine, Iterable
from typing import Any

import discord
from discord import app_commands

from bot.discord_app.contracts import Suggest
from bot.discord_app.desk import Desk
from bot.discord_app.translation import localised
from core.commands import Command, Option
from core.words import Words

LOG = logging.getLogger(__name__)

Interaction = discord.Interaction[Any]
SlashCommand = app_commands.Command[Any, ..., None]
Built = SlashCommand | app_commands.Group | app_commands.ContextMenu

SUGGESTED = frozenset({"findings", "places", "causes", "remedies"})
"""Lists too long to be fixed choices, or of which several may be named in one option: offered while typing."""

MOST_CHOICES = 25
LONGEST_LABEL = 100

ADMINISTRATORS = discord.Permissions(manage_guild=True)
"""Who sees commands for administrators, unless the community says otherwise; the service itself checks who may."""


class SlashBuilder:
    """Builds the commands that go to one desk."""

    def __init__(self, desk: Desk, words: Words, suggest: Suggest) -> None:
        self._desk = desk
        self._words = words
        self._suggest = suggest

    def build(self, table: Iterable[Command]) -> list[Built]:
        """Return every command of ``table`` in order; names of two words become a group with sub-commands."""
        built: dict[str, Built] = {}
        gathered: dict[str, list[Command]] = {}
        for command in table:
            if command.menu:
                built[command.name] = self._entry(command)
                gathered[command.name] = [command]
                continue
            first, _, second = command.name.partition(" ")
            gathered.setdefault(first, []).append(command)
            if not second:
                built[first] = self._build(command)
                continue
            if first not in built:
                built[first] = app_commands.Group(name=first, description=self._say(f"commands.{first}.description"))
            group = built[first]
            if not isinstance(group, app_commands.Group):
                raise TypeError(f"{first}: the platform has a command either with sub-commands or by itself")
            group.add_command(self._build(command))
        for name, one in built.items():
            _restrict(one, gathered[name])
        return list(built.values())

    def _say(self, key: str) -> app_commands.locale_str:
        return localised(self._words, key)

    def _build(self, command: Command) -> SlashCommand:
        async def callback(interaction: Interaction, **options: str | None) -> None:
            await self._desk.take(interaction, command, options)

        # The library reads the options off the signature, which here comes out of the table.
        callback.__signature__ = _signature(command)  # type: ignore[attr-defined] # functions do accept it
        key = f"commands.{command.name.replace(' ', '.')}"
        described = {option.name: self._say(f"{key}.options.{option.name}") for option in command.options}
        fixed = {option.name: self._choices(option) for option in command.options if _is_fixed(option)}
        built: SlashCommand = app_commands.Command(
            name=command.name.rpartition(" ")[2],
            description=self._say(f"{key}.description"),
            callback=app_commands.describe(**described)(app_commands.choices(**fixed)(callback)),
        )
        for option in command.options:
            if option.choices in SUGGESTED:
                built.autocomplete(option.name)(self._completion(option.choices))
        return built

    def _entry(self, command: Command) -> app_commands.ContextMenu:
        """Return the entry in the menu of a message."""

        async def callback(interaction: Interaction, message: discord.Message) -> None:
            await self._desk.read_message(interaction, command, message)

        return app_commands.ContextMenu(name=self._say(f"commands.{command.name}.menu"), callback=callback)

    def _choices(self, option: Option) -> list[app_commands.Choice[str]]:
        key = f"choices.{option.choices}"
        choices = [
            app_commands.Choice(name=self._say(f"{key}.{value}"), value=value) for value, _ in self._words.under(key)
        ]
        if not 0 < len(choices) <= MOST_CHOICES:
            raise ValueError(f"{key}: {len(choices)} entries, the platform takes 1 to {MOST_CHOICES}")
        return choices

    def _completion(
        self, choices: str
    ) -> Callable[[Interaction, str], Coroutine[Any, Any, list[app_commands.Choice[str]]]]:
        async def complete(interaction: Interaction, typed: str) -> list[app_commands.Choice[str]]:
            try:
                pairs = self._suggest(choices, typed, str(interaction.locale))
            except Exception:
                # The library would swallow it; the person can still type on.
                LOG.exception("no suggestions", extra={"choices": choices})
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


class _Identifier(app_commands.Transformer):
    """Takes one of the community's own roles or channels for its identifier."""

    async def transform(self, _interaction: Interaction, value: discord.abc.Snowflake, /) -> str:
        return str(value.id)


class RoleOption(_Identifier):
    """A role."""

    @property
    def type(self) -> discord.AppCommandOptionType:
        """Return what the platform offers."""
        return discord.AppCommandOptionType.role


class ChannelOption(_Identifier):
    """A channel in which people write."""

    @property
    def type(self) -> discord.AppCommandOptionType:
        """Return what the platform offers."""
        return discord.AppCommandOptionType.channel

    @property
    def channel_types(self) -> list[discord.ChannelType]:
        """Return which channels: a post in a forum is a thread of it."""
        return [discord.ChannelType.text, discord.ChannelType.news, discord.ChannelType.forum]


_ANNOTATIONS: dict[str, Any] = {
    "text": str | None,
    "case": str | None,
    "role": app_commands.Transform[str, RoleOption] | None,
    "channel": app_commands.Transform[str, ChannelOption] | None,
}


def _is_fixed(option: Option) -> bool:
    return option.choices is not None and option.choices not in SUGGESTED


def _restrict(built: Built, commands: list[Command]) -> None:
    """Offer a command only where, and to whom, one of those under its name is of use."""
    if not any(command.direct for command in commands):
        built.allowed_contexts = app_commands.AppCommandContext(guild=True, dm_channel=False, private_channel=False)
    if all(command.who == "administrators" for command in commands):
        built.default_permissions = ADMINISTRATORS


def _signature(command: Command) -> inspect.Signature:
    kind = inspect.Parameter.POSITIONAL_OR_KEYWORD
    return inspect.Signature(
        [
            inspect.Parameter("interaction", kind, annotation=Interaction),
            *(
                inspect.Parameter(option.name, kind, default=None, annotation=_ANNOTATIONS[option.kind])
                for option in command.options
            ),
        ]
    )
