"""One interaction's answer: said once and to the right people. Knows the order of calls, no contents."""

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from typing import Any

import aiohttp
import discord

from bot.discord_app.outbound import attach, draw
from bot.discord_app.render import Message

NOT_SENT = (discord.HTTPException, aiohttp.ClientError, OSError)
"""What sending may raise. The library does not repeat a request whose connection was cut."""

_ALREADY_ANSWERED = 40060
_PAUSE_S = 0.2


class Reply:
    """Answers one interaction, directly or after a first sign of life."""

    def __init__(self, interaction: discord.Interaction[Any], notice: Message) -> None:
        """Take the interaction, and what everyone sees where an answer turns out to be private after all."""
        self._interaction = interaction
        self._notice = notice
        self._opened = interaction.response.is_done()

    async def defer(self) -> None:
        """Show that something is being worked on."""
        await self._open(lambda: self._interaction.response.defer(thinking=True))

    async def form(self, form: discord.ui.Modal) -> None:
        """Show a form."""
        await self._open(lambda: self._interaction.response.send_modal(form))

    async def send(self, messages: Sequence[Message]) -> None:
        """Say everything, the first message in place of the sign of life if there was one.

        Raises:
            NOT_SENT: The platform did not take it, or could not be reached.
        """
        first, *others = messages
        if not self._opened:
            await self._open(
                lambda: self._interaction.response.send_message(
                    view=draw(first), files=attach(first), ephemeral=first.private
                )
            )
        elif first.private:
            # A sign of life for everyone cannot become private: a neutral line takes its place, then goes.
            await self._edit(self._notice)
            await self._follow(first)
            await _twice(self._interaction.delete_original_response)
        else:
            await self._edit(first)
        for message in others:
            await self._follow(message)

    async def _open(self, say: Callable[[], Awaitable[object]]) -> None:
        try:
            await _twice(say)
        except discord.HTTPException as error:
            # The first try had arrived although its connection was cut.
            if error.code != _ALREADY_ANSWERED:
                raise
        self._opened = True

    async def _edit(self, message: Message) -> None:
        await _twice(
            lambda: self._interaction.edit_original_response(
                content=None, view=draw(message), attachments=attach(message)
            )
        )

    async def _follow(self, message: Message) -> None:
        # Not repeated: a second try could say it twice.
        await self._interaction.followup.send(view=draw(message), files=attach(message), ephemeral=message.private)


async def _twice(call: Callable[[], Awaitable[object]]) -> None:
    """Call, and once more if the connection was cut; every call given here may safely arrive twice."""
    try:
        await call()
    except (aiohttp.ClientError, OSError):
        await asyncio.sleep(_PAUSE_S)
        await call()
