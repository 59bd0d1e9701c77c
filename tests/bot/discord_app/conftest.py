"""A connected client in this process, against the stand-in: real library, real HTTP, real gateway."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field

import pytest
from discord.gateway import DiscordWebSocket
from discord.http import Route
from stand_in.chat_platform import Platform
from stand_in.invented import FileMemory, InventedAnswerer, suggest
from stand_in.launch import redirect

from bot.compose import compose
from bot.discord_app.client import PlatewrightClient
from bot.discord_app.contracts import Answerer
from bot.discord_app.desk import Desk
from bot.settings import Settings
from core.card import Card
from core.commands import Inquiry
from core.words import Words, load_words

PATIENCE_S = 0.3


@dataclass(frozen=True, slots=True)
class Connected:
    """Both ends of the wire."""

    platform: Platform
    client: PlatewrightClient
    desk: Desk
    answerer: InventedAnswerer


@pytest.fixture(scope="session")
def words() -> Words:
    return load_words()


@pytest.fixture
async def platform(monkeypatch) -> AsyncIterator[Platform]:
    async with Platform() as platform:
        # Noted first, so that monkeypatch puts the library's own addresses back.
        monkeypatch.setattr(Route, "BASE", Route.BASE)
        monkeypatch.setattr(DiscordWebSocket, "DEFAULT_GATEWAY", DiscordWebSocket.DEFAULT_GATEWAY)
        redirect(platform.rest_url, platform.gateway_url)
        yield platform


@asynccontextmanager
async def connect(platform: Platform, desk: Desk, words: Words, memory: FileMemory) -> AsyncIterator[PlatewrightClient]:
    """Connect a client and wait until it hears interactions."""
    async with PlatewrightClient(desk=desk, words=words, suggest=suggest, memory=memory) as client:
        running = asyncio.create_task(client.start(platform.token))
        ready = asyncio.create_task(platform.gateway.until_ready())
        await asyncio.wait({running, ready}, return_when=asyncio.FIRST_COMPLETED)
        if running.done():
            ready.cancel()
            await running
        await ready
        yield client
        await client.close()
        await asyncio.wait_for(running, 5)


@pytest.fixture
async def connected(platform, words, tmp_path) -> AsyncIterator[Connected]:
    answerer = InventedAnswerer()
    desk = Desk(answerer, words, reference=lambda: "abc2345", patience_s=PATIENCE_S, longest_s=3.0)
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


@pytest.fixture
async def workshop(platform, words, tmp_path) -> AsyncIterator[tuple[Platform, Overheard]]:
    """The real service behind the real library, patient enough to answer at once."""
    async with compose(Settings(database=tmp_path / "cases.db")) as house:
        overheard = Overheard(house.service)
        desk = Desk(overheard, words, patience_s=20.0)
        async with connect(platform, desk, words, FileMemory(tmp_path / "memory.json")):
            yield platform, overheard
