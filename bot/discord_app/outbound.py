"""Laid-out messages in, the library's objects out, made afresh for every attempt to send them.

Also a message of ours as the platform shows it, drawn again with its buttons changed.
"""

from collections.abc import Mapping
from io import BytesIO
from types import MappingProxyType
from typing import Literal

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
    for file in message.files:
        box.add_item(ui.File(f"attachment://{file.name}"))
    for row in message.rows:
        box.add_item(ui.ActionRow(*(ui.Button(label=one.label, custom_id=one.custom_id) for one in row)))
    view = ui.LayoutView(timeout=60)
    view.add_item(box)
    # A press says by itself what it asks, so the library has no reason to keep the view.
    view.stop()
    return view


Buttons = Literal["live", "resting", "gone"]
"""What becomes of the buttons of a message: as they were, shown but not to be pressed, taken off."""


def redraw(shown: discord.Message, buttons: Buttons) -> ui.LayoutView:
    """Return a message of ours without pictures and files as it was shown, but for its buttons."""
    view = ui.LayoutView.from_message(shown, timeout=60)
    for box in (child for child in view.children if isinstance(child, ui.Container)):
        for row in [child for child in box.children if isinstance(child, ui.ActionRow)]:
            if buttons == "gone":
                box.remove_item(row)
            for button in (child for child in row.children if isinstance(child, ui.Button)):
                button.disabled = buttons == "resting"
    view.stop()
    return view


def attach(message: Message) -> list[discord.File]:
    """Return the pictures as files with alt text, and the files to keep."""
    return [
        *(discord.File(BytesIO(one.png), filename=one.name, description=one.alt) for one in message.pictures),
        *(discord.File(BytesIO(one.content), filename=one.name) for one in message.files),
    ]
