"""People as a test has them act: they type commands, press buttons, fill in forms, choose from menus, look up.

A person can do only what their client would let them do: what is not registered, not offered here, not visible or not
to be pressed raises ``NotOffered``. Whoever wants to break the rules forges, by name.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Self

from stand_in import typing_in
from stand_in.answers import Form, Said
from stand_in.messages import Message
from stand_in.payloads import AUTOCOMPLETE, COMMAND, MODAL_SUBMIT, PRESS, envelope
from stand_in.registration import ON_MESSAGE
from stand_in.typing_in import NotOffered
from stand_in.world import ADMINISTRATOR, DIRECT, EVERYTHING, MEMBER, SINCE, Channel, Community, Role

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

PATIENCE_S = 30.0
IN_COMMUNITY, IN_PRIVATE = 0, 1


@dataclass(frozen=True, repr=False, slots=True, kw_only=True)
class Person:
    """Somebody, in the channel they are looking at.

    Attributes:
        roles: Roles of the community by name.
        locale: Language of their client.
    """

    platform: "Platform"
    user: Mapping[str, Any] = field(repr=False)
    channel: Channel = field(repr=False)
    roles: frozenset[str] | set[str] = frozenset()
    locale: str = "en-GB"
    administrator: bool = False

    @property
    def id(self) -> str:
        return self.user["id"]

    @property
    def handle(self) -> str:
        return self.user["username"]

    @property
    def community(self) -> Community | None:
        return self.channel.community

    # ---- where they are ---------------------------------------------------------------------------

    def at(self, channel: Channel) -> Self:
        """Return the same person, looking at another channel or thread."""
        return replace(self, channel=channel)

    @property
    def privately(self) -> Self:
        """The same person, in their private conversation with the service."""
        return self.at(self.platform.direct(dict(self.user)))

    def with_roles(self, *roles: str) -> Self:
        """Return the same person with other roles."""
        return replace(self, roles=frozenset(roles))

    # ---- what they do -----------------------------------------------------------------------------

    async def types(self, command: str, /, **options: "str | Role | Channel") -> Said:
        """Type a slash command, options by name, and wait for the answer."""
        data = typing_in.command_data(self._offered(command), command, options, self.platform)
        return await self._asks(COMMAND, data)

    async def looks_up(self, command: str, option: str, typed: str, /, **others: str) -> list[tuple[str, str]]:
        """Type part of an option and return what is offered, name and value."""
        data = typing_in.command_data(self._offered(command), command, {**others, option: typed}, self.platform, option)
        said = await self._asks(AUTOCOMPLETE, data)
        return [(choice["name"], choice["value"]) for choice in said.suggestions]

    async def presses(self, on: "Message | Said", label: str) -> Said:
        """Press the button of a message."""
        message = self._sees(on)
        button = message.buttons.get(label)
        if button is None or button.get("disabled"):
            raise NotOffered(f"{label!r} is none of {list(message.buttons)}, or rests: {message.text[:300]!r}")
        return await self.forges_press(message, button["custom_id"])

    async def chooses(self, on: "Message | Said", *values: str, menu: int = 0) -> Said:
        """Choose from a menu under a message."""
        message = self._sees(on)
        chosen = message.menus[menu]
        data = {"custom_id": chosen["custom_id"], "component_type": chosen["type"], "id": 1}
        return await self._asks(PRESS, {**data, "values": typing_in.values_of(chosen, values)}, on=message)

    async def fills(self, form: "Form | Said", **fields: str | Sequence[str]) -> Said:
        """Fill in a form that was shown to them, fields by custom_id or label, and send it."""
        form = form if isinstance(form, Form) else form.form
        if form.conversation.person["id"] != self.id:
            raise NotOffered(f"a form shown to somebody else than {self.handle}")
        return await self._asks(MODAL_SUBMIT, typing_in.submission(form.data, fields), on=form.conversation.pressed)

    async def chooses_menu(self, name: str, message: "Message | Said") -> Said:
        """Choose a command in the menu of a message."""
        target = self._sees(message)
        command = self._offered(name, ON_MESSAGE)
        resolved = {"messages": {target.id: target.payload()}}
        data = {"id": command["id"], "name": name, "type": ON_MESSAGE, "target_id": target.id, "resolved": resolved}
        return await self._asks(COMMAND, data)

    async def writes(self, text: str) -> Message:
        """Write a message of their own, which the service does not hear of."""
        sent = Message(id=self.platform.new_id(), channel=self.channel, author=self.user)
        sent.put({"content": text, "allowed_mentions": {"parse": []}}, {})
        return self.platform.post(sent)

    # ---- what no client would send ----------------------------------------------------------------

    async def forges_press(self, on: "Message | Said", custom_id: str) -> Said:
        """Send a press of a button that need not be there."""
        message = on if isinstance(on, Message) else on.message
        return await self._asks(PRESS, {"custom_id": custom_id, "component_type": 2, "id": 1}, on=message)

    async def forges_form(self, custom_id: str, fields: Mapping[str, str]) -> Said:
        """Send a form that was never shown."""
        return await self._asks(MODAL_SUBMIT, typing_in.forged_submission(custom_id, fields))

    def interaction(self, kind: int, data: Mapping[str, Any], on: Message | None = None) -> dict[str, Any]:
        """Return what the platform would tell of something they do here."""
        channel = self.channel
        told = envelope(kind, data, locale=self.locale, app_permissions=channel.permissions)
        told |= {"channel_id": channel.id, "channel": channel.payload() | {"permissions": str(self.permissions)}}
        if on is not None:
            told["message"] = on.payload()
        if channel.community is None:
            owners = {"0": "0"}
            return {**told, "user": self.user, "context": IN_PRIVATE, "authorizing_integration_owners": owners}
        community = channel.community
        member = {"user": self.user, "joined_at": SINCE, "deaf": False, "mute": False, "flags": 0, "nick": None}
        return {
            **told,
            "guild_id": community.id,
            "guild": {"id": community.id, "locale": community.locale, "features": []},
            "guild_locale": community.locale,
            "context": IN_COMMUNITY,
            "authorizing_integration_owners": {"0": community.id},
            "member": {
                **member,
                "roles": [community.role(name).id for name in sorted(self.roles)],
                "permissions": str(self.permissions),
            },
        }

    @property
    def permissions(self) -> int:
        """What they may do in this channel."""
        community = self.channel.community
        if community is None:
            return MEMBER
        if self.administrator or community.owner["id"] == self.id:
            return EVERYTHING
        held = MEMBER
        for name in self.roles:
            held |= community.role(name).permissions
        return EVERYTHING if held & ADMINISTRATOR else held

    # ---- details ----------------------------------------------------------------------------------

    async def _asks(self, kind: int, data: Mapping[str, Any], on: Message | None = None) -> Said:
        conversation = await self.platform.send(self.interaction(kind, data, on))
        try:
            await conversation.settled(PATIENCE_S)
        except TimeoutError:
            calls = [(call.kind, call.type) for call in conversation.calls]
            raise NoAnswer(f"{self.handle} heard nothing to {data}; calls {calls}") from None
        return Said(conversation)

    def _offered(self, name: str, kind: int = 1) -> dict[str, Any]:
        command = typing_in.find(self.platform.commands, name, kind)
        contexts = command.get("contexts")
        here = IN_PRIVATE if self.channel.kind == DIRECT else IN_COMMUNITY
        if contexts is not None and here not in contexts:
            raise NotOffered(f"{name} is not offered here")
        community = self.community
        wanted = command.get("default_member_permissions")
        if community is not None and wanted is not None and command["name"] not in community.eased:
            allowed = self.permissions == EVERYTHING or self.permissions & int(wanted) == int(wanted) != 0
            if not allowed:
                raise NotOffered(f"{name} is not offered to {self.handle}")
        return command

    def _sees(self, on: "Message | Said") -> Message:
        message = on if isinstance(on, Message) else on.message
        if not message.seen_by(self.id) or message.channel is not self.channel:
            raise NotOffered(f"{self.handle} does not see that message")
        if message.waiting:
            raise NotOffered("an answer is still being made")
        return message


class NoAnswer(AssertionError):
    """The service left somebody without an answer."""
