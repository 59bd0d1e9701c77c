"""Platform objects in, an Inquiry out. This file must never know what an option means."""

from collections.abc import Iterable, Mapping
from typing import Any

import discord

from core.commands import Asker, Inquiry

DIRECT = "direct"
"""The community of a private conversation."""


def read_inquiry(
    interaction: discord.Interaction[Any], command: str, options: Mapping[str, str | None], reference: str
) -> Inquiry:
    """Return what was asked, by whom, where and when; options that are missing or blank are absent."""
    given = {name: value.strip() for name, value in options.items() if value is not None and value.strip()}
    return Inquiry(
        command=command,
        options=given,
        asker=Asker(
            community=DIRECT if interaction.guild_id is None else str(interaction.guild_id),
            channel=DIRECT if interaction.channel_id is None else str(interaction.channel_id),
            person=str(interaction.user.id),
            language=str(interaction.locale),
        ),
        at=interaction.created_at,
        reference=reference,
    )


def read_fields(components: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Return custom id to text of every text field in a submitted form, in whatever rows or labels."""
    fields: dict[str, str] = {}
    for component in components:
        if component.get("type") == discord.ComponentType.text_input.value:
            fields[str(component["custom_id"])] = str(component.get("value") or "")
        inner = component.get("component")
        fields |= read_fields([*component.get("components", ()), *([inner] if inner else ())])
    return fields
