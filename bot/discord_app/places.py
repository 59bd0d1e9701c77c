"""Where a message of ours stands, as text to keep and back again.

Of a private conversation the channel is left out: whoever keeps it could tell from it who it was. This file must never
know what stands there.
"""

import re
from dataclasses import dataclass
from typing import Any

import discord

from core.cases.privacy import DIRECT

_KEPT = re.compile(rf"([1-9][0-9]{{0,19}}|{DIRECT})/([1-9][0-9]{{0,19}})")


@dataclass(frozen=True, slots=True)
class Place:
    """A message: its channel, 0 for the private conversation that is going on, and its identifier."""

    channel: int
    message: int

    def __str__(self) -> str:
        return f"{self.channel or DIRECT}/{self.message}"

    def channel_for(self, interaction: discord.Interaction[Any]) -> int:
        """Return the channel, seen from an interaction."""
        return self.channel or interaction.channel_id or 0


def read_place(kept: str) -> Place | None:
    """Return the place that was kept, or ``None`` where it is none of ours."""
    found = _KEPT.fullmatch(kept)
    if found is None:
        return None
    channel, message = found.groups()
    return Place(0 if channel == DIRECT else int(channel), int(message))


def place_of(interaction: discord.Interaction[Any], message: int) -> Place:
    """Return the place of a message in the channel of an interaction."""
    return Place(0 if interaction.guild_id is None else interaction.channel_id or 0, message)


def pressed_place(interaction: discord.Interaction[Any]) -> Place | None:
    """Return the message whose button was pressed, or led to the form that was submitted."""
    return None if interaction.message is None else place_of(interaction, interaction.message.id)
