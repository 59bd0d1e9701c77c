"""What the service does in channels on its own account: messages, edits, threads, private conversations."""

from typing import TYPE_CHECKING, Any

from aiohttp import web
from stand_in import limits, schema, wire
from stand_in.answering import faults_of_written
from stand_in.messages import Message
from stand_in.payloads import BOT_USER
from stand_in.world import DIRECT, PUBLIC_THREAD, PUBLIC_THREADS, SEND, SEND_IN_THREADS, VIEW, Channel

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform


class Posting:
    """Endpoints that are authorised by the bot's own token."""

    def __init__(self, platform: "Platform") -> None:
        self._platform = platform

    async def post(self, request: web.Request) -> web.Response:
        """Send a message."""
        channel = self._channel(request)
        if channel.kind == DIRECT and channel.withheld & SEND:
            raise wire.Refusal(wire.UNREACHABLE)
        self._need(channel, SEND_IN_THREADS if channel.kind == PUBLIC_THREAD else SEND)
        body, files = await self._checked(request, schema.POST)
        message = Message(id=self._platform.new_id(), channel=channel, author=BOT_USER)
        message.put(body, files)
        return wire.answer(self._platform.post(message).payload())

    async def show(self, request: web.Request) -> web.Response:
        """Show a message."""
        return wire.answer(self._message(request).payload())

    async def edit(self, request: web.Request) -> web.Response:
        """Change a message of one's own."""
        message = self._message(request)
        if message.author != BOT_USER:
            raise wire.Refusal(wire.NOT_THE_AUTHOR)
        body, files = await self._checked(request, schema.CHANGE, message)
        message.put(body, files)
        return wire.answer(message.payload())

    async def delete(self, request: web.Request) -> web.Response:
        """Take a message of one's own back."""
        message = self._message(request)
        if message.author != BOT_USER:
            raise wire.Refusal(wire.NO_PERMISSION)
        message.deleted = True
        return web.Response(status=204)

    async def open_thread_at(self, request: web.Request) -> web.Response:
        """Open a thread at a message, whose number it then has."""
        message = self._message(request)
        if message.thread is not None:
            raise wire.Refusal(wire.THREAD_EXISTS)
        message.thread = await self._opened(request, message.channel, message.id, at_message=True)
        return wire.answer(message.thread.payload(), status=201)

    async def open_thread(self, request: web.Request) -> web.Response:
        """Open a thread in a channel."""
        channel = self._channel(request)
        thread = await self._opened(request, channel, self._platform.new_id(), at_message=False)
        return wire.answer(thread.payload(), status=201)

    async def show_channel(self, request: web.Request) -> web.Response:
        """Show a channel."""
        return wire.answer(self._channel(request).payload())

    async def change_thread(self, request: web.Request) -> web.Response:
        """Rename, archive or lock a thread."""
        channel = self._channel(request)
        body = await request.json()
        unknown = body.keys() - {"name", "archived", "locked", "auto_archive_duration"}
        if channel.kind != PUBLIC_THREAD or unknown:
            raise wire.Refusal(wire.MALFORMED, [f"change of channel {channel.name}: {sorted(body)}"])
        channel.archived = body.get("archived", channel.archived)
        channel.name = body.get("name", channel.name)
        return wire.answer(channel.payload())

    async def open_direct(self, request: web.Request) -> web.Response:
        """Open the private conversation with somebody."""
        identifier = (await request.json())["recipient_id"]
        user = {"id": str(identifier), "username": "somebody", "discriminator": "0", "avatar": None}
        return wire.answer(self._platform.direct(user).payload())

    async def _opened(self, request: web.Request, parent: Channel, identifier: str, *, at_message: bool) -> Channel:
        self._need(parent, PUBLIC_THREADS)
        body = await request.json()
        found = limits.faults_of_thread(body, at_message=at_message)
        if parent.kind in {DIRECT, PUBLIC_THREAD}:
            found.append("a thread outside a channel")
        if found:
            raise wire.Refusal(wire.MALFORMED, found)
        thread = Channel(identifier, body["name"], PUBLIC_THREAD, parent.community, parent)
        if parent.community is not None:
            parent.community.threads.append(self._platform.keep(thread))
        await self._platform.gateway.dispatch("THREAD_CREATE", {**thread.payload(), "newly_created": True})
        return thread

    def _channel(self, request: web.Request) -> Channel:
        channel = self._platform.channels.get(request.match_info["channel"])
        if channel is None or channel.gone:
            raise wire.Refusal(wire.UNKNOWN_CHANNEL)
        known = channel.community is None or channel.community.id in self._platform.communities
        if not known or not channel.permissions & VIEW:
            raise wire.Refusal(wire.NO_ACCESS)
        return channel

    def _message(self, request: web.Request) -> Message:
        channel = self._channel(request)
        message = self._platform.messages.get(request.match_info["message"])
        # A message for one person alone is only there for the token of its interaction.
        if message is None or message.channel is not channel or message.deleted or message.private or message.waiting:
            raise wire.Refusal(wire.UNKNOWN_MESSAGE)
        return message

    @staticmethod
    def _need(channel: Channel, permission: int) -> None:
        if channel.kind != DIRECT and not channel.permissions & permission:
            raise wire.Refusal(wire.NO_PERMISSION)

    @staticmethod
    async def _checked(
        request: web.Request, name: str, message: Message | None = None
    ) -> tuple[dict[str, Any], dict[str, bytes]]:
        body, files = await wire.read(request)
        found = faults_of_written(body, files, message) + schema.faults_by_description(name, body)
        if (body.get("flags") or 0) & limits.EPHEMERAL:
            found.append("only an answer to an interaction can be for one person alone")
        if found:
            raise wire.Refusal(wire.MALFORMED, found)
        return body, files
