"""``platewright stats`` and ``report``: what a moderator asks, at the command line.

In: a command's name and options, a community. Out: the same answer as in the chat, as text, its chart and files beside
it on request. This file must never count anything.
"""

import asyncio
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.compose import House
from bot.report_page import write_page
from bot.terminal_app.render import render
from core.card import Card
from core.commands import Asker, Inquiry
from core.errors import Fault, UnusableInput
from core.service.statistics import INVENTED
from core.words import Words


async def ask_figures(
    house: House, words: Words, *, view: str, options: Mapping[str, str], community: str, out: Path | None, width: int
) -> str:
    """Return the answer of ``/stats <view>`` for a community, leaving its chart and files in ``out``.

    Raises:
        UnusableInput: An option cannot be used, or a file cannot be written.
    """
    asker = Asker(community, "", "", language=words.language, administrator=True)
    inquiry = Inquiry(command=f"stats {view}", options=options, asker=asker, at=datetime.now(UTC), reference="stats")
    card = await house.service.handle(inquiry)
    left = [] if out is None else _leave(card, out)
    return "\n".join((render(card, width), *(words.say("terminal.file", path=path) for path in left)))


PARTS: tuple[tuple[str, Mapping[str, str]], ...] = (
    ("causes", {}),
    ("causes", {"by": "raised"}),
    ("causes", {"by": "adjusters"}),
    ("remedies", {}),
    ("trend", {}),
    ("readings", {}),
    ("quality", {}),
)


async def write_report(house: House, words: Words, *, community: str, month: str, out: Path) -> str:
    """Write the page of what was known of a community when a month was over, and return where it is.

    Raises:
        UnusableInput: The month is none or is not over, nothing is published yet, or the file cannot be written.
    """
    at = _after(month)
    asker = Asker(community, "", "", language=words.language, administrator=True)
    cards = []
    for view, options in PARTS:
        inquiry = Inquiry(command=f"stats {view}", options=options, asker=asker, at=at, reference="report")
        card = await house.service.handle(inquiry)
        if not any(card.sections):
            raise UnusableInput((Fault("community", community, "nothing_published", {"why": card.conclusion}),))
        cards.append(card)
    last = at.replace(day=1) - timedelta(days=1)
    title = words.say("report.title", community=community, month=last.strftime("%Y-%m"))
    warning = words.say("stats.invented") if community.startswith(INVENTED) else ""
    page = write_page(title, cards, words, warning)
    await asyncio.to_thread(_write, out, page.encode())
    return words.say("terminal.file", path=out)


def _after(month: str) -> datetime:
    """Return the moment at which a month was over; now for none."""
    now = datetime.now(UTC)
    if not month:
        return now
    try:
        first = datetime.strptime(f"{month} +0000", "%Y-%m %z")
    except ValueError as error:
        raise UnusableInput((Fault("month", month, "not_a_month"),)) from error
    over = (first + timedelta(days=31)).replace(day=1)
    if over > now:
        raise UnusableInput((Fault("month", month, "month_not_over"),))
    return over


def _leave(card: Card, folder: Path) -> list[Path]:
    written = []
    for name, content in (
        *((one.name, one.png) for one in card.pictures),
        *((one.name, one.content) for one in card.files),
    ):
        path = folder / name
        _write(path, content)
        written.append(path)
    return written


def _write(path: Path, content: bytes) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    except OSError as error:
        raise UnusableInput((Fault("out", str(path), "file_unwritable", {"why": error.strerror or ""}),)) from error
