"""A connected client in this process, against the stand-in: real library, real HTTP, real gateway."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from functools import partial

import pytest
from discord.gateway import DiscordWebSocket
from discord.http import Route
from stand_in.chat_platform import Platform
from stand_in.invented import FileMemory, InventedAnswerer, suggest, texts
from stand_in.launch import redirect

from bot.compose import compose
from bot.compose import suggest as house_suggests
from bot.discord_app.client import PlatewrightClient
from bot.discord_app.contracts import Answerer, Suggest
from bot.discord_app.desk import Desk
from bot.settings import Settings
from core.card import Card
from core.commands import Inquiry
from core.words import Words

PATIENCE_S = 0.3


@dataclass(frozen=True, slots=True)
class Connected:
    """Both ends of the wire."""

    platform: Platform
    client: PlatewrightClient
    desk: Desk
    answerer: InventedAnswerer


async def wait_until(true: Callable[[], object]) -> None:
    """Wait for what happens after an answer."""
    async with asyncio.timeout(5):
        while not true():  # noqa: ASYNC110 - what is waited for lies on the other side of the wire
            await asyncio.sleep(0.02)


@pytest.fixture(scope="session")
def until():
    return wait_until


@pytest.fixture(scope="session")
def words() -> Words:
    return texts()["en"]


@pytest.fixture
async def platform(monkeypatch) -> AsyncIterator[Platform]:
    async with Platform() as platform:
        # Noted first, so that monkeypatch puts the library's own addresses back.
        monkeypatch.setattr(Route, "BASE", Route.BASE)
        monkeypatch.setattr(DiscordWebSocket, "DEFAULT_GATEWAY", DiscordWebSocket.DEFAULT_GATEWAY)
        redirect(platform.rest_url, platform.gateway_url)
        yield platform


@asynccontextmanager
async def connect(
    platform: Platform, desk: Desk, words: Words, memory: FileMemory, suggest: Suggest = suggest
) -> AsyncIterator[PlatewrightClient]:
    """Connect a client and wait until it hears interactions."""
    async with PlatewrightClient(desk=desk, words=words, languages=texts(), suggest=suggest, memory=memory) as client:
        # The library is ready when no community has come for so long; left at 2 s, that may fall into a test's end.
        client._connection.guild_ready_timeout = 0.1
        running = asyncio.create_task(client.start(platform.token))
        ready = asyncio.create_task(platform.gateway.until_ready())
        await asyncio.wait({running, ready}, return_when=asyncio.FIRST_COMPLETED)
        if running.done():
            ready.cancel()
            await running
        await ready
        await client.wait_until_ready()
        yield client
        await client.close()
        await asyncio.wait_for(running, 5)


@pytest.fixture
async def connected(platform, words, tmp_path) -> AsyncIterator[Connected]:
    answerer = InventedAnswerer()
    desk = Desk(answerer, suggest, reference=lambda: "abc2345", patience_s=PATIENCE_S, longest_s=3.0)
    async with connect(platform, desk, words, FileMemory(tmp_path / "memory.json")) as client:
        yield Connected(platform, client, desk, answerer)


@dataclass(frozen=True, slots=True)
class Overheard:
    """The real service, and every card it gave."""

    service: Answerer
    cards: list[Card] = field(default_factory=list)

    async def handle(self, inquiry: Inquiry) -> Card:
        self.cards.append(await self.service.handle(inquiry))
        return self.cards[-1]

    def __getattr__(self, name: str):
        return getattr(self.service, name)


@pytest.fixture
async def workshop(platform, words, tmp_path) -> AsyncIterator[tuple[Platform, Overheard]]:
    """The real service behind the real library, patient enough to answer at once."""
    async with compose(Settings(database=tmp_path / "cases.db")) as house:
        overheard, offered = Overheard(house.service), partial(house_suggests, house)
        desk = Desk(overheard, offered, patience_s=20.0)
        async with connect(platform, desk, words, FileMemory(tmp_path / "memory.json"), offered):
            yield platform, overheard
