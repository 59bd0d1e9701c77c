"""The gateway of the stand-in: hello, identify, ready, heartbeats, events, resume."""

import asyncio
import json
from typing import TYPE_CHECKING, Any

from aiohttp import WSMsgType, web
from stand_in.payloads import APPLICATION, BOT_USER, CLUB

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

DISPATCH, HEARTBEAT, IDENTIFY, RESUME, RECONNECT, INVALID, HELLO, ACK = 0, 1, 2, 6, 7, 9, 10, 11
AUTHENTICATION_FAILED = 4004
HEARTBEAT_MS = 2000
SESSION = "an-invented-session"


class Gateway:
    """One bot at a time."""

    def __init__(self, platform: "Platform") -> None:
        self._platform = platform
        self._socket: web.WebSocketResponse | None = None
        self._ready = asyncio.Event()
        self._sequence = 0
        self._missed: list[dict[str, Any]] = []
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

    async def dispatch(self, event: str, data: dict[str, Any]) -> None:
        """Send an event; while no bot is connected it is kept for the one that resumes."""
        self._sequence += 1
        payload = {"op": DISPATCH, "s": self._sequence, "t": event, "d": data}
        if self._ready.is_set() and self._socket is not None:
            await self._socket.send_json(payload)
        else:
            self._missed.append(payload)

    async def drop(self) -> None:
        """Ask the bot to reconnect and cut it off."""
        socket, self._socket = self._socket, None
        self._ready.clear()
        if socket is not None:
            await self._send(socket, RECONNECT, None)

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
            self._socket = socket
            self._sequence += 1
            ready = {
                "v": 10,
                "user": BOT_USER,
                "guilds": [{"id": CLUB, "unavailable": True}],
                "session_id": SESSION,
                "resume_gateway_url": self._platform.gateway_url,
                "application": {"id": APPLICATION, "flags": 0},
            }
            await socket.send_json({"op": DISPATCH, "s": self._sequence, "t": "READY", "d": ready})
            self._ready.set()
            await self.dispatch("GUILD_CREATE", club())
        elif operation == RESUME:
            if data["session_id"] != SESSION or data["token"] != self._platform.token:
                await self._send(socket, INVALID, False)
                return
            self.resumed += 1
            self._socket = socket
            for payload in self._missed:
                await socket.send_json(payload)
            self._missed.clear()
            self._sequence += 1
            await socket.send_json({"op": DISPATCH, "s": self._sequence, "t": "RESUMED", "d": {}})
            self._ready.set()

    @staticmethod
    async def _send(socket: web.WebSocketResponse, operation: int, data: Any) -> None:
        await socket.send_json({"op": operation, "d": data, "s": None, "t": None})


def club() -> dict[str, Any]:
    """Return an invented community."""
    return {
        "id": CLUB,
        "name": "Tool library print club",
        "owner_id": "900000000000000009",
        "roles": [],
        "emojis": [],
        "features": [],
        "channels": [],
        "members": [],
        "threads": [],
        "voice_states": [],
        "presences": [],
        "stickers": [],
        "stage_instances": [],
        "guild_scheduled_events": [],
        "member_count": 3,
        "large": False,
        "unavailable": False,
        "verification_level": 0,
        "default_message_notifications": 0,
        "explicit_content_filter": 0,
        "mfa_level": 0,
        "premium_tier": 0,
        "nsfw_level": 0,
        "preferred_locale": "en-GB",
        "system_channel_flags": 0,
    }
