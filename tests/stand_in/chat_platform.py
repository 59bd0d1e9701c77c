"""A loopback stand-in of the chat platform: REST and gateway on one port that the system chooses.

It keeps the platform's rules (tokens, one callback per interaction, documented limits, the published description
where it is at hand), refuses what the platform would refuse, and records everything. A test that ends with faults
recorded fails.

The world in it is small: communities with roles and channels (``world``), people who type, press and fill in
(``people``), messages that stay and change (``messages``). What goes wrong on demand is in ``troubles``.
"""

import asyncio
import itertools
import time
from types import TracebackType
from typing import Any, Self

from aiohttp import web
from stand_in.gateway import Gateway
from stand_in.messages import Message
from stand_in.payloads import APPLICATION, CHANNEL, CLUB, OWNER
from stand_in.people import Person
from stand_in.record import Conversation
from stand_in.rest import Rest
from stand_in.troubles import Troubles
from stand_in.world import DIRECT, Channel, Community

TOKEN = "an-invented-token"
_EPOCH_MS = 1420070400000


class Platform:
    """Start with ``async with``; then ``rest_url`` and ``gateway_url`` are where it listens."""

    def __init__(self) -> None:
        self.token = TOKEN
        self.faults: list[str] = []
        self.registrations: list[list[dict[str, Any]]] = []
        self.conversations: dict[str, Conversation] = {}
        self.communities: dict[str, Community] = {}
        self.channels: dict[str, Channel] = {}
        self.messages: dict[str, Message] = {}
        self.troubles = Troubles()
        self.cut_next = 0
        """How many of the next callbacks are carried out, but their connection cut before the answer."""
        self.refuse_next = 0
        """How many of the next messages are refused as malformed."""
        self.pressed_is_gone = False
        """Whether the messages whose buttons are pressed have been deleted meanwhile."""
        self.gateway = Gateway(self)
        self._count = itertools.count(1)
        self._ahead_s = 0.0
        self._runner: web.AppRunner | None = None
        self._port = 0
        self.club = Community(self, CLUB, "Tool library print club", OWNER)
        self.communities[CLUB] = self.club
        self.club.channels["failed-prints"] = self.keep(Channel(CHANNEL, "failed-prints", community=self.club))

    @property
    def rest_url(self) -> str:
        return f"http://127.0.0.1:{self._port}/api/v10"

    @property
    def gateway_url(self) -> str:
        return f"ws://127.0.0.1:{self._port}/gateway"

    async def __aenter__(self) -> Self:
        rest = Rest(self)
        app = web.Application(middlewares=[rest.weather], client_max_size=64 * 1024 * 1024)
        app.add_routes(rest.routes())
        app.router.add_get("/gateway", self.gateway.handle)
        app.router.add_get("/gateway/", self.gateway.handle)
        app.router.add_route("*", "/{anything:.*}", rest.unknown)
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

    # ---- the world --------------------------------------------------------------------------------

    def community(self, name: str, *, locale: str = "en-GB") -> Community:
        """Return another community, which knows the service from its next connection on."""
        made = Community(self, self.new_id(), name, OWNER, locale)
        self.communities[made.id] = made
        return made

    def person(self, handle: str, identifier: str = "", **how: Any) -> Person:
        """Return somebody, at first in the club's channel."""
        user = {"id": identifier or self.new_id(), "username": handle, "discriminator": "0", "avatar": None}
        first = next(iter(self.club.channels.values()))
        return Person(platform=self, user=user, channel=how.pop("channel", first), **how)

    def direct(self, user: dict[str, Any]) -> Channel:
        """Return the private conversation with somebody."""
        known = (one for one in self.channels.values() if one.person is not None and one.person["id"] == user["id"])
        found = next(known, None)
        return found or self.keep(Channel(self.new_id(), user["username"], DIRECT, person=user))

    def keep(self, channel: Channel) -> Channel:
        """Take a channel into the world."""
        self.channels[channel.id] = channel
        return channel

    def post(self, message: Message) -> Message:
        """Take a message into the world."""
        self.messages[message.id] = message
        message.channel.messages.append(message)
        return message

    @property
    def commands(self) -> list[dict[str, Any]]:
        """The commands that were registered last, with their identifiers."""
        registered = self.registrations[-1] if self.registrations else []
        return [{**command, "id": command_id(place)} for place, command in enumerate(registered)]

    @property
    def pings(self) -> list[str]:
        """Everybody any message of the service would have pinged."""
        mine = (one for one in self.messages.values() if one.author.get("bot"))
        return [ping for one in mine for ping in one.pings]

    # ---- time and events --------------------------------------------------------------------------

    def pass_time(self, seconds: float) -> None:
        """Let what happens from now on happen later; nobody waits."""
        self._ahead_s += seconds

    def new_id(self) -> str:
        """Return an identifier that tells when it was made."""
        moment = int((time.time() + self._ahead_s) * 1000) - _EPOCH_MS
        # Far enough apart that the files of a message can be numbered on from it.
        return str((moment << 22) + 32 * next(self._count))

    async def send(self, payload: dict[str, Any]) -> Conversation:
        """Send an interaction to the connected bot."""
        identifier = self.new_id()
        told = payload.get("message")
        channel = self._channel_of(payload)
        conversation = Conversation(
            identifier,
            f"token-of-interaction-{identifier}",
            time.monotonic(),
            kind=payload["type"],
            payload=payload,
            missed=self.gateway.lost,
            channel=channel,
            pressed=None if told is None else self._pressed(told, channel),
        )
        self.conversations[conversation.token] = conversation
        await self.repeat(conversation)
        return conversation

    async def repeat(self, conversation: Conversation) -> None:
        """Send an interaction once more, under its number and token."""
        told = {**conversation.payload, "id": conversation.id, "token": conversation.token}
        await self.gateway.dispatch("INTERACTION_CREATE", told)

    def _channel_of(self, payload: dict[str, Any]) -> Channel:
        identifier, kind = payload["channel_id"], payload["channel"]["type"]
        known = self.channels.get(identifier)
        if known is not None and known.kind == kind:
            return known
        # Told of in a payload and not made here before.
        return Channel(identifier, "elsewhere", kind, person=payload.get("user"))

    def _pressed(self, told: dict[str, Any], channel: Channel) -> Message:
        known = self.messages.get(told["id"])
        if known is not None:
            return known
        data = {key: told[key] for key in ("content", "components", "embeds")}
        flags = told.get("flags") or 0
        return Message(
            id=told["id"],
            channel=channel,
            author=told["author"],
            data={**data, "flags": flags},
            attachments=list(told["attachments"]),
            files={one["filename"]: b"" for one in told["attachments"]},
        )

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


def command_id(place: int) -> str:
    """Return the identifier of a registered command by its place."""
    return str(720000000000000000 + place)
