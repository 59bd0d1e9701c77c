"""A loopback stand-in of the chat platform: REST and gateway on one port that the system chooses.

It keeps the platform's rules (tokens, one callback per interaction, documented limits, the published description
where it is at hand), refuses what the platform would refuse, and records everything. A test that ends with faults
recorded fails.
"""

import asyncio
import itertools
import time
from types import TracebackType
from typing import Any, Self

from aiohttp import web
from stand_in.gateway import Gateway
from stand_in.payloads import APPLICATION, OWNER
from stand_in.record import Conversation
from stand_in.rest import Rest

TOKEN = "an-invented-token"
_EPOCH_MS = 1420070400000


class Platform:
    """Start with ``async with``; then ``rest_url`` and ``gateway_url`` are where it listens."""

    def __init__(self) -> None:
        self.token = TOKEN
        self.faults: list[str] = []
        self.registrations: list[list[dict[str, Any]]] = []
        self.conversations: dict[str, Conversation] = {}
        self.cut_next = 0
        """How many of the next callbacks are carried out, but their connection cut before the answer."""
        self.refuse_next = 0
        """How many of the next messages are refused as malformed."""
        self.pressed_is_gone = False
        """Whether the messages whose buttons are pressed have been deleted meanwhile."""
        self.gateway = Gateway(self)
        self._count = itertools.count(1)
        self._runner: web.AppRunner | None = None
        self._port = 0

    @property
    def rest_url(self) -> str:
        return f"http://127.0.0.1:{self._port}/api/v10"

    @property
    def gateway_url(self) -> str:
        return f"ws://127.0.0.1:{self._port}/gateway"

    async def __aenter__(self) -> Self:
        app = web.Application()
        app.add_routes(Rest(self).routes())
        app.router.add_get("/gateway", self.gateway.handle)
        app.router.add_get("/gateway/", self.gateway.handle)
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=1.0)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", 0)
        await site.start()
        self._port = self._runner.addresses[0][1]
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self.gateway.close()
        if self._runner is not None:
            async with asyncio.timeout(5):
                await self._runner.cleanup()
        if error is None:
            assert self.faults == [], "the platform would have refused something"

    async def send(self, payload: dict[str, Any]) -> Conversation:
        """Send an interaction to the connected bot."""
        number = next(self._count)
        identifier = str((int(time.time() * 1000) - _EPOCH_MS << 22) + number)
        conversation = Conversation(
            identifier, f"token-of-interaction-{number}", time.monotonic(), kind=payload["type"]
        )
        self.conversations[conversation.token] = conversation
        await self.gateway.dispatch("INTERACTION_CREATE", {**payload, "id": identifier, "token": conversation.token})
        return conversation

    @property
    def application(self) -> dict[str, Any]:
        return {
            "id": APPLICATION,
            "name": "platewright",
            "description": "",
            "flags": 0,
            "icon": None,
            "bot_public": False,
            "bot_require_code_grant": False,
            "verify_key": "00",
            "team": None,
            "owner": OWNER,
        }
