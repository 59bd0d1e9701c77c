"""What the service answers to interactions: callback, follow-ups, edits and deletions by the interaction's token."""

import time
from typing import TYPE_CHECKING, Any

from aiohttp import web
from stand_in import limits, record, schema, wire
from stand_in.limits import EPHEMERAL, LOADING
from stand_in.messages import BY_COMMAND, BY_REPLY, Message
from stand_in.payloads import AUTOCOMPLETE, BOT_USER, MODAL_SUBMIT
from stand_in.record import Call, Conversation

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

ORIGINAL = "@original"
ABOUT_THE_PRESSED = (record.RESTING, record.UPDATE)
"""Callbacks about the message whose button was pressed; then that message is the original."""
WRITTEN = (record.MESSAGE, record.UPDATE)


class Answering:
    """Endpoints that are authorised by an interaction's token."""

    def __init__(self, platform: "Platform") -> None:
        self._platform = platform

    async def call_back(self, request: web.Request) -> web.Response:
        """Take the first answer to an interaction."""
        conversation = self._platform.conversations.get(request.match_info["token"])
        if conversation is None or conversation.id != request.match_info["id"]:
            raise wire.Refusal(wire.UNKNOWN_INTERACTION)
        body, files = await wire.read(request)
        kind, data = body["type"], body.get("data") or {}
        if conversation.acknowledged:
            raise wire.Refusal(wire.ALREADY_ACKNOWLEDGED)
        if _since(conversation) > record.FIRST_S:
            raise wire.Refusal(wire.UNKNOWN_INTERACTION)
        if self._platform.refuse_next and kind == record.MESSAGE:
            self._platform.refuse_next -= 1
            raise wire.Refusal(wire.MALFORMED)
        pressed = conversation.pressed
        if kind in ABOUT_THE_PRESSED and (self._platform.pressed_is_gone or (pressed is not None and pressed.deleted)):
            raise wire.Refusal(wire.UNKNOWN_MESSAGE)
        found = _faults_of_callback(conversation, kind, data, files)
        found += schema.faults_by_description(schema.BY_CALLBACK_TYPE[kind], body)
        if found:
            raise wire.Refusal(wire.MALFORMED, found)
        conversation.acknowledged = True
        self._carry_out(conversation, kind, data, files)
        await conversation.add(
            Call(kind=record.CALLBACK, type=kind, data=data, files=files, after_s=_since(conversation))
        )
        told: dict[str, Any] = {"interaction": {"id": conversation.id, "type": conversation.kind}}
        original = conversation.original
        if original is not None:
            told["interaction"] |= {
                "response_message_id": original.id,
                "response_message_loading": original.waiting,
                "response_message_ephemeral": original.private,
            }
        if kind in WRITTEN and original is not None:
            told["resource"] = {"type": kind, "message": original.payload()}
        return wire.answer(told)

    async def follow_up(self, request: web.Request) -> web.Response:
        """Take another message; the first one after a sign of life takes its place."""
        conversation = self._conversation(request)
        body, files = await self._checked(request, schema.FOLLOW_UP)
        original = conversation.original
        if original is not None and original.waiting:
            message = original
            message.put(body, files)
        else:
            message = self._say(conversation, body, files, kind=BY_REPLY)
        conversation.touch(message)
        await self._note(conversation, record.FOLLOW_UP, body, files)
        return wire.answer(message.payload())

    async def show(self, request: web.Request) -> web.Response:
        """Show a message."""
        return wire.answer(self._message(request, self._conversation(request)).payload())

    async def edit(self, request: web.Request) -> web.Response:
        """Change a message."""
        conversation = self._conversation(request)
        message = self._message(request, conversation)
        before = message.text
        body, files = await self._checked(request, schema.EDIT, message)
        message.put(body, files)
        conversation.touch(message, before)
        await self._note(conversation, record.EDIT, body, files)
        return wire.answer(message.payload())

    async def delete(self, request: web.Request) -> web.Response:
        """Take a message back."""
        conversation = self._conversation(request)
        self._message(request, conversation).deleted = True
        await self._note(conversation, record.DELETE, {}, {})
        return web.Response(status=204)

    def _carry_out(self, conversation: Conversation, kind: int, data: dict[str, Any], files: dict[str, bytes]) -> None:
        if kind in {record.MODAL, record.SUGGESTIONS}:
            conversation.answers += 1
        elif kind == record.MESSAGE:
            conversation.original = self._say(conversation, data, files)
            conversation.touch(conversation.original)
        elif kind == record.DEFERRED:
            conversation.original = self._say(conversation, data, files)
            conversation.original.data["flags"] |= LOADING
        else:
            conversation.original = conversation.pressed
            if kind == record.UPDATE and conversation.pressed is not None:
                before = conversation.pressed.text
                conversation.pressed.put(data, files)
                conversation.touch(conversation.pressed, before)

    def _say(
        self, conversation: Conversation, data: dict[str, Any], files: dict[str, bytes], kind: int = BY_COMMAND
    ) -> Message:
        private = (data.get("flags") or 0) & EPHEMERAL
        message = Message(
            id=self._platform.new_id(),
            channel=conversation.channel,
            author=BOT_USER,
            reader=conversation.person["id"] if private else "",
            kind=kind,
            asked_by=conversation.person,
        )
        message.put(data, files)
        return self._platform.post(message)

    def _conversation(self, request: web.Request) -> Conversation:
        conversation = self._platform.conversations.get(request.match_info["token"])
        if conversation is None or not conversation.acknowledged:
            raise wire.Refusal(wire.UNKNOWN_WEBHOOK)
        if _since(conversation) > record.TOKEN_S:
            raise wire.Refusal(wire.TOKEN_EXPIRED)
        return conversation

    def _message(self, request: web.Request, conversation: Conversation) -> Message:
        name = request.match_info["message"]
        own = {one.id: one for one in conversation.messages}
        message = conversation.original if name == ORIGINAL else own.get(name)
        gone = self._platform.pressed_is_gone and message is conversation.pressed
        if message is None or message.deleted or gone:
            raise wire.Refusal(wire.UNKNOWN_MESSAGE)
        return message

    async def _checked(
        self, request: web.Request, name: str, message: Message | None = None
    ) -> tuple[dict[str, Any], dict[str, bytes]]:
        body, files = await wire.read(request)
        found = faults_of_written(body, files, message) + schema.faults_by_description(name, body)
        if found:
            raise wire.Refusal(wire.MALFORMED, found)
        return body, files

    @staticmethod
    async def _note(conversation: Conversation, kind: str, body: dict[str, Any], files: dict[str, bytes]) -> None:
        await conversation.add(Call(kind=kind, data=body, files=files, after_s=_since(conversation)))


