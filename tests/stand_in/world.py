"""Communities, their roles and channels, and what the platform tells of them. All of it is invented."""

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform
    from stand_in.messages import Message

ADMINISTRATOR, MANAGE_GUILD = 1 << 3, 1 << 5
VIEW, SEND, EMBED, ATTACH, READ_HISTORY = 1 << 10, 1 << 11, 1 << 14, 1 << 15, 1 << 16
USE_COMMANDS, PUBLIC_THREADS, SEND_IN_THREADS = 1 << 31, 1 << 35, 1 << 38
MEMBER = VIEW | SEND | EMBED | ATTACH | READ_HISTORY | USE_COMMANDS | PUBLIC_THREADS | SEND_IN_THREADS
EVERYTHING = (1 << 53) - 1

TEXT_CHANNEL, DIRECT, PUBLIC_THREAD = 0, 1, 11
SINCE = "2026-11-25T18:00:00+00:00"


@dataclass(frozen=True, slots=True)
class Role:
    """A role of a community."""

    id: str
    name: str
    permissions: int = 0

    def payload(self, position: int = 1) -> dict[str, Any]:
        """Return what the platform tells of it."""
        return {
            "id": self.id,
            "name": self.name,
            "permissions": str(self.permissions),
            "position": position,
            "color": 0,
            "colors": {"primary_color": 0, "secondary_color": None, "tertiary_color": None},
            "hoist": False,
            "managed": False,
            "mentionable": False,
            "flags": 0,
        }


@dataclass(eq=False, repr=False, slots=True)
class Channel:
    """A channel of a community, a thread in one, or a private conversation.

    Attributes:
        withheld: Permissions the service lacks here.
        gone: Whether it has been deleted.
    """

    id: str
    name: str
    kind: int = TEXT_CHANNEL
    community: "Community | None" = None
    parent: "Channel | None" = None
    person: dict[str, Any] | None = None
    messages: "list[Message]" = field(default_factory=list)
    withheld: int = 0
    gone: bool = False
    archived: bool = False

    @property
    def permissions(self) -> int:
        """What the service may do here."""
        inherited = self.parent.withheld if self.parent is not None else 0
        return MEMBER & ~(self.withheld | inherited)

    def payload(self) -> dict[str, Any]:
        """Return what the platform tells of it."""
        told: dict[str, Any] = {"id": self.id, "type": self.kind, "last_message_id": None, "flags": 0}
        if self.community is None:
            return {**told, "recipients": [self.person] if self.person else []}
        told |= {
            "name": self.name,
            "guild_id": self.community.id,
            "parent_id": self.parent.id if self.parent is not None else None,
            "rate_limit_per_user": 0,
        }
        if self.kind != PUBLIC_THREAD:
            return {**told, "position": 0, "topic": None, "nsfw": False, "permission_overwrites": []}
        rest = {"archived": self.archived, "auto_archive_duration": 1440, "archive_timestamp": SINCE, "locked": False}
        return {
            **told,
            "owner_id": self.community.platform.application["id"],
            "message_count": len(self.messages),
            "total_message_sent": len(self.messages),
            "member_count": 1,
            "thread_metadata": {**rest, "create_timestamp": SINCE},
        }

    def seen_by(self, person: str) -> "list[Message]":
        """Return the messages that are there for one person."""
        return [one for one in self.messages if one.seen_by(person)]


@dataclass(eq=False, repr=False, slots=True)
class Community:
    """A community the service has been invited to.

    Attributes:
        eased: Commands an administrator has opened to everyone, whatever they were registered with.
    """

    platform: "Platform"
    id: str
    name: str
    owner: dict[str, Any]
    locale: str = "en-GB"
    roles: dict[str, Role] = field(default_factory=dict)
    channels: dict[str, Channel] = field(default_factory=dict)
    threads: list[Channel] = field(default_factory=list)
    eased: set[str] = field(default_factory=set)

    def channel(self, name: str) -> Channel:
        """Return the channel of this name, which is made if there is none."""
        if name not in self.channels:
            self.channels[name] = self.platform.keep(Channel(self.platform.new_id(), name, community=self))
        return self.channels[name]

    def role(self, name: str, permissions: int = 0) -> Role:
        """Return the role of this name, which is made if there is none."""
        if name not in self.roles:
            self.roles[name] = Role(self.platform.new_id(), name, permissions)
        return self.roles[name]

    def payload(self) -> dict[str, Any]:
        """Return what the platform tells of it."""
        everyone = Role(self.id, "@everyone", MEMBER)
        return {
            "id": self.id,
            "name": self.name,
            "owner_id": self.owner["id"],
            "roles": [everyone.payload(0), *(role.payload() for role in self.roles.values())],
            "channels": [one.payload() for one in self.channels.values() if not one.gone],
            "threads": [one.payload() for one in self.threads if not one.gone],
            "preferred_locale": self.locale,
            "member_count": 3,
            **{
                key: []
                for key in ("emojis", "features", "members", "voice_states", "presences", "stickers", "stage_instances")
            },
            "guild_scheduled_events": [],
            "large": False,
            "unavailable": False,
            **dict.fromkeys(
                (
                    "verification_level",
                    "default_message_notifications",
                    "explicit_content_filter",
                    "mfa_level",
                    "premium_tier",
                    "nsfw_level",
                    "system_channel_flags",
                ),
                0,
            ),
        }

    async def leaves(self) -> None:
        """Show the service the door."""
        del self.platform.communities[self.id]
        await self.platform.gateway.dispatch("GUILD_DELETE", {"id": self.id})

    async def goes_dark(self) -> None:
        """Be out of reach for a while, which is no good-bye."""
        await self.platform.gateway.dispatch("GUILD_DELETE", {"id": self.id, "unavailable": True})

    async def comes_back(self) -> None:
        """Be there, again or for the first time."""
        self.platform.communities[self.id] = self
        await self.platform.gateway.dispatch("GUILD_CREATE", self.payload())
