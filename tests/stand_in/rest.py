"""The REST side of the stand-in: registration of commands, callbacks of interactions, follow-ups."""

import json
import time
from typing import TYPE_CHECKING, Any

from aiohttp import web
from stand_in import limits, record, schema
from stand_in.payloads import APPLICATION, BOT_USER, PRESS, shown
from stand_in.record import Call, Conversation

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

UNKNOWN_MESSAGE, UNKNOWN_WEBHOOK, ALREADY_ACKNOWLEDGED, MALFORMED = 10008, 10015, 40060, 50035
ABOUT_THE_PRESSED = (record.RESTING, record.UPDATE)
"""Callbacks about the message whose button was pressed; then that message is the original."""
CHECKS = {
    record.MESSAGE: limits.faults_of_message,
    record.SUGGESTIONS: lambda data, _files: limits.faults_of_suggestions(data),
    record.MODAL: lambda data, _files: limits.faults_of_modal(data),
    record.DEFERRED: lambda _data, _files: [],
    record.RESTING: lambda _data, _files: [],
    record.UPDATE: limits.faults_of_message,
}


class Rest:
    """Handlers of one stand-in."""

    def __init__(self, platform: "Platform") -> None:
        self._platform = platform

    def routes(self) -> list[web.RouteDef]:
        """Return all endpoints a bot of slash commands needs; any other is answered 404 by the server."""
        api = "/api/v10"
        hook = f"{api}/webhooks/{{application}}/{{token}}"
        return [
            web.get(f"{api}/users/@me", self._authorised(BOT_USER)),
            web.get(f"{api}/oauth2/applications/@me", self._authorised(self._platform.application)),
            web.get(f"{api}/applications/@me", self._authorised(self._platform.application)),
            web.put(f"{api}/applications/{APPLICATION}/commands", self._register),
            web.post(f"{api}/interactions/{{id}}/{{token}}/callback", self._callback),
            web.post(hook, self._follow_up),
            web.patch(f"{hook}/messages/@original", self._edit),
            web.delete(f"{hook}/messages/@original", self._delete),
        ]

    def _authorised(self, answer: dict[str, Any]):
        async def handle(request: web.Request) -> web.Response:
            if request.headers.get("Authorization") != f"Bot {self._platform.token}":
                return _json({"message": "401: Unauthorized", "code": 0}, status=401)
            return _json(answer)

        return handle

    async def _register(self, request: web.Request) -> web.Response:
        commands = await request.json()
        self._platform.registrations.append(commands)
        found = limits.faults_of_commands(commands)
        for command in commands:
            found += schema.faults_by_description(schema.COMMAND, command)
        if found:
            return self._refuse(found)
        ids = ((str(720000000000000000 + place), command) for place, command in enumerate(commands))
        extra = {"application_id": APPLICATION, "version": "1", "default_member_permissions": None}
        return _json([{**extra, **command, "id": identifier} for identifier, command in ids])

    async def _callback(self, request: web.Request) -> web.Response:
        conversation = self._platform.conversations.get(request.match_info["token"])
        if conversation is None or conversation.id != request.match_info["id"]:
            return _refusal(404, 10062, "Unknown interaction")
        body, files = await _read(request)
        data = body.get("data") or {}
        if conversation.acknowledged:
            return _refusal(400, ALREADY_ACKNOWLEDGED, "Interaction has already been acknowledged.")
        if self._platform.refuse_next and body["type"] == record.MESSAGE:
            self._platform.refuse_next -= 1
            return _refusal(400, MALFORMED, "Invalid Form Body")
        if body["type"] in ABOUT_THE_PRESSED and self._platform.pressed_is_gone:
            return _refusal(404, UNKNOWN_MESSAGE, "Unknown Message")
        found = CHECKS[body["type"]](data, files)
        if body["type"] in ABOUT_THE_PRESSED and conversation.kind != PRESS:
            found.append(f"callback {body['type']} is for pressed buttons")
        found += schema.faults_by_description(schema.BY_CALLBACK_TYPE[body["type"]], body)
        if found:
            return self._refuse(found)
        conversation.acknowledged = True
        await conversation.add(
            Call(kind=record.CALLBACK, type=body["type"], data=data, files=files, after_s=_since(conversation))
        )
        if self._platform.cut_next:
            self._platform.cut_next -= 1
            request.transport.abort()
        answer = {"interaction": {"id": conversation.id, "type": 2, "response_message_id": "820000000000000001"}}
        if body["type"] == record.MESSAGE:
            answer["resource"] = {"type": 4, "message": shown(data)}
        return _json(answer)

    async def _follow_up(self, request: web.Request) -> web.Response:
        return await self._hook(request, record.FOLLOW_UP, schema.FOLLOW_UP)

    async def _edit(self, request: web.Request) -> web.Response:
        return await self._hook(request, record.EDIT, schema.EDIT)

    async def _delete(self, request: web.Request) -> web.Response:
        conversation = self._platform.conversations[request.match_info["token"]]
        await conversation.add(Call(kind=record.DELETE, after_s=_since(conversation)))
        return web.Response(status=204)

    async def _hook(self, request: web.Request, kind: str, name: str) -> web.Response:
        conversation = self._platform.conversations.get(request.match_info["token"])
        if conversation is None or not conversation.acknowledged:
            return _refusal(404, UNKNOWN_WEBHOOK, "Unknown Webhook")
        body, files = await _read(request)
        found = limits.faults_of_message(body, files) + schema.faults_by_description(name, body)
        if found:
            return self._refuse(found)
        await conversation.add(Call(kind=kind, data=body, files=files, after_s=_since(conversation)))
        return _json(shown(body))

    def _refuse(self, found: list[str]) -> web.Response:
        self._platform.faults += found
        return _refusal(400, MALFORMED, "Invalid Form Body: " + "; ".join(found))


async def _read(request: web.Request) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return the body and the files of a JSON or multipart request."""
    if not request.content_type.startswith("multipart/"):
        return await request.json(), {}
    body: dict[str, Any] = {}
    files: dict[str, bytes] = {}
    async for part in await request.multipart():
        if part.name == "payload_json":
            body = json.loads(await part.text())
        else:
            files[part.filename] = bytes(await part.read())
    return body, files


def _json(answer: Any, status: int = 200) -> web.Response:
    # The library takes a body for JSON only when the type says exactly this.
    headers = {"Content-Type": "application/json"}
    return web.Response(body=json.dumps(answer).encode(), status=status, headers=headers)


def _since(conversation: Conversation) -> float:
    return time.monotonic() - conversation.started


def _refusal(status: int, code: int, message: str) -> web.Response:
    return _json({"code": code, "message": message}, status=status)
