"""What is done every hour, whoever asks or not: cases learned from, old ones let go, silent ones asked about.

In: a connected client and the service. Out: questions in channels. This file must never know which cases are due.
"""

import asyncio
import logging
from collections.abc import Callable
from datetime import UTC, datetime

import discord

from bot.discord_app.contracts import Answerer
from bot.discord_app.outbound import draw
from bot.discord_app.places import read_place
from bot.discord_app.render import render
from bot.discord_app.reply import NOT_SENT
from core.commands import COMMANDS
from core.service.reminders import Reminder

LOG = logging.getLogger(__name__)

EVERY_S = 3600.0
_LOOK_S = 0.5
NOBODY = 0
"""Whoever may press the buttons of a question is found out by the case they name."""


def _now() -> datetime:
    return datetime.now(UTC)


async def keep_house(
    client: discord.Client, answerer: Answerer, *, every_s: float = EVERY_S, now: Callable[[], datetime] = _now
) -> None:
    """Learn, tidy and ask, again and again, until cancelled. What fails is logged, and tried the next time."""
    while not client.is_ready():  # noqa: ASYNC110 - the library's own waiting is an error before the first steps
        await asyncio.sleep(_LOOK_S)
    while True:
        try:
            await answerer.learn()
        except Exception:
            LOG.exception("not learned")
        try:
            let_go = await answerer.tidy(now())
            LOG.info("tidied", extra={"let_go": let_go})
        except Exception:
            LOG.exception("not tidied")
        try:
            for reminder in await answerer.reminders(now()):
                await _ask(client, answerer, reminder)
        except Exception:
            LOG.exception("not reminded")
        await asyncio.sleep(every_s)


async def _ask(client: discord.Client, answerer: Answerer, reminder: Reminder) -> None:
    """Ask in the case's thread, or below its verdict. It counts as asked, whether or not it arrives."""
    place = read_place(reminder.place)
    thread = int(reminder.thread) if reminder.thread.isdecimal() else 0
    channel = thread or (place.channel if place is not None else 0)
    if not channel:
        return
    below = None
    if place is not None and not thread:
        below = discord.MessageReference(message_id=place.message, channel_id=place.channel, fail_if_not_exists=False)
    words = answerer.words_for(reminder.card.language)
    messages = render(reminder.card, words, 0, NOBODY, COMMANDS)
    try:
        for message in messages:
            sender = client.get_partial_messageable(channel)
            if below is None:
                await sender.send(view=draw(message))
            else:
                await sender.send(view=draw(message), reference=below, mention_author=False)
    except NOT_SENT as error:
        status = error.status if isinstance(error, discord.HTTPException) else 0
        LOG.info("not asked how it went", extra={"kind": type(error).__name__, "status": status})
