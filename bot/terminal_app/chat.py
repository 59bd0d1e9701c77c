"""The conversation: lines in from a prompt, a pipe or a file; cards out, pictures beside them on disk."""

import asyncio
import logging
import os
import secrets
import shutil
import sys
from collections.abc import AsyncIterator, Iterable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import WordCompleter
from prompt_toolkit.history import FileHistory, History, InMemoryHistory

from bot.terminal_app.inbound import read_line
from bot.terminal_app.people import COMMAND, People
from bot.terminal_app.render import WIDEST, render
from bot.terminal_app.typed import write_line
from core.card import Card, Section, fault_card
from core.commands import COMMANDS, Inquiry
from core.errors import ServiceFailure, UnusableInput
from core.intake.characters import fold
from core.words import Words
from core.words.catalogue import visible

LOG = logging.getLogger(__name__)
LEAVE = frozenset({"/quit", "/exit", "quit", "exit"})


class Answerer(Protocol):
    """What answers: the service."""

    async def handle(self, inquiry: Inquiry) -> Card:
        """Return the card for an inquiry."""
        ...

    async def case_meant(self, inquiry: Inquiry) -> int | None:
        """Return the number of the case an inquiry is about if it names none."""
        ...


async def converse(
    answerer: Answerer,
    words: Words,
    lines: AsyncIterator[str],
    *,
    pictures: Path,
    echo: bool = False,
    people: People | None = None,
) -> int:
    """Answer line after line until they end; return the exit status.

    Args:
        answerer: The service.
        words: Texts of the person's language.
        lines: What is typed.
        pictures: Folder in which pictures are left.
        echo: Show each line before its answer, for input that nobody sees being typed.
        people: Who speaks; one person to begin with.

    Returns:
        0 when every line was answered, 2 when some input could not be used, 1 when we failed.
    """
    status = 0
    people = people or People()
    offered: dict[str, str] = {}
    async for line in lines:
        if line.strip() in LEAVE:
            break
        if echo and line.strip():
            print(f"\n{people.prompt}{visible(line.strip())}\n")
        reference = secrets.token_hex(3)
        try:
            answered = await _reply(answerer, words, people, line, reference, pictures, offered)
            status = max(status, answered, key=_GRAVEST.index)
        except ServiceFailure as failure:
            print(words.say(f"failures.{failure.code}", **failure.values), file=sys.stderr)
            status = 1
        except BrokenPipeError:
            raise
        except Exception:
            LOG.exception("unexpected failure", extra={"reference": reference})
            sorry = words.say("failures.unexpected")
            print(words.say("terminal.unexpected", sorry=sorry, reference=reference), file=sys.stderr)
            status = 1
    return status


_GRAVEST = (0, 2, 1)


async def _reply(
    answerer: Answerer,
    words: Words,
    people: People,
    line: str,
    reference: str,
    pictures: Path,
    offered: dict[str, str],
) -> int:
    """Answer one line on standard output; return the exit status it deserves.

    ``offered`` holds what the last answer asked, and is renewed.
    """
    meant = None
    try:
        if line.split()[:1] == [COMMAND]:
            people.turn_to(line.strip())
            print(people.describe(words), flush=True)
            return 0
        asker = replace(people.speaker, language=words.language)
        inquiry = read_line(line, datetime.now(UTC), reference, asker, {**_buttons(words), **offered})
        if inquiry is None:
            return 0
        card = await answerer.handle(inquiry)
        if any("case" in action.options for action in card.actions):
            meant = await answerer.case_meant(inquiry)
        offered.clear()
        offered.update(_asked(card, meant, words))
        if inquiry.command == "help" and any(action.command == "help" for action in card.actions):
            card = replace(card, sections=(*card.sections, _only_here(words)))
    except UnusableInput as error:
        card = fault_card(tuple(words.fault(fault) for fault in error.faults), words)
    print(render(card, shutil.get_terminal_size((WIDEST, 24)).columns, meant), flush=True)
    for picture in card.pictures:
        path = await _leave(f"platewright-{picture.name}", picture.png, pictures)
        print(words.say("terminal.picture", path=path), flush=True)
    for file in card.files:
        print(words.say("terminal.file", path=await _leave(file.name, file.content, pictures)), flush=True)
    return 2 if card.tone == "fault" else 0


def _buttons(words: Words) -> dict[str, str]:
    """Return what somebody says who was told of buttons, and what it stands for."""
    outcomes = {"it_worked": "fixed_by_step", "not_yet": "not_yet"}
    return {fold(words.say(f"actions.{name}")): f"/case outcome {result}" for name, result in outcomes.items()}


def _asked(card: Card, meant: int | None, words: Words) -> dict[str, str]:
    """Return the answers to what a card asks, as a person types them, and what each stands for."""
    answers: dict[str, str] = {}
    for action in card.actions:
        if action.once:
            line = write_line(action, meant)
            answers[fold(action.label)] = line
            confirm = action.options.get("confirm")
            if confirm is not None:
                answers |= {fold(word): line for word in (confirm, confirm[0], words.say(f"choices.yes_no.{confirm}"))}
    return answers


def _only_here(words: Words) -> Section:
    """Say what only this front end has."""
    lines = dict(words.under("terminal.help"))
    return Section("list", lines.pop("heading"), tuple(lines.values()))


async def prompt_lines(history: Path, people: People) -> AsyncIterator[str]:
    """Yield lines typed at a prompt with history and completion of command names."""
    completer = WordCompleter([*(f"/{command.name}" for command in COMMANDS), COMMAND], sentence=True)
    session: PromptSession[str] = PromptSession(history=_open_history(history), completer=completer)
    while True:
        try:
            line = await session.prompt_async(f"\n{people.prompt}", complete_while_typing=False)
        except KeyboardInterrupt:
            continue
        except EOFError:
            return
        yield line


def _open_history(path: Path) -> History:
    """Return the history at ``path``, readable by its owner only, or a forgetful one where that cannot be written."""
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    except OSError:
        return InMemoryHistory()
    return FileHistory(str(path))


async def given_lines(lines: Iterable[str]) -> AsyncIterator[str]:
    """Yield lines of a file or a pipe without holding up the event loop."""
    iterator = iter(lines)
    while (line := await asyncio.to_thread(next, iterator, None)) is not None:
        yield line


async def _leave(name: str, content: bytes, folder: Path) -> Path:
    path = folder / name

    def write() -> None:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)

    try:
        await asyncio.to_thread(write)
    except OSError as error:
        raise ServiceFailure("file_unusable", path=str(path), why=error.strerror or str(error)) from error
    return path
