"""The REST side of the stand-in: every endpoint, authorisation, registration of commands.

What is behind the endpoints stands in ``answering`` for interactions and in ``posting`` for channels.
"""

from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Any

from aiohttp import web
from stand_in import limits, schema, wire
from stand_in.answering import Answering
from stand_in.payloads import APPLICATION, BOT_USER
from stand_in.posting import Posting

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

Endpoint = Callable[[web.Request], Awaitable[web.Response]]

API = "/api/v10"
HOOK = f"{API}/webhooks/{APPLICATION}/{{token}}"
CHANNEL = f"{API}/channels/{{channel}}"
MESSAGE = f"{CHANNEL}/messages/{{message}}"


class Rest:
    """Handlers of one stand-in."""

    def __init__(self, platform: "Platform") -> None:
        self._platform = platform
        self._answering = Answering(platform)
        self._posting = Posting(platform)

    def routes(self) -> list[web.RouteDef]:
        """Return all endpoints such a bot needs; ``unknown`` takes any other."""
        answering, posting = self._answering, self._posting
        with_token = (
            ("POST", f"{API}/interactions/{{id}}/{{token}}/callback", "callback", answering.call_back),
            ("POST", HOOK, "follow_up", answering.follow_up),
            ("GET", f"{HOOK}/messages/{{message}}", "look", answering.show),
            ("PATCH", f"{HOOK}/messages/{{message}}", "edit", answering.edit),
            ("DELETE", f"{HOOK}/messages/{{message}}", "delete", answering.delete),
        )
        as_bot = (
            ("GET", f"{API}/users/@me", "me", _always(BOT_USER)),
            ("GET", f"{API}/oauth2/applications/@me", "application", _always(self._platform.application)),
            ("GET", f"{API}/applications/@me", "application_too", _always(self._platform.application)),
            ("PUT", f"{API}/applications/{APPLICATION}/commands", "register", self._register),
            ("POST", f"{API}/users/@me/channels", "direct", posting.open_direct),
            ("GET", CHANNEL, "channel", posting.show_channel),
            ("PATCH", CHANNEL, "change_channel", posting.change_thread),
            ("POST", f"{CHANNEL}/messages", "post", posting.post),
            ("GET", MESSAGE, "show", posting.show),
            ("PATCH", MESSAGE, "change", posting.edit),
            ("DELETE", MESSAGE, "remove", posting.delete),
            ("POST", f"{MESSAGE}/threads", "thread_at", posting.open_thread_at),
            ("POST", f"{CHANNEL}/threads", "thread", posting.open_thread),
        )
        return [
            *(web.route(method, path, self._kindly(run), name=name) for method, path, name, run in with_token),
            *(
                web.route(method, path, self._authorised(self._kindly(run)), name=name)
                for method, path, name, run in as_bot
            ),
        ]

    @web.middleware
    async def weather(self, request: web.Request, handler: Endpoint) -> web.StreamResponse:
        """Let requests meet the trouble that is due."""
        route = request.match_info.route.name or ""
        if route == "callback" and self._platform.cut_next:
            self._platform.cut_next -= 1
            self._platform.troubles.expect(route, "cut_after")
        return await self._platform.troubles.meet(route, request, handler) if route else await handler(request)

    async def unknown(self, request: web.Request) -> web.Response:
        """Note that an endpoint was asked for that the platform, or this stand-in, does not have."""
        self._platform.faults.append(f"no such endpoint: {request.method} {request.path}")
        return wire.answer({"message": "404: Not Found", "code": 0}, status=404)

    def _authorised(self, run: Endpoint) -> Endpoint:
        async def handle(request: web.Request) -> web.Response:
            if request.headers.get("Authorization") != f"Bot {self._platform.token}":
                return wire.answer({"message": "401: Unauthorized", "code": 0}, status=401)
            return await run(request)

        return handle

    def _kindly(self, run: Endpoint) -> Endpoint:
        """Word refusals, and note what no well-behaved bot sends."""

        async def handle(request: web.Request) -> web.Response:
            try:
                return await run(request)
            except wire.Refusal as refusal:
                self._platform.faults += refusal.found
                return refusal.response

        return handle

    async def _register(self, request: web.Request) -> web.Response:
        commands = await request.json()
        found = limits.faults_of_commands(commands)
        for command in commands:
            found += schema.faults_by_description(schema.COMMAND, command)
        if found:
            raise wire.Refusal(wire.MALFORMED, found)
        self._platform.registrations.append(commands)
        extra = {"application_id": APPLICATION, "version": "1", "default_member_permissions": None, "description": ""}
        return wire.answer([{**extra, **command} for command in self._platform.commands])


def _always(answer: dict[str, Any]) -> Endpoint:
    async def handle(_request: web.Request) -> web.Response:
        return wire.answer(answer)

    return handle
