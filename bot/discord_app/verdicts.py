"""One verdict of each case stands: a newer one is put in its place, or follows it while it shrinks to one line.

In: the card of a verdict, and how to send it. Out: where it stands, told to the service. This file must never know what
a verdict says.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import replace
from typing import Any
from weakref import WeakValueDictionary

import discord

from bot.discord_app.contracts import Answerer
from bot.discord_app.outbound import draw
from bot.discord_app.places import Place, pressed_place, read_place
from bot.discord_app.render import Message
from bot.discord_app.reply import NOT_SENT
from bot.discord_app.writing import escape
from core.card import Card, Standing
from core.words import Words

LOG = logging.getLogger(__name__)

MOST_KEPT = 1000
"""Of so many cases it is known here what stands where; of all others the service tells."""

Case = tuple[str, int]
Say = Callable[[Card, bool], Awaitable[Place | None]]
"""Sends a card, perhaps in place of the message it was asked from; returns where else it stands."""


class Verdicts:
    """Sends the verdicts of cases, those of one case one after another."""

    def __init__(self, answerer: Answerer) -> None:
        self._answerer = answerer
        self._turns: WeakValueDictionary[Case, asyncio.Lock] = WeakValueDictionary()
        self._latest: dict[Case, tuple[int, Place | None]] = {}

    async def post(
        self, interaction: discord.Interaction[Any], community: str, card: Card, words: Words, say: Say
    ) -> None:
        """Send a verdict; one that was overtaken by a newer one goes to the asker alone.

        Raises:
            NOT_SENT: The verdict itself could not be sent; nothing was noted.
        """
        standing = card.standing
        if standing is None or card.private:
            await say(card, False)
            return
        case = community, standing.case
        turn = self._turns.setdefault(case, asyncio.Lock())
        async with turn:
            attempt, known = self._latest.get(case, (0, None))
            if attempt > standing.attempt:
                await say(replace(card, private=True), False)
                return
            before = known or read_place(standing.place)
            now = await say(card, before is not None and before == pressed_place(interaction))
            self._remember(case, standing.attempt, now or before)
            if now is None:
                return
            await self._note(community, standing, now)
            if before is not None:
                await _collapse(interaction, before, now, standing, words)

    def _remember(self, case: Case, attempt: int, place: Place | None) -> None:
        self._latest.pop(case, None)
        self._latest[case] = attempt, place
        if len(self._latest) > MOST_KEPT:
            self._latest.pop(next(iter(self._latest)))

    async def _note(self, community: str, standing: Standing, place: Place) -> None:
        try:
            await self._answerer.stands(community, standing.case, str(place))
        except Exception as error:
            # The verdict has been said; that the next one cannot replace it is no reason to say sorry.
            LOG.exception("place not noted", extra={"kind": type(error).__name__})


async def _collapse(
    interaction: discord.Interaction[Any], old: Place, new: Place, standing: Standing, words: Words
) -> None:
    """Shrink the verdict that stood to one line that leads to the new one; that it is gone does no harm."""
    client = interaction.client
    channel = client.get_partial_messageable(new.channel_for(interaction), guild_id=interaction.guild_id)
    line = escape(words.say("discord.replaced.line", number=standing.case))
    link = escape(words.say("discord.replaced.link", attempt=standing.attempt))
    shrunk = Message(
        (f"-# {line} [{link}]({channel.get_partial_message(new.message).jump_url})",), "plain", private=False
    )
    stood = client.get_partial_messageable(old.channel_for(interaction)).get_partial_message(old.message)
    try:
        await stood.edit(view=draw(shrunk), attachments=[], allowed_mentions=discord.AllowedMentions.none())
    except NOT_SENT as error:
        status = error.status if isinstance(error, discord.HTTPException) else 0
        LOG.info("old verdict not collapsed", extra={"kind": type(error).__name__, "status": status})
