"""Bad weather on demand: rate limits, failures of the platform, connections cut before or after the work."""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Literal

from aiohttp import web
from stand_in import wire

Kind = Literal["limited", "broken", "cut", "cut_after", "slow"]
"""``cut`` loses the request, ``cut_after`` only the answer to it."""
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


@dataclass(slots=True)
class Trouble:
    """One kind of trouble on one route, so many times."""

    route: str
    kind: Kind
    times: int
    seconds: float
    everywhere: bool


@dataclass(slots=True)
class Troubles:
    """What is to go wrong.

    Attributes:
        met: Route and kind of every trouble the service has met.
    """

    coming: list[Trouble] = field(default_factory=list)
    met: list[tuple[str, Kind]] = field(default_factory=list)

    def expect(self, route: str, kind: Kind, times: int = 1, *, seconds: float = 0.3, everywhere: bool = False) -> None:
        """Let the next requests on a route, by its name in ``rest.ROUTES``, meet trouble.

        Args:
            route: Name of the route; empty for every route.
            kind: What happens.
            times: How often.
            seconds: How long a limit lasts, or how long it takes to answer.
            everywhere: Whether the limit is the one over all routes.
        """
        self.coming.append(Trouble(route, kind, times, seconds, everywhere))

    async def meet(self, route: str, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Answer a request, or let it meet the trouble that is due."""
        trouble = next((one for one in self.coming if one.times and one.route in {"", route}), None)
        if trouble is None:
            return await handler(request)
        trouble.times -= 1
        self.met.append((route, trouble.kind))
        if trouble.kind == "limited":
            return _limited(route, trouble)
        if trouble.kind == "broken":
            return wire.answer({"message": "502: Bad Gateway", "code": 0}, status=502)
        if trouble.kind == "slow":
            await asyncio.sleep(trouble.seconds)
            return await handler(request)
        done = await handler(request) if trouble.kind == "cut_after" else web.Response()
        if request.transport is not None:
            request.transport.abort()
        return done


def _limited(route: str, trouble: Trouble) -> web.Response:
    wait = trouble.seconds
    # The library takes an answer without Via for one of a gate-keeper before the platform, and gives up.
    headers = {"Via": "1.1 stand-in", "Retry-After": f"{wait:.3f}"}
    if trouble.everywhere:
        headers |= {"X-RateLimit-Global": "true", "X-RateLimit-Scope": "global"}
    else:
        headers |= {
            "X-RateLimit-Bucket": route,
            "X-RateLimit-Limit": "5",
            "X-RateLimit-Remaining": "0",
            "X-RateLimit-Reset-After": f"{wait:.3f}",
            "X-RateLimit-Scope": "user",
        }
    body = {"message": "You are being rate limited.", "retry_after": wait, "global": trouble.everywhere}
    return wire.answer(body, status=429, headers=headers)
