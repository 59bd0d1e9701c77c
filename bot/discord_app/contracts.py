"""What this front end asks of whoever puts the program together. Nothing here knows how any of it is done."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Protocol

from core.card import Card
from core.commands import Inquiry
from core.service.reminders import Reminder
from core.words import Words


class Answerer(Protocol):
    """The service behind every front end."""

    async def handle(self, inquiry: Inquiry) -> Card:
        """Return the answer. A person's mistake is a card of tone ``fault``; only our own failures raise."""
        ...

    async def refuses(self, inquiry: Inquiry) -> Card | None:
        """Return what an inquiry would be refused with whatever else it says, or nothing."""
        ...

    def words_for(self, language: str) -> Words:
        """Return the texts of a language, or of another where there are none."""
        ...

    async def stands(self, community: str, number: int, place: str) -> None:
        """Note where the verdict of a case stands."""
        ...

    async def threaded(self, community: str, number: int, thread: str) -> None:
        """Note the thread that was opened for a case."""
        ...

    async def forget_community(self, community: str) -> None:
        """Delete everything of a community."""
        ...

    async def learn(self) -> None:
        """Learn afresh from what was confirmed."""
        ...

    async def tidy(self, at: datetime) -> int:
        """Let go of what is old; return how many cases that were."""
        ...

    async def reminders(self, at: datetime) -> tuple[Reminder, ...]:
        """Return whom to ask how it went; each case is returned once and never again."""
        ...


class Memory(Protocol):
    """A few texts that outlive the process."""

    async def recall(self, key: str) -> str | None:
        """Return what was kept under ``key``."""
        ...

    async def remember(self, key: str, value: str) -> None:
        """Keep ``value`` under ``key``."""
        ...


Suggest = Callable[[str, str, str], Sequence[tuple[str, str]]]
"""List to choose from, what is typed so far, tag of a language; to pairs of label and value, best first.

Called at each key press; with nothing typed it gives what is looked for most.
"""
