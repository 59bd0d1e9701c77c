"""Platform objects in, an Inquiry out. This file must never know what an option means."""

from collections.abc import Iterable, Mapping
from typing import Any

import discord

from bot.discord_app.writing import typed
from core.cases.privacy import DIRECT
from core.commands import Asker, Inquiry


def read_inquiry(
    interaction: discord.Interaction[Any],
    command: str,
    options: Mapping[str, str | None],
    reference: str,
    *,
    text: str = "",
    author: str = "",
) -> Inquiry:
    """Return what was asked, by whom, where and when; options that are missing or blank are absent."""
    given = {name: typed(value).strip() for name, value in options.items() if value is not None}
    return Inquiry(
        command=command,
        options={name: value for name, value in given.items() if value},
        text=typed(text).strip(),
        author=author,
        asker=read_asker(interaction),
        at=interaction.created_at,
        reference=reference,
    )


def read_asker(interaction: discord.Interaction[Any]) -> Asker:
    """Return who asks, where, and what the platform itself says they may do there."""
    user, allowed = interaction.user, interaction.permissions
    roles = user._roles if isinstance(user, discord.Member) else ()  # noqa: SLF001 - ``roles`` lacks those not in the cache
    parent = interaction.channel.parent_id if isinstance(interaction.channel, discord.Thread) else None
    return Asker(
        community=DIRECT if interaction.guild_id is None else str(interaction.guild_id),
        channel=DIRECT if interaction.channel_id is None else str(interaction.channel_id),
        person=str(user.id),
        language=str(interaction.locale),
        roles=frozenset(map(str, roles)),
        administrator=allowed.administrator or allowed.manage_guild,
        parent="" if parent is None else str(parent),
    )


def read_fields(components: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Return custom id to text of every field in a submitted form; of a list, what was chosen, with commas between."""
    fields: dict[str, str] = {}
    for component in components:
        kind = component.get("type")
        if kind == discord.ComponentType.text_input.value:
            fields[str(component["custom_id"])] = str(component.get("value") or "")
        elif kind == discord.ComponentType.select.value:
            fields[str(component["custom_id"])] = ", ".join(map(str, component.get("values") or ()))
        inner = component.get("component")
        fields |= read_fields([*component.get("components", ()), *([inner] if inner else ())])
    return fields
