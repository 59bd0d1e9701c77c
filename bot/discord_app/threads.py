"""A thread for a case: opened at its verdict where that stands, else in the channel.

In: what the card wishes for. Out: the thread's identifier, or why there is none. This file must never know a case.
"""

import logging
from typing import Any

import discord

from bot.discord_app.outbound import draw
from bot.discord_app.places import read_place
from bot.discord_app.render import Message
from bot.discord_app.reply import NOT_SENT
from bot.discord_app.writing import escape, one_line
from core.card import ThreadWish

LOG = logging.getLogger(__name__)

LONGEST_NAME = 100
QUIET_MINUTES = 10080
"""After a week without a message the platform puts the thread away; anyone can bring it back."""

_EXISTS, _WRONG_CHANNEL = 160004, 50024
_PUBLIC_THREAD = 11


class NoThread(Exception):
    """There is no thread; ``why`` is a key under ``discord.threads`` in the words."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


async def open_thread(interaction: discord.Interaction[Any], wish: ThreadWish, line: str) -> int:
    """Open a thread, begin it with one line, and return its identifier.

    Raises:
        NoThread: The platform has no threads here, or does not let us.
    """
    if interaction.guild_id is None:
        raise NoThread("in_private")
    try:
        thread = await _open(interaction, wish)
    except discord.Forbidden:
        raise NoThread("forbidden") from None
    except discord.HTTPException as error:
        LOG.info("no thread", extra={"status": error.status, "code": error.code})
        raise NoThread({_EXISTS: "exists", _WRONG_CHANNEL: "in_a_thread"}.get(error.code, "refused")) from None
    try:
        message = Message((escape(line),), "plain", private=False)
        await interaction.client.get_partial_messageable(thread).send(view=draw(message))
    except NOT_SENT as error:
        # The thread is there, only empty.
        LOG.info("thread without its line", extra={"kind": type(error).__name__})
    return thread


async def _open(interaction: discord.Interaction[Any], wish: ThreadWish) -> int:
    # By the library's own requests: its channels offer this only where they are in its cache.
    http = interaction.client.http
    name, place = one_line(wish.name)[:LONGEST_NAME], read_place(wish.place)
    if place is not None and place.channel:
        try:
            opened = await http.start_thread_with_message(
                place.channel, place.message, name=name, auto_archive_duration=QUIET_MINUTES
            )
            return int(opened["id"])
        except discord.NotFound:
            LOG.info("verdict is gone, thread opened beside it")
    if interaction.channel_id is None or isinstance(interaction.channel, discord.Thread):
        raise NoThread("in_a_thread")
    opened = await http.start_thread_without_message(
        interaction.channel_id, name=name, auto_archive_duration=QUIET_MINUTES, type=_PUBLIC_THREAD
    )
    return int(opened["id"])
