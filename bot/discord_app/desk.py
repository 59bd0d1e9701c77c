"""Interactions in, answers sent: asks the service, keeps the platform's time, and says sorry when we fail."""

import asyncio
import logging
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import discord

from bot.discord_app import failures
from bot.discord_app.contracts import Answerer
from bot.discord_app.forms import build_form
from bot.discord_app.inbound import read_inquiry
from bot.discord_app.presses import read_press
from bot.discord_app.render import Message, render
from bot.discord_app.reply import NOT_SENT, Reply
from core.card import Card
from core.commands import COMMANDS, Command, Inquiry
from core.words import Words

LOG = logging.getLogger(__name__)

PATIENCE_S = 1.2
"""After this long without an answer a sign of life is given; the platform gives up after 3 s."""

LONGEST_S = 120.0
"""After this long an answer is given up; the platform's token lasts 15 minutes."""

_EASY_TO_READ_OUT = "23456789abcdefghjkmnpqrstuvwxyz"


def new_reference() -> str:
    """Return a short random text without letters that look alike."""
    return "".join(secrets.choice(_EASY_TO_READ_OUT) for _ in range(7))


class Desk:
    """Answers interactions, any number at a time."""

    def __init__(
        self,
        answerer: Answerer,
        words: Words,
        *,
        table: tuple[Command, ...] = COMMANDS,
        reference: Callable[[], str] = new_reference,
        patience_s: float = PATIENCE_S,
        longest_s: float = LONGEST_S,
    ) -> None:
        self._answerer = answerer
        self._words = words
        self.table = table
        self._reference = reference
        self._patience_s = patience_s
        self._longest_s = longest_s
        self._running: set[asyncio.Task[Any]] = set()
        self._closing = False

    async def take(
        self,
        interaction: discord.Interaction[Any],
        command: Command,
        options: Mapping[str, str | None],
        *,
        once: bool = False,
    ) -> None:
        """Show the command's form when it has one and no option was given, and else have it answered."""
        if any(option.form for option in command.options) and all(value is None for value in options.values()):
            await self.show_form(interaction, command)
        else:
            await self.answer(interaction, command.name, options, once=once)

    async def press(self, interaction: discord.Interaction[Any], custom_id: str) -> None:
        """Take what a button asks as if the person had typed it; refuse what is not for them or not known."""
        press = read_press(custom_id, self.table)
        if press is None:
            await self._refuse(interaction, "outdated")
        elif press.person != interaction.user.id:
            await self._refuse(interaction, "not_yours")
        else:
            await self.take(interaction, press.command, press.options, once=press.once)

    async def answer(
        self,
        interaction: discord.Interaction[Any],
        command: str,
        options: Mapping[str, str | None],
        *,
        once: bool = False,
    ) -> None:
        """Ask the service and send what it says; ``once`` if this answers a question of ours, which then ends.

        Raises nothing: what cannot be said is logged.
        """
        with self._counted():
            reference = self._reference()
            reply = self._reply(interaction, once=once)
            if self._closing:
                closed = failures.closed_for_now(self._words)
                await self._send(interaction, reply, closed, reference, settled=False)
                return
            inquiry = read_inquiry(interaction, command, options, reference)
            settled = False
            try:
                card = await self._ask(inquiry, reply)
            except Exception as error:  # noqa: BLE001 - whatever fails, the person hears of it
                card = self._own_up(error, command, reference)
            else:
                settled = True
                LOG.info("answered", extra={"command": command, "tone": card.tone, "reference": reference})
            await self._send(interaction, reply, card, reference, settled=settled)

    async def show_form(self, interaction: discord.Interaction[Any], command: Command) -> None:
        """Show a command's form. Raises nothing."""
        with self._counted():
            reference = self._reference()
            reply = self._reply(interaction)
            try:
                await reply.form(build_form(command, self._words))
            except NOT_SENT as error:
                await self._send(interaction, reply, self._own_up(error, command.name, reference), reference)

    async def apologise(self, interaction: discord.Interaction[Any], error: Exception) -> None:
        """Say sorry for what no one else has answered. Raises nothing."""
        with self._counted():
            reference = self._reference()
            command = interaction.command.qualified_name if interaction.command is not None else "unknown"
            card = self._own_up(failures.unwrap(error), command, reference)
            await self._send(interaction, self._reply(interaction), card, reference)

    async def drain(self, seconds: float) -> int:
        """Take no more, wait for what is running, and return how many had to be left unfinished."""
        self._closing = True
        running = self._running - {asyncio.current_task()}
        if not running:
            return 0
        _, unfinished = await asyncio.wait(running, timeout=seconds)
        return len(unfinished)

    @contextmanager
    def _counted(self) -> Iterator[None]:
        task = asyncio.current_task()
        if task is None or task in self._running:
            yield
            return
        self._running.add(task)
        try:
            yield
        finally:
            self._running.discard(task)

    async def _refuse(self, interaction: discord.Interaction[Any], why: str) -> None:
        with self._counted():
            reference = self._reference()
            LOG.info("press refused", extra={"why": why, "reference": reference})
            card = failures.refused_press(why, self._words)
            await self._send(interaction, self._reply(interaction), card, reference, settled=False)

    def _reply(self, interaction: discord.Interaction[Any], *, once: bool = False) -> Reply:
        notice = Message((self._words.say("discord.privately"),), "plain", private=False)
        return Reply(interaction, notice, once=once)

    async def _ask(self, inquiry: Inquiry, reply: Reply) -> Card:
        asked = asyncio.ensure_future(self._answerer.handle(inquiry))
        try:
            await asyncio.wait({asked}, timeout=self._patience_s)
            if not asked.done():
                try:
                    await reply.defer()
                except NOT_SENT as error:
                    self._log_unsent("not deferred", error, inquiry.reference)
                await asyncio.wait({asked}, timeout=self._longest_s)
            if not asked.done():
                raise TimeoutError
            return asked.result()
        finally:
            asked.cancel()

    async def _send(
        self,
        interaction: discord.Interaction[Any],
        reply: Reply,
        card: Card,
        reference: str,
        *,
        settled: bool = True,
    ) -> None:
        person = interaction.user.id
        try:
            messages = render(card, self._words, interaction.filesize_limit, person, self.table)
            await reply.send(messages, settled=settled)
        except Exception as error:  # noqa: BLE001 - a card that cannot be laid out or sent must not end in silence
            card = failures.apology(error, reference, self._words)
            self._log_unsent("not sent", error, reference)
            try:
                await reply.send(render(card, self._words, 0, person, self.table), settled=settled)
            except NOT_SENT as again:
                self._log_unsent("apology not sent", again, reference)

    def _own_up(self, error: Exception, command: str, reference: str) -> Card:
        level = logging.ERROR if failures.handler_of(error).ours else logging.INFO
        extra = {"command": command, "reference": reference, **failures.log_fields(error)}
        LOG.log(level, "failed", extra=extra, exc_info=error)
        return failures.apology(error, reference, self._words)

    @staticmethod
    def _log_unsent(event: str, error: Exception, reference: str) -> None:
        LOG.error(event, extra={"reference": reference, **failures.log_fields(error)}, exc_info=error)
