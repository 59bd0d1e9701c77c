"""A message as the platform keeps it: sent, edited, deleted, shown to those who may see it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import TYPE_CHECKING, Any

from stand_in.limits import COMPONENTS_V2, EPHEMERAL, LOADING, MENTIONS, walk, written
from stand_in.measures import BUTTON, CONTAINER, SELECTS

if TYPE_CHECKING:
    from stand_in.world import Channel

FILES_AT = "https://files.example.org/"
AT = "2026-11-25T18:00:00+00:00"
BY_COMMAND, BY_REPLY = 20, 19


@dataclass(eq=False, repr=False, slots=True, kw_only=True)
class Message:
    """One message.

    Attributes:
        reader: The only person who sees it, by id; nothing for everyone in the channel.
        thread: The thread that was opened at it, if any.
        versions: Every text it ever had, the first one first.
        edits: How often it was changed.
    """

    id: str
    channel: "Channel"
    author: Mapping[str, Any]
    data: dict[str, Any] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    attachments: list[dict[str, Any]] = field(default_factory=list)
    reader: str = ""
    kind: int = 0
    asked_by: Mapping[str, Any] | None = None
    deleted: bool = False
    thread: "Channel | None" = None
    versions: list[str] = field(default_factory=list)
    edits: int = -1
    _next_file: int = 1

    @property
    def flags(self) -> int:
        return self.data.get("flags") or 0

    @property
    def private(self) -> bool:
        """Whether one person alone sees it."""
        return bool(self.reader)

    @property
    def waiting(self) -> bool:
        """Whether it only says that an answer is being made."""
        return bool(self.flags & LOADING)

    @property
    def text(self) -> str:
        """Everything written in it."""
        return written(self.data)

    @property
    def buttons(self) -> dict[str, dict[str, Any]]:
        """Label to button."""
        everything = walk(self.data.get("components") or [])
        return {one["label"]: one for one in everything if one["type"] == BUTTON and one.get("label")}

    @property
    def menus(self) -> list[Mapping[str, Any]]:
        """Every menu, in order."""
        return [one for one in walk(self.data.get("components") or []) if one["type"] in SELECTS]

    @property
    def colour(self) -> int | None:
        """The stripe beside it."""
        boxes = (one for one in self.data.get("components") or [] if one["type"] == CONTAINER)
        return next((one.get("accent_color") for one in boxes), None)

    @property
    def pings(self) -> list[str]:
        """Everybody this message would have pinged."""
        allowed = self.data.get("allowed_mentions")
        silent = allowed is not None and not any(allowed.values())
        return [] if silent else MENTIONS.findall(self.text)

    def seen_by(self, person: str) -> bool:
        """Say whether it is there for somebody who may be in its channel."""
        return not self.deleted and self.reader in {"", person}

    def put(self, body: Mapping[str, Any], files: Mapping[str, bytes]) -> None:
        """Take what is sent or edited, once it has been found in order."""
        self.data, self.files = self.merged(body, files)
        kept = {one["id"]: one for one in self.attachments}
        self.attachments = [
            kept[str(one["id"])] if str(one["id"]) in kept else self._attached(one)
            for one in self.data.pop("attachments", [])
        ]
        self.edits += 1
        if self.text and self.versions[-1:] != [self.text]:
            self.versions.append(self.text)

    def merged(self, body: Mapping[str, Any], files: Mapping[str, bytes]) -> tuple[dict[str, Any], dict[str, bytes]]:
        """Return content and files as they will be: what an edit does not mention stays.

        Attachments stay unless a list of them is given; then those in the list stay, named by their ids.
        """
        before = {**self.data, "attachments": self.attachments}
        data = {**before, **{key: value for key, value in body.items() if key != "attachments"}}
        keep = {one["id"]: one for one in self.attachments}
        if "attachments" in body:
            listed = body["attachments"] or []
            data["attachments"] = [
                keep[str(one["id"])] | one | {"id": str(one["id"])} if str(one["id"]) in keep else one for one in listed
            ]
        else:
            data["attachments"] = list(self.attachments)
        sticky = self.flags & (COMPONENTS_V2 | EPHEMERAL)
        data["flags"] = (body.get("flags") or 0) & ~(EPHEMERAL | LOADING) | sticky
        stay = {one["filename"] for one in data["attachments"]}
        held = {name: content for name, content in self.files.items() if name in stay}
        named = {one["url"]: f"attachment://{one['filename']}" for one in self.attachments}
        data["components"] = [_renamed(one, named) for one in data.get("components") or []]
        return data, {**held, **files}

    def payload(self) -> dict[str, Any]:
        """Return what the platform tells of it."""
        told = {
            "id": self.id,
            "type": self.kind,
            "channel_id": self.channel.id,
            "author": self.author,
            "content": self.data.get("content") or "",
            "timestamp": AT,
            "edited_timestamp": AT if self.edits > 0 else None,
            "tts": False,
            "mention_everyone": False,
            "mentions": [],
            "mention_roles": [],
            "attachments": self.attachments,
            "embeds": self.data.get("embeds") or [],
            "pinned": False,
            "flags": self.flags | (EPHEMERAL if self.reader else 0),
            "components": numbered(self.data.get("components") or [], f"{self.id}/"),
        }
        if self.asked_by is not None:
            owners = {"0": self.channel.community.id if self.channel.community is not None else "0"}
            told["interaction_metadata"] = {
                "id": self.id,
                "type": 2,
                "user": self.asked_by,
                "authorizing_integration_owners": owners,
            }
        if self.thread is not None:
            told["thread"] = self.thread.payload()
        return told

    def _attached(self, sent: Mapping[str, Any]) -> dict[str, Any]:
        number, self._next_file = self._next_file, self._next_file + 1
        url = f"{FILES_AT}{self.id}/{sent['filename']}"
        size = len(self.files.get(sent["filename"], b""))
        return {**sent, "id": f"{int(self.id) + number}", "size": size, "url": url, "proxy_url": url}


def numbered(components: Sequence[Mapping[str, Any]], folder: str = "") -> list[dict[str, Any]]:
    """Return components as the platform tells of them: each with a number, files by their addresses."""
    return _numbered(components, count(1), f"{FILES_AT}{folder}")


def _numbered(components: Sequence[Mapping[str, Any]], number: Iterator[int], folder: str) -> list[dict[str, Any]]:
    found = []
    for one in components:
        told: dict[str, Any] = {**one, "id": next(number)}
        if "components" in one:
            told["components"] = _numbered(one["components"], number, folder)
        if "accessory" in one:
            (told["accessory"],) = _numbered([one["accessory"]], number, folder)
        if "items" in one:
            told["items"] = [{**item, "media": _media(item["media"], folder)} for item in one["items"]]
        if "media" in one:
            told["media"] = _media(one["media"], folder)
        if "file" in one:
            media = _media(one["file"], folder)
            told |= {"file": media, "name": media["url"].rpartition("/")[2], "size": 100}
        found.append(told)
    return found


def _media(media: Mapping[str, Any], folder: str) -> dict[str, Any]:
    url = media["url"].replace("attachment://", folder)
    return {"url": url, "proxy_url": url}


def _renamed(one: Mapping[str, Any], named: Mapping[str, str]) -> dict[str, Any]:
    """Return a component that shows what was already attached by the attachment's name."""
    told = {key: value for key, value in one.items() if key != "id"}
    for key in ("file", "media"):
        if key in one:
            told[key] = {"url": named.get(one[key]["url"], one[key]["url"])}
    if "items" in one:
        told["items"] = [
            {**item, "media": {"url": named.get(item["media"]["url"], item["media"]["url"])}} for item in one["items"]
        ]
    if "components" in one:
        told["components"] = [_renamed(inner, named) for inner in one["components"]]
    if "accessory" in one:
        told["accessory"] = _renamed(one["accessory"], named)
    return told
