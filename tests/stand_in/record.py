"""What the stand-in saw, for tests to look at."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from stand_in.limits import EPHEMERAL, references, walk, written
from stand_in.messages import Message
from stand_in.world import Channel

BUTTON, GALLERY, FILE = 2, 12, 13
CALLBACK, EDIT, FOLLOW_UP, DELETE = "callback", "edit", "follow_up", "delete"
MESSAGE, DEFERRED, RESTING, UPDATE, SUGGESTIONS, MODAL = 4, 5, 6, 7, 8, 9
FIRST_S, TOKEN_S = 3.0, 15 * 60.0
"""How long a first answer may take, and how long a token lasts."""
QUIET_S = 0.1
"""After so long without another request an answer is taken to be complete."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One request about an interaction.

    Attributes:
        kind: Which endpoint.
        type: Type of a callback, else 0.
        data: The message or form.
        files: File name to content.
        after_s: Seconds since the interaction was sent.
    """

    kind: str
    type: int = 0
    data: dict[str, Any] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    after_s: float = 0.0

    @property
    def private(self) -> bool:
        """Whether the message is for the asker only."""
        return bool((self.data.get("flags") or 0) & EPHEMERAL)

    @property
    def text(self) -> str:
        """Everything written in the message."""
        return written(self.data)

    @property
    def shown(self) -> dict[int, list[str]]:
        """Type of component to the names of the attachments it shows, in order."""
        found: dict[int, list[str]] = {}
        for one in walk(self.data.get("components") or []):
            for url in references([one]):
                found.setdefault(one["type"], []).append(url.removeprefix("attachment://"))
        return found

    @property
    def buttons(self) -> dict[str, dict[str, Any]]:
        """Label to button, of all buttons in the message."""
        return {one["label"]: one for one in walk(self.data.get("components") or []) if one["type"] == BUTTON}


@dataclass(eq=False, repr=False, slots=True)
class Conversation:
    """All that was said about one interaction.

    Attributes:
        id: Of the interaction.
        token: With which it is answered.
        started: When it was sent, on the clock of this machine.
        kind: Of the interaction.
        payload: What the service is told, but for id and token.
        missed: Whether the gateway was lost when it was sent.
        channel: Where.
        pressed: The message whose component was used, if any.
        original: The message that stands for the first answer: what was sent, or what was pressed.
        messages: Every message sent or changed by the answers, the one that was touched last at the end.
        answers: When anything was last said that a person notices: how many times so far.
    """

    id: str
    token: str
    started: float
    kind: int
    payload: Mapping[str, Any] = field(default_factory=dict)
    missed: bool = False
    channel: Channel | None = None
    pressed: Message | None = None
    original: Message | None = None
    messages: list[Message] = field(default_factory=list)
    calls: list[Call] = field(default_factory=list)
    acknowledged: bool = False
    answers: int = 0
    _changed: asyncio.Condition = field(default_factory=asyncio.Condition)

    @property
    def person(self) -> Mapping[str, Any]:
        """Who asks."""
        return self.payload["user"] if "user" in self.payload else self.payload["member"]["user"]

    @property
    def command(self) -> str:
        """What was typed or chosen: the command with its sub-commands; nothing for presses and forms."""
        data, words = self.payload["data"], []
        while data.get("name") and data.get("type", 1) in {1, 2, 3} and "value" not in data:
            words.append(data["name"])
            data = next(iter(data.get("options") or []), {})
        return " ".join(words)

    async def add(self, call: Call) -> None:
        """Note a request."""
        async with self._changed:
            self.calls.append(call)
            self._changed.notify_all()

    def touch(self, message: Message, before: str = "") -> None:
        """Note a message that was sent or changed; drawing it again with the same words says nothing new."""
        if message in self.messages:
            self.messages.remove(message)
        self.messages.append(message)
        self.answers += bool(message.text) and message.text != before

    async def until(self, count: int, seconds: float = 5.0) -> list[Call]:
        """Wait until there are ``count`` requests and return all."""
        async with asyncio.timeout(seconds), self._changed:
            await self._changed.wait_for(lambda: len(self.calls) >= count)
        return self.calls

    async def answer(self, seconds: float = 5.0) -> Call:
        """Wait for the first request."""
        return (await self.until(1, seconds))[0]

    async def settled(self, seconds: float) -> None:
        """Wait until something has been said, and nothing more is being said."""
        async with asyncio.timeout(seconds):
            async with self._changed:
                await self._changed.wait_for(lambda: self.answers > 0)
            known = -1
            while known != len(self.calls):
                known = len(self.calls)
                await asyncio.sleep(QUIET_S)

    def grow_old(self) -> None:
        """Let the token's quarter of an hour pass."""
        self.started -= TOKEN_S
