"""One interaction's answer: said once and to the right people. Knows the order of calls, no contents.

When a button is pressed that answers a question, the message's buttons rest until the answer is there and then go,
so that no one answers twice by mistake. All other buttons stay.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from typing import Any

import aiohttp
import discord

from bot.discord_app.outbound import Buttons, attach, draw, redraw
from bot.discord_app.render import Message

LOG = logging.getLogger(__name__)

NOT_SENT = (discord.HTTPException, aiohttp.ClientError, OSError)
"""What sending may raise. The library does not repeat a request whose connection was cut."""

_ALREADY_ANSWERED = 40060
_PAUSE_S = 0.2


class Reply:
    """Answers one interaction, directly or after a first sign of life."""

    def __init__(self, interaction: discord.Interaction[Any], notice: Message, *, once: bool = False) -> None:
        """Take an interaction.

        Args:
            interaction: What is to be answered.
            notice: What everyone sees where an answer turns out to be private after all.
            once: Whether a button was pressed that answers a question.
        """
        self._interaction = interaction
        self._notice = notice
        self._opened = interaction.response.is_done()
        self._question = _question(interaction) if once else None

    async def defer(self) -> None:
        """Show that something is being worked on."""
        if self._question is None or not await self._set_buttons(self._question, "resting"):
            self._question = None
            await self._open(lambda: self._interaction.response.defer(thinking=True))

    async def form(self, form: discord.ui.Modal) -> None:
        """Show a form."""
        await self._open(lambda: self._interaction.response.send_modal(form))

    async def send(self, messages: Sequence[Message], *, settled: bool = True) -> None:
        """Say everything, the first message in place of the sign of life if there was one.

        Args:
            messages: What to say.
            settled: Whether a question whose button was pressed has had its answer; otherwise it may be pressed again.

        Raises:
            NOT_SENT: The platform did not take it, or could not be reached.
        """
        first, *others = messages
        if self._question is not None and (settled or self._opened):
            await self._set_buttons(self._question, "gone" if settled else "live")
        if self._opened and self._question is not None:
            await self._follow(first)
        elif not self._opened:
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

    async def _set_buttons(self, question: discord.Message, buttons: Buttons) -> bool:
        """Draw the question again and say whether that worked; that it is gone is no harm to the answer."""
        try:
            if self._opened:
                await _twice(lambda: self._interaction.edit_original_response(view=redraw(question, buttons)))
            else:
                await self._open(lambda: self._interaction.response.edit_message(view=redraw(question, buttons)))
        except NOT_SENT as error:
            LOG.info("question not redrawn", extra={"kind": type(error).__name__})
            return False
        return True

    async def _edit(self, message: Message) -> None:
        await _twice(
            lambda: self._interaction.edit_original_response(
                content=None, view=draw(message), attachments=attach(message)
            )
        )

    async def _follow(self, message: Message) -> None:
        # Not repeated: a second try could say it twice.
        await self._interaction.followup.send(view=draw(message), files=attach(message), ephemeral=message.private)


def _question(interaction: discord.Interaction[Any]) -> discord.Message | None:
    """Return the message whose button was pressed, unless pictures or files make it impossible to draw it again."""
    shown = interaction.message
    return shown if shown is not None and shown.flags.components_v2 and not shown.attachments else None


async def _twice(call: Callable[[], Awaitable[object]]) -> None:
    """Call, and once more if the connection was cut; every call given here may safely arrive twice."""
    try:
        await call()
    except (aiohttp.ClientError, OSError):
        await asyncio.sleep(_PAUSE_S)
        await call()
