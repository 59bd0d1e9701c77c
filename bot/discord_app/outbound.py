"""Laid-out messages in, the library's objects out, made afresh for every attempt to send them."""

from collections.abc import Mapping
from io import BytesIO
from types import MappingProxyType

import discord
from discord import ui

from bot.discord_app.render import Message
from core.card import Tone

COLOURS: Mapping[Tone, int] = MappingProxyType(
    {"good": 0x2A8C6A, "watch": 0xC9A227, "act": 0xC2571A, "unsure": 0x6B7A99, "fault": 0x8C2F39}
)
"""A stripe beside the message; the same is said by a sign and a word in the text."""


def draw(message: Message) -> ui.LayoutView:
    """Return the message as components. Needs a running event loop, as the library does."""
    box: ui.Container[ui.LayoutView] = ui.Container(accent_colour=COLOURS.get(message.tone))
    for place, block in enumerate(message.blocks):
        box.add_item(ui.TextDisplay(block))
        if place == 0 and message.pictures:
            box.add_item(
                ui.MediaGallery(
                    *(
                        discord.MediaGalleryItem(f"attachment://{picture.name}", description=picture.alt)
                        for picture in message.pictures
                    )
                )
            )
    view = ui.LayoutView(timeout=60)
    view.add_item(box)
    # Nothing on it can be pressed, so the library has no reason to keep it.
    view.stop()
    return view


def attach(message: Message) -> list[discord.File]:
    """Return the pictures as files with alt text."""
    return [
        discord.File(BytesIO(picture.png), filename=picture.name, description=picture.alt)
        for picture in message.pictures
    ]