def faults_of_written(body: dict[str, Any], files: dict[str, bytes], message: Message | None = None) -> list[str]:
    """Check what is said, or how ``message`` will be once it has been changed."""
    if message is None:
        return limits.faults_of_message(body, files) + limits.faults_of_mentions(body)
    data, held = message.merged(body, files)
    found = limits.faults_of_message(data, held) + limits.faults_of_mentions(body)
    # Said of the body itself too: what it may not contain does not depend on what was there.
    return found + [fault for fault in limits.faults_of_keys(body) if fault not in found]


def _faults_of_callback(
    conversation: Conversation, kind: int, data: dict[str, Any], files: dict[str, bytes]
) -> list[str]:
    found: list[str] = []
    if kind in ABOUT_THE_PRESSED and conversation.pressed is None:
        found.append(f"callback {kind} is for what is on a message")
    if (kind == record.SUGGESTIONS) != (conversation.kind == AUTOCOMPLETE):
        found.append(f"callback {kind} does not answer an interaction of type {conversation.kind}")
    if kind == record.MODAL and conversation.kind == MODAL_SUBMIT:
        found.append("a form cannot answer a form")
    if kind == record.MESSAGE:
        found += faults_of_written(data, files)
    elif kind == record.UPDATE and conversation.pressed is not None:
        found += faults_of_written(data, files, conversation.pressed)
    elif kind == record.MODAL:
        found += limits.faults_of_modal(data)
    elif kind == record.SUGGESTIONS:
        found += limits.faults_of_suggestions(data)
    elif kind == record.DEFERRED and (data.keys() - {"flags"} or (data.get("flags") or 0) & ~EPHEMERAL):
        found.append(f"a sign of life can be private and nothing else: {data}")
    return found


def _since(conversation: Conversation) -> float:
    return time.monotonic() - conversation.started
