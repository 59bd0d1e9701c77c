"""Requests of the service in, bodies and files out; answers and refusals as the platform words them."""

import json
from typing import Any

from aiohttp import web

UNKNOWN_CHANNEL, UNKNOWN_MESSAGE, UNKNOWN_WEBHOOK, UNKNOWN_INTERACTION = 10003, 10008, 10015, 10062
NO_ACCESS, NOT_THE_AUTHOR, UNREACHABLE, NO_PERMISSION = 50001, 50005, 50007, 50013
TOKEN_EXPIRED, MALFORMED = 50027, 50035
ALREADY_ACKNOWLEDGED, THREAD_EXISTS = 40060, 160004
_SAID = {
    UNKNOWN_CHANNEL: (404, "Unknown Channel"),
    UNKNOWN_MESSAGE: (404, "Unknown Message"),
    UNKNOWN_WEBHOOK: (404, "Unknown Webhook"),
    UNKNOWN_INTERACTION: (404, "Unknown interaction"),
    NO_ACCESS: (403, "Missing Access"),
    NOT_THE_AUTHOR: (403, "Cannot edit a message authored by another user"),
    UNREACHABLE: (403, "Cannot send messages to this user"),
    NO_PERMISSION: (403, "Missing Permissions"),
    TOKEN_EXPIRED: (401, "Invalid Webhook Token"),
    MALFORMED: (400, "Invalid Form Body"),
    ALREADY_ACKNOWLEDGED: (400, "Interaction has already been acknowledged."),
    THREAD_EXISTS: (400, "A thread has already been created for this message"),
}


class Refusal(Exception):
    """What the platform does not do, by its code."""

    def __init__(self, code: int, found: list[str] | None = None) -> None:
        super().__init__(code)
        self.code = code
        self.found = found or []

    @property
    def response(self) -> web.Response:
        """What the service hears of it."""
        status, message = _SAID[self.code]
        return answer({"code": self.code, "message": "; ".join([message, *self.found])}, status=status)


async def read(request: web.Request) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return the body and the files of a JSON or multipart request.

    Raises:
        Refusal: A file is not where the body says it is.
    """
    if not request.content_type.startswith("multipart/"):
        return (await request.json() if request.can_read_body else {}), {}
    body: dict[str, Any] = {}
    files: dict[str, bytes] = {}
    parts: dict[str, str] = {}
    async for part in await request.multipart():
        if part.name == "payload_json":
            body = json.loads(await part.text())
        else:
            parts[part.name] = part.filename
            files[part.filename] = bytes(await part.read())
    listed = (body.get("data") or body).get("attachments") or []
    misplaced = [
        f"files[{one['id']}] is not {one['filename']}"
        for one in listed
        if one["filename"] in files and parts.get(f"files[{one['id']}]") != one["filename"]
    ]
    if misplaced:
        raise Refusal(MALFORMED, misplaced)
    return body, files


def answer(body: Any, status: int = 200, headers: dict[str, str] | None = None) -> web.Response:
    """Return an answer in JSON."""
    # The library takes a body for JSON only when the type says exactly this.
    typed = {"Content-Type": "application/json", **(headers or {})}
    return web.Response(body=json.dumps(body).encode(), status=status, headers=typed)
