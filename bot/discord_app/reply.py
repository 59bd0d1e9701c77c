"""One interaction's answer: said once, in the right place, to the right people. Knows the order of calls, no contents.

When a button is pressed that answers a question, the message's buttons rest until the answer is there and then go,
so that no one answers twice by mistake. All other buttons stay. An answer may also take the place of the message
from which it was asked.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from typing import Any, Literal

import aiohttp
import discord

from bot.discord_app.outbound import Buttons, attach, draw, redraw
from bot.discord_app.places import Place, place_of
from bot.discord_app.render import Message

LOG = logging.getLogger(__name__)

NOT_SENT = (discord.HTTPException, aiohttp.ClientError, OSError)
"""What sending may raise. The library does not repeat a request whose connection was cut."""

_ALREADY_ANSWERED = 40060
_PAUSE_S = 0.2

Opened = Literal["", "message", "pressed", "form"]
"""What the first response was about: nothing yet, a new message, the message that was pressed, a form."""


class Reply:
    """Answers one interaction, directly or after a first sign of life."""

    def __init__(
        self,
        interaction: discord.Interaction[Any],
        notice: Message,
        *,
        once: bool = False,
        may_replace: bool = False,
    ) -> None:
        """Take an interaction.

        Args:
            interaction: What is to be answered.
            notice: What everyone sees where an answer turns out to be private after all.
            once: Whether a button was pressed that answers a question.
            may_replace: Whether the answer may take the place of the message it was asked from.
        """
        self._interaction = interaction
        self._notice = notice
        self._opened: Opened = "message" if interaction.response.is_done() else ""
        self._opened_privately = False
        self._question = _question(interaction) if once else None
        self._may_replace = may_replace and self._question is None and _is_public(interaction.message)

    async def defer(self, *, privately: bool = False) -> None:
        """Show that something is being worked on; privately where the answer is known to be private."""
        if self._opened:
            return
        if self._question is not None and await self._set_buttons(self._question, "resting"):
            return
        self._question = None
        if self._may_replace and not privately:
            await self._open("pressed", self._interaction.response.defer)
        else:
            self._opened_privately = privately
            await self._open("message", lambda: self._interaction.response.defer(thinking=True, ephemeral=privately))

    async def form(self, form: discord.ui.Modal) -> None:
        """Show a form."""
        await self._open("form", lambda: self._interaction.response.send_modal(form))

    async def send(self, messages: Sequence[Message], *, settled: bool = True, in_place: bool = False) -> Place | None:
        """Say everything, the first message in place of the sign of life if there was one.

        Args:
            messages: What to say.
            settled: Whether a question whose button was pressed has had its answer; otherwise it may be pressed again.
            in_place: Whether the first message takes the place of the one it was asked from.

        Returns:
            Where the first message stands, unless it is private, took another's place, or was cut off on its way.

        Raises:
            NOT_SENT: The platform did not take it, or could not be reached.
        """
        first, *others = messages
        if self._question is not None and (settled or self._opened):
            await self._set_buttons(self._question, "gone" if settled else "live")
        replaced = in_place and await self._replace(first)
        number = None if replaced else await self._say(first)
        for message in others:
            await self._follow(message)
        return None if number is None or first.private else place_of(self._interaction, number)

    async def _say(self, first: Message) -> int | None:
        """Say the first message and return its number, where it is known."""
        if self._opened in {"pressed", "form"}:
            return await self._follow(first)
        if not self._opened:
            sent = await self._open(
                "message",
                lambda: self._interaction.response.send_message(
                    view=draw(first), files=attach(first), ephemeral=first.private
                ),
            )
            if isinstance(sent, discord.InteractionCallbackResponse) and sent.message_id is not None:
                return sent.message_id
            return await self._number_of_original()
        if first.private and not self._opened_privately:
            # A sign of life for everyone cannot become private: a neutral line takes its place, then goes.
            await self._edit(self._notice)
            number = await self._follow(first)
            await _twice(self._interaction.delete_original_response)
            return number
        if self._opened_privately and not first.private:
            number = await self._follow(first)
            await _twice(self._interaction.delete_original_response)
            return number
        return await self._edit(first)

    async def _replace(self, message: Message) -> bool:
        """Put a message where it was asked from, and say whether that was possible."""
        if not self._may_replace or message.private or self._opened not in {"", "pressed"}:
            return False
        try:
            if self._opened:
                await self._edit(message)
            else:
                await self._open(
                    "pressed",
                    lambda: self._interaction.response.edit_message(view=draw(message), attachments=attach(message)),
                )
        except (discord.NotFound, discord.Forbidden) as error:
            LOG.info("verdict not updated", extra={"status": error.status, "code": error.code})
            return False
        return True

    async def _number_of_original(self) -> int | None:
        """Ask for the number of a message whose receipt was lost."""
        try:
            return (await self._interaction.original_response()).id
        except NOT_SENT as error:
            LOG.info("message not found again", extra={"kind": type(error).__name__})
            return None

    async def _open(self, what: Opened, say: Callable[[], Awaitable[object]]) -> object:
        said: object = None
        try:
            said = await _twice(say)
        except discord.HTTPException as error:
            # The first try had arrived although its connection was cut.
            if error.code != _ALREADY_ANSWERED:
                raise
        self._opened = what
        return said

    async def _set_buttons(self, question: discord.Message, buttons: Buttons) -> bool:
        """Draw the question again and say whether that worked; that it is gone is no harm to the answer."""
        try:
            if self._opened:
                await _twice(lambda: self._interaction.edit_original_response(view=redraw(question, buttons)))
            else:
                await self._open(
                    "pressed", lambda: self._interaction.response.edit_message(view=redraw(question, buttons))
                )
        except NOT_SENT as error:
            LOG.info("question not redrawn", extra={"kind": type(error).__name__})
            return False
        return True

    async def _edit(self, message: Message) -> int | None:
        edited = await _twice(
            lambda: self._interaction.edit_original_response(
                content=None, view=draw(message), attachments=attach(message)
            )
        )
        return edited.id if isinstance(edited, discord.Message) else None

    async def _follow(self, message: Message) -> int:
        # Not repeated: a second try could say it twice.
        sent = await self._interaction.followup.send(
            view=draw(message), files=attach(message), ephemeral=message.private, wait=True
        )
        return sent.id


def _question(interaction: discord.Interaction[Any]) -> discord.Message | None:
    """Return the message whose button was pressed, unless pictures or files make it impossible to draw it again."""
    shown = interaction.message
    return shown if shown is not None and shown.flags.components_v2 and not shown.attachments else None


def _is_public(message: discord.Message | None) -> bool:
    return message is not None and not message.flags.ephemeral


async def _twice(call: Callable[[], Awaitable[object]]) -> object:
    """Call, and once more if the connection was cut; every call given here may safely arrive twice."""
    try:
        return await call()
    except (aiohttp.ClientError, OSError):
        await asyncio.sleep(_PAUSE_S)
        return await call()
