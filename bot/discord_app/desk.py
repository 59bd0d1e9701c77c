"""Interactions in, answers sent: asks the service, keeps the platform's time, and says sorry when we fail."""

import asyncio
import logging
import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import discord

from bot.discord_app import failures
from bot.discord_app.contracts import Answerer, Suggest
from bot.discord_app.forms import TEXT, Submitted, build_form, has_form, read_case
from bot.discord_app.inbound import read_asker, read_inquiry
from bot.discord_app.places import Place
from bot.discord_app.presses import read_press
from bot.discord_app.render import Message, render
from bot.discord_app.reply import NOT_SENT, Reply
from bot.discord_app.threads import NoThread, open_thread
from bot.discord_app.verdicts import Verdicts
from core.card import Card, Section, channel
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
        suggest: Suggest,
        *,
        table: tuple[Command, ...] = COMMANDS,
        reference: Callable[[], str] = new_reference,
        patience_s: float = PATIENCE_S,
        longest_s: float = LONGEST_S,
    ) -> None:
        self._answerer = answerer
        self._suggest = suggest
        self._verdicts = Verdicts(answerer)
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
        """Show the command's form when it has one and nothing but a case was given, and else have it answered."""
        of_case = {option.name for option in command.options if option.kind == "case"}
        case = read_case(next((options.get(name) or "" for name in of_case), ""))
        said = any(value is not None for name, value in options.items() if name not in of_case)
        if has_form(command) and not said and case is not None:
            await self.show_form(interaction, command, case)
        else:
            await self.answer(interaction, command.name, options, once=once)

    async def press(self, interaction: discord.Interaction[Any], custom_id: str) -> None:
        """Take what a button asks as if the person had typed it; refuse what is not for them or not known."""
        press = read_press(custom_id, self.table)
        if press is None or not _stands_there(interaction.message, custom_id):
            await self.refuse(interaction, "presses.outdated")
        elif press.person not in {None, interaction.user.id}:
            await self.refuse(interaction, "presses.not_yours")
        else:
            await self.take(interaction, press.command, press.options, once=press.once)

    async def submit(
        self, interaction: discord.Interaction[Any], submitted: Submitted | None, fields: Mapping[str, str]
    ) -> None:
        """Take what a form says as if the person had typed it; refuse a form that is not known."""
        if submitted is None:
            await self.refuse(interaction, "presses.outdated")
            return
        command = submitted.command
        options = {name: value for name, value in fields.items() if name != TEXT}
        options |= {option.name: submitted.case for option in command.options if option.kind == "case"}
        await self.answer(interaction, command.name, options, text=fields.get(TEXT, ""))

    async def read_message(
        self, interaction: discord.Interaction[Any], command: Command, message: discord.Message
    ) -> None:
        """Take somebody's message for what the command is about; refuse what a program wrote, or nobody."""
        if message.author.bot or message.webhook_id is not None:
            await self.refuse(interaction, "menu.of_a_program")
        elif not message.content.strip():
            await self.refuse(interaction, "menu.no_text")
        else:
            author = str(message.author.id)
            await self.answer(interaction, command.name, {}, text=message.content, author=author)

    async def answer(
        self,
        interaction: discord.Interaction[Any],
        command: str,
        options: Mapping[str, str | None],
        *,
        text: str = "",
        author: str = "",
        once: bool = False,
    ) -> None:
        """Ask the service and send what it says; ``once`` if this answers a question of ours, which then ends.

        Raises nothing: what cannot be said is logged.
        """
        with self._counted():
            reference, words = self._reference(), self._words(interaction)
            reply = self._reply(interaction, once=once, may_replace=self._adds(command))
            if self._closing:
                closed = failures.closed_for_now(words)
                await self._send(interaction, reply, closed, reference, settled=False)
                return
            inquiry = read_inquiry(interaction, command, options, reference, text=text, author=author)
            settled = False
            try:
                card = await self._ask(inquiry, reply)
                if card.thread is not None:
                    card = await self._with_thread(interaction, reply, card)
            except Exception as error:  # noqa: BLE001 - whatever fails, the person hears of it
                card = self._own_up(error, command, reference, words)
            else:
                settled = True
                LOG.info("answered", extra={"command": command, "tone": card.tone, "reference": reference})
            await self._send(interaction, reply, card, reference, settled=settled, community=inquiry.asker.community)

    async def show_form(self, interaction: discord.Interaction[Any], command: Command, case: str = "") -> None:
        """Show a command's form, unless whatever it says would be refused. Raises nothing."""
        with self._counted():
            reference, words = self._reference(), self._words(interaction)
            reply = self._reply(interaction)
            given = {option.name: case for option in command.options if option.kind == "case"}
            inquiry = read_inquiry(interaction, command.name, given, reference)
            try:
                card = await self._refused(inquiry)
                if card is None:
                    await reply.form(build_form(command, words, self._suggest, case))
                    return
            except Exception as error:  # noqa: BLE001 - whatever fails, the person hears of it
                card = self._own_up(error, command.name, reference, words)
            await self._send(interaction, reply, card, reference)

    async def apologise(self, interaction: discord.Interaction[Any], error: Exception) -> None:
        """Say sorry for what no one else has answered. Raises nothing."""
        with self._counted():
            reference = self._reference()
            command = interaction.command.qualified_name if interaction.command is not None else "unknown"
            card = self._own_up(failures.unwrap(error), command, reference, self._words(interaction))
            await self._send(interaction, self._reply(interaction), card, reference)

    async def refuse(self, interaction: discord.Interaction[Any], why: str) -> None:
        """Say that something asks nothing here; ``why`` is a key under ``discord`` in the words. Raises nothing."""
        with self._counted():
            reference = self._reference()
            LOG.info("refused", extra={"why": why, "reference": reference})
            card = failures.refused(why, self._words(interaction))
            await self._send(interaction, self._reply(interaction), card, reference, settled=False)

    async def forget(self, community: str) -> None:
        """Delete everything of a community that sent us away. Raises nothing."""
        with self._counted():
            try:
                await self._answerer.forget_community(community)
            except Exception as error:
                LOG.exception("community not forgotten", extra=failures.log_fields(error))
            else:
                LOG.info("community forgotten")

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

    def _words(self, interaction: discord.Interaction[Any]) -> Words:
        return self._answerer.words_for(str(interaction.locale))

    def _adds(self, command: str) -> bool:
        """Say whether a command may lead to a new verdict, which takes the place of the one it was asked from."""
        return any(one.name == command and has_form(one) for one in self.table)

    def _reply(self, interaction: discord.Interaction[Any], *, once: bool = False, may_replace: bool = False) -> Reply:
        notice = Message((self._words(interaction).say("discord.privately"),), "plain", private=False)
        return Reply(interaction, notice, once=once, may_replace=may_replace)

    async def _refused(self, inquiry: Inquiry) -> Card | None:
        """Return what a form would be refused with; a form cannot wait, so a slow service refuses nothing yet."""
        try:
            async with asyncio.timeout(self._patience_s):
                return await self._answerer.refuses(inquiry)
        except TimeoutError:
            return None

    async def _with_thread(self, interaction: discord.Interaction[Any], reply: Reply, card: Card) -> Card:
        """Open the thread a card wishes for and say where it is; without one, say why and show the card as it is."""
        wish, words = card.thread, self._card_words(interaction, card)
        if wish is None:
            return card
        await reply.defer(privately=True)
        try:
            thread = await open_thread(interaction, wish, words.say("discord.threads.line", number=wish.case))
        except NoThread as none:
            why = Section("notes", "", (words.say(f"discord.threads.{none.why}"),))
            return replace(card, sections=(*card.sections, why), thread=None)
        await self._answerer.threaded(read_asker(interaction).community, wish.case, str(thread))
        said = words.say("case.thread_is", thread=channel(str(thread)))
        return replace(card, conclusion=said, thread=None, private=True)

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
        community: str = "",
    ) -> None:
        person, words = interaction.user.id, self._card_words(interaction, card)

        async def say(card: Card, in_place: bool) -> Place | None:  # noqa: FBT001 - called once, by what keeps places
            messages = render(card, words, interaction.filesize_limit, person, self.table)
            return await reply.send(messages, settled=settled, in_place=in_place)

        try:
            await self._verdicts.post(interaction, community, card, words, say)
        except Exception as error:  # noqa: BLE001 - a card that cannot be laid out or sent must not end in silence
            card = failures.apology(error, reference, words)
            self._log_unsent("not sent", error, reference)
            try:
                await reply.send(render(card, words, 0, person, self.table), settled=settled)
            except NOT_SENT as again:
                self._log_unsent("apology not sent", again, reference)

    def _card_words(self, interaction: discord.Interaction[Any], card: Card) -> Words:
        return self._answerer.words_for(card.language or str(interaction.locale))

    @staticmethod
    def _own_up(error: Exception, command: str, reference: str, words: Words) -> Card:
        level = logging.ERROR if failures.handler_of(error).ours else logging.INFO
        extra = {"command": command, "reference": reference, **failures.log_fields(error)}
        LOG.log(level, "failed", extra=extra, exc_info=error)
        return failures.apology(error, reference, words)

    @staticmethod
    def _log_unsent(event: str, error: Exception, reference: str) -> None:
        LOG.error(event, extra={"reference": reference, **failures.log_fields(error)}, exc_info=error)


def _stands_there(message: discord.Message | None, custom_id: str) -> bool:
    """Say whether a message has a button of this identifier, as far as its buttons came with it."""
    shown = set() if message is None else set(_identifiers(message.components))
    return not shown or custom_id in shown


def _identifiers(components: Iterable[Any]) -> Iterator[str]:
    for component in components:
        identifier = getattr(component, "custom_id", None)
        if identifier:
            yield identifier
        yield from _identifiers(getattr(component, "children", ()))
