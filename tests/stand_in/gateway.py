"""The gateway of the stand-in: hello, identify, ready, heartbeats, events, drops, resume."""

import asyncio
import json
from typing import TYPE_CHECKING, Any

from aiohttp import WSMsgType, web
from stand_in.payloads import APPLICATION, BOT_USER

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

DISPATCH, HEARTBEAT, IDENTIFY, RESUME, RECONNECT, INVALID, HELLO, ACK = 0, 1, 2, 6, 7, 9, 10, 11
AUTHENTICATION_FAILED = 4004
HEARTBEAT_MS = 2000


class Gateway:
    """One bot at a time."""

    def __init__(self, platform: "Platform") -> None:
        self._platform = platform
        self._socket: web.WebSocketResponse | None = None
        self._ready = asyncio.Event()
        self._sequence = 0
        self._session, self._sessions = "", 0
        self._sent: list[dict[str, Any]] = []
        self.identified: list[dict[str, Any]] = []
        self.resumed = 0
        self.heartbeats = 0
        self.closed_by_bot: int | None = None
        self.refuses_token = False
        self.silent = False
        self.connected = asyncio.Event()

    async def handle(self, request: web.Request) -> web.WebSocketResponse:
        """Serve one connection."""
        socket = web.WebSocketResponse()
        await socket.prepare(request)
        self.connected.set()
        if self.silent:
            await socket.receive()
            return socket
        await self._send(socket, HELLO, {"heartbeat_interval": HEARTBEAT_MS})
        async for message in socket:
            if message.type is WSMsgType.TEXT:
                payload = json.loads(message.data)
                await self._take(socket, payload["op"], payload["d"])
        if socket is self._socket:
            self.closed_by_bot = socket.close_code
            self._ready.clear()
        return socket

    async def until_ready(self, seconds: float = 15.0) -> None:
        """Wait for a bot that identified or resumed."""
        async with asyncio.timeout(seconds):
            await self._ready.wait()

    @property
    def lost(self) -> bool:
        """Whether no bot is connected."""
        return not self._ready.is_set()

    async def dispatch(self, event: str, data: dict[str, Any]) -> None:
        """Send an event; while no bot is connected it is kept for the one that resumes."""
        self._sequence += 1
        payload = {"op": DISPATCH, "s": self._sequence, "t": event, "d": data}
        self._sent.append(payload)
        if self._ready.is_set() and self._socket is not None and not self._socket.closed:
            await self._socket.send_json(payload)

    async def drop(self) -> None:
        """Ask the bot to reconnect and cut it off."""
        socket = self._let_go()
        if socket is not None:
            await self._send(socket, RECONNECT, None)

    async def cut(self) -> None:
        """Lose the connection without a word."""
        socket = self._let_go()
        if socket is not None and socket._req is not None and socket._req.transport is not None:
            socket._req.transport.abort()

    async def invalidate(self) -> None:
        """End the session: the bot has to identify anew, and what it missed is lost."""
        self._session = ""
        socket = self._let_go()
        if socket is not None:
            await self._send(socket, INVALID, False)

    def _let_go(self) -> web.WebSocketResponse | None:
        socket, self._socket = self._socket, None
        self._ready.clear()
        return socket

    async def close(self) -> None:
        """End the connection."""
        if self._socket is not None and not self._socket.closed:
            async with asyncio.timeout(2):
                await self._socket.close(code=1000)

    async def _take(self, socket: web.WebSocketResponse, operation: int, data: Any) -> None:
        if operation == HEARTBEAT:
            self.heartbeats += 1
            await self._send(socket, ACK, None)
        elif operation == IDENTIFY:
            self.identified.append(data)
            if self.refuses_token or data["token"] != self._platform.token:
                await socket.close(code=AUTHENTICATION_FAILED)
                return
            await self._begin(socket)
        elif operation == RESUME:
            if data["session_id"] != self._session or data["token"] != self._platform.token:
                await self._send(socket, INVALID, False)
                return
            await self._go_on(socket, data["seq"])

    async def _begin(self, socket: web.WebSocketResponse) -> None:
        """Open a session: who the bot is, then every community."""
        self._sessions += 1
        self._session, self._sequence = f"invented-session-{self._sessions}", 0
        self._sent.clear()
        self._socket = socket
        communities = tuple(self._platform.communities.values())
        ready = {
            "v": 10,
            "user": BOT_USER,
            "guilds": [{"id": one.id, "unavailable": True} for one in communities],
            "session_id": self._session,
            "resume_gateway_url": self._platform.gateway_url,
            "application": {"id": APPLICATION, "flags": 0},
        }
        self._ready.set()
        await self.dispatch("READY", ready)
        for community in communities:
            await self.dispatch("GUILD_CREATE", community.payload())

    async def _go_on(self, socket: web.WebSocketResponse, heard: int) -> None:
        """Go on with a session: everything the bot has not heard, in order."""
        self.resumed += 1
        self._socket = socket
        for payload in [one for one in self._sent if one["s"] > heard]:
            await socket.send_json(payload)
        self._ready.set()
        await self.dispatch("RESUMED", {})

    @staticmethod
    async def _send(socket: web.WebSocketResponse, operation: int, data: Any) -> None:
        await socket.send_json({"op": operation, "d": data, "s": None, "t": None})
