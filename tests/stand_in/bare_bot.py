"""The least bot there can be: says hello at the gateway, hears events, and sends the requests a test tells it to."""

import asyncio
import json
from collections.abc import AsyncIterator, Coroutine
from contextlib import asynccontextmanager
from typing import Any

import aiohttp
from stand_in.answers import Said
from stand_in.chat_platform import Platform
from stand_in.gateway import DISPATCH, HELLO, IDENTIFY, RESUME
from stand_in.payloads import APPLICATION

SILENT = {"parse": []}
V2, PRIVATE = 1 << 15, 1 << 6
_SLASH, _MENU = {"name": "readings", "type": 1, "description": "x"}, {"name": "Read symptoms", "type": 3}
_CASE = {"name": "case", "type": 3, "description": "x", "autocomplete": True}
_ROLES = {"name": "helpers", "type": 8, "description": "x"}
_REPLIES = {"name": "replies", "type": 3, "description": "x", "choices": [{"name": "Private", "value": "private"}]}
COMMANDS = [
    {**_SLASH, "options": [{"name": "centre", "type": 3, "description": "x", "max_length": 8}]},
    {
        **_SLASH,
        "name": "case",
        "options": [{"name": "show", "type": 1, "description": "x", "options": [_CASE]}],
    },
    {**_SLASH, "name": "setup", "options": [_ROLES, _REPLIES], "contexts": [0], "default_member_permissions": 32},
    _MENU,
]
BUTTON = {"type": 2, "style": 2, "label": "Why?", "custom_id": "why"}
FORM = {
    "title": "Five readings",
    "custom_id": "form",
    "components": [
        {
            "type": 18,
            "label": "Centre",
            "component": {"type": 4, "custom_id": "centre", "style": 1, "max_length": 5, "required": True},
        },
        {
            "type": 18,
            "label": "Where",
            "component": {
                "type": 3,
                "custom_id": "where",
                "min_values": 0,
                "required": False,
                "options": [{"label": "Front left", "value": "front_left"}],
            },
        },
    ],
}


class BareBot:
    """One connection, and plain requests."""

    def __init__(self, platform: Platform, session: aiohttp.ClientSession) -> None:
        self._platform = platform
        self._session = session
        self._socket: aiohttp.ClientWebSocketResponse | None = None
        self._number, self._heard = "", 0

    async def connect(self, *, resume: bool = False) -> None:
        """Connect anew, or go on where the last connection ended."""
        self._socket = await self._session.ws_connect(self._platform.gateway_url)
        assert (await self._socket.receive_json())["op"] == HELLO
        token = self._platform.token
        if resume:
            told = {"token": token, "session_id": self._number, "seq": self._heard}
            await self._socket.send_json({"op": RESUME, "d": told})
        else:
            await self._socket.send_json({"op": IDENTIFY, "d": {"token": token, "intents": 1, "properties": {}}})
            self._number = (await self.hear("READY"))["session_id"]

    async def hear(self, event: str, seconds: float = 2.0) -> dict[str, Any]:
        """Return the next event of this name; others before it are let go."""
        async with asyncio.timeout(seconds):
            while True:
                told = await self._socket.receive_json()
                if told["op"] == DISPATCH:
                    self._heard = told["s"]
                    if told["t"] == event:
                        return told["d"]

    async def control(self, seconds: float = 2.0) -> int | None:
        """Return the next operation that is no event, or nothing if the connection ends first."""
        async with asyncio.timeout(seconds):
            while True:
                message = await self._socket.receive()
                if message.type is not aiohttp.WSMsgType.TEXT:
                    return None
                told = json.loads(message.data)
                if told["op"] != DISPATCH:
                    return told["op"]

    async def calls(
        self, method: str, path: str, body: Any = None, files: dict[str, bytes] | None = None
    ) -> tuple[int, dict[str, Any]]:
        """Send a request and return status and answer."""
        given: dict[str, Any] = {"json": body}
        if files:
            form = aiohttp.FormData()
            form.add_field("payload_json", json.dumps(body))
            for place, (name, content) in enumerate(files.items()):
                form.add_field(f"files[{place}]", content, filename=name)
            given = {"data": form}
        headers = {"Authorization": f"Bot {self._platform.token}"}
        url = f"{self._platform.rest_url}{path}"
        async with self._session.request(method, url, headers=headers, **given) as response:
            text = await response.text()
            return response.status, json.loads(text) if text else {}

    async def calls_back(
        self, heard: dict[str, Any], kind: int, data: dict[str, Any] | None = None
    ) -> tuple[int, dict[str, Any]]:
        """Answer an interaction."""
        told = {"allowed_mentions": SILENT, **data} if data is not None and kind in {4, 7} else data
        body = {"type": kind, **({"data": told} if told is not None else {})}
        return await self.calls("POST", f"/interactions/{heard['id']}/{heard['token']}/callback", body)

    async def hook(
        self, method: str, heard: dict[str, Any], message: str = "", body: dict[str, Any] | None = None
    ) -> tuple[int, dict[str, Any]]:
        """Follow up, or change or delete a message, by the token of an interaction."""
        path = f"/webhooks/{APPLICATION}/{heard['token']}" + (f"/messages/{message}" if message else "")
        told = None if body is None else {"allowed_mentions": SILENT, **body}
        return await self.calls(method, path, told)


@asynccontextmanager
async def bare_bot(platform: Platform) -> AsyncIterator[BareBot]:
    """Connect a bare bot for as long as the block lasts."""
    async with aiohttp.ClientSession(timeout=aiohttp.ClientTimeout(total=5)) as session:
        bot = BareBot(platform, session)
        await bot.connect()
        yield bot


def says(text: str, *more: dict[str, Any], private: bool = False) -> dict[str, Any]:
    """Return a message."""
    return {"flags": V2 | (PRIVATE if private else 0), "components": [{"type": 10, "content": text}, *more]}


def row(*parts: dict[str, Any]) -> dict[str, Any]:
    """Return buttons or a menu in a row."""
    return {"type": 1, "components": list(parts)}


@asynccontextmanager
async def connected() -> AsyncIterator[tuple[Platform, BareBot]]:
    """Start a platform with a bare bot that has registered some invented commands."""
    async with Platform() as platform, bare_bot(platform) as bot:
        status, told = await bot.calls("PUT", "/applications/700000000000000001/commands", COMMANDS)
        assert status == 200, told
        yield platform, bot


async def exchange(
    bot: BareBot, doing: Coroutine[Any, Any, Said], *answers: tuple[int, dict[str, Any] | None]
) -> tuple[Said, dict[str, Any]]:
    """Let a person do something, answer it, and return what they got."""
    asked = asyncio.create_task(doing)
    heard = await bot.hear("INTERACTION_CREATE")
    for kind, data in answers:
        status, body = await bot.calls_back(heard, kind, data)
        assert status == 200, body
    return await asked, heard
