"""What the stand-in saw, for tests to look at."""

import asyncio
from dataclasses import dataclass, field
from typing import Any

from stand_in.limits import EPHEMERAL, references, walk

BUTTON, GALLERY, FILE = 2, 12, 13
CALLBACK, EDIT, FOLLOW_UP, DELETE = "callback", "edit", "follow_up", "delete"
MESSAGE, DEFERRED, RESTING, UPDATE, SUGGESTIONS, MODAL = 4, 5, 6, 7, 8, 9


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
        parts = [self.data.get("content") or ""]
        waiting = list(self.data.get("components") or [])
        while waiting:
            one = waiting.pop(0)
            parts.append(one.get("content") or "")
            waiting = [*(one.get("components") or []), *waiting]
        return "\n".join(part for part in parts if part)

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


class Conversation:
    """All that was said about one interaction."""

    def __init__(self, identifier: str, token: str, started: float, kind: int) -> None:
        self.id = identifier
        self.kind = kind
        self.token = token
        self.started = started
        self.calls: list[Call] = []
        self.acknowledged = False
        self._changed = asyncio.Condition()

    async def add(self, call: Call) -> None:
        """Note a request."""
        async with self._changed:
            self.calls.append(call)
            self._changed.notify_all()

    async def until(self, count: int, seconds: float = 5.0) -> list[Call]:
        """Wait until there are ``count`` requests and return all."""
        async with asyncio.timeout(seconds), self._changed:
            await self._changed.wait_for(lambda: len(self.calls) >= count)
        return self.calls

    async def answer(self, seconds: float = 5.0) -> Call:
        """Wait for the first request."""
        return (await self.until(1, seconds))[0]
