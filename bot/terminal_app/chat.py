"""The conversation: lines in from a prompt, a pipe or a file; cards out, pictures beside them on disk."""

import asyncio
import secrets
import shutil
import sys
from collections.abc import AsyncIterator, Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import WordCompleter
from prompt_toolkit.history import FileHistory

from bot.terminal_app.inbound import read_line
from bot.terminal_app.render import WIDEST, render
from core.card import Card, Picture
from core.commands import COMMANDS, Inquiry
from core.errors import PlatewrightError, ServiceFailure, UnusableInput
from core.words import Words

PROMPT = "platewright> "


class Answerer(Protocol):
    """What answers: the service."""

    async def handle(self, inquiry: Inquiry) -> Card:
        """Return the card for an inquiry."""
        ...


async def converse(
    answerer: Answerer,
    words: Words,
    lines: AsyncIterator[str],
    *,
    pictures: Path,
    echo: bool = False,
) -> int:
    """Answer line after line until they end; return the exit status.

    Args:
        answerer: The service.
        words: Texts of the person's language.
        lines: What is typed.
        pictures: Folder in which pictures are left.
        echo: Show each line before its answer, for input that nobody sees being typed.

    Returns:
        0 when every line was answered, 2 when some input could not be used, 1 when we failed.
    """
    status = 0
    async for line in lines:
        if line.strip() in {"/quit", "/exit", "quit", "exit"}:
            break
        if echo and line.strip():
            print(f"\n{PROMPT}{line.strip()}\n")
        reference = secrets.token_hex(3)
        try:
            inquiry = read_line(line, datetime.now(UTC), reference)
            card = None if inquiry is None else await answerer.handle(inquiry)
        except UnusableInput as error:
            card = Card(
                title=words.say("terminal.unusable"),
                conclusion=" ".join(words.fault(fault) for fault in error.faults),
                tone="fault",
            )
        except PlatewrightError as error:
            code = error.code if isinstance(error, ServiceFailure) else "unexpected"
            values = error.values if isinstance(error, ServiceFailure) else {}
            print(words.say(f"failures.{code}", **values), file=sys.stderr)
            status = 1
            continue
        if card is not None:
            print(render(card, shutil.get_terminal_size((WIDEST, 24)).columns), flush=True)
            for picture in card.pictures:
                print(words.say("terminal.picture", path=await _leave(picture, pictures)))
            if card.tone == "fault":
                status = max(status, 2)
    return status


async def prompt_lines(history: Path) -> AsyncIterator[str]:
    """Yield lines typed at a prompt with history and completion of command names."""
    completer = WordCompleter([f"/{command.name}" for command in COMMANDS], sentence=True)
    session: PromptSession[str] = PromptSession(history=FileHistory(str(history)), completer=completer)
    while True:
        try:
            line = await session.prompt_async(f"\n{PROMPT}", complete_while_typing=False)
        except KeyboardInterrupt:
            continue
        except EOFError:
            return
        yield line


async def given_lines(lines: Iterable[str]) -> AsyncIterator[str]:
    """Yield lines of a file or a pipe without holding up the event loop."""
    iterator = iter(lines)
    while (line := await asyncio.to_thread(next, iterator, None)) is not None:
        yield line


async def _leave(picture: Picture, folder: Path) -> Path:
    path = folder / f"platewright-{picture.name}"

    def write() -> None:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_bytes(picture.png)

    await asyncio.to_thread(write)
    return path
