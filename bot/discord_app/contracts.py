"""What this front end asks of whoever puts the program together. Nothing here knows how any of it is done."""

from collections.abc import Callable, Sequence
from typing import Protocol

from core.card import Card
from core.commands import Inquiry


class Answerer(Protocol):
    """The service behind every front end."""

    async def handle(self, inquiry: Inquiry) -> Card:
        """Return the answer. A person's mistake is a card of tone ``fault``; only our own failures raise."""
        ...


class Memory(Protocol):
    """A few texts that outlive the process."""

    async def recall(self, key: str) -> str | None:
        """Return what was kept under ``key``."""
        ...

    async def remember(self, key: str, value: str) -> None:
        """Keep ``value`` under ``key``."""
        ...


Suggest = Callable[[str, str], Sequence[tuple[str, str]]]
"""Option name and what is typed so far, to pairs of label and value, best first. Called at each key press."""
