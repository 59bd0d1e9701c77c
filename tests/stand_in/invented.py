"""An invented service behind the front end, for what the real one never does on demand: dawdle, fail, overflow.

``invented.py REST_URL GATEWAY_URL MEMORY_FILE`` serves with it in a process of its own.
"""

import asyncio
import json
import sys
from datetime import datetime
from functools import cache
from pathlib import Path

PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c49444154789c63f8cfc000000301010018dd8db0"
    "0000000049454e44ae426082"
)
"""One red dot."""

if __name__ == "__main__":
    # In place of this folder, whose files must not stand in for modules of the same name.
    sys.path[:1] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from core.card import Action, Card, Picture, Section  # noqa: E402 - only after the paths above
from core.commands import Inquiry  # noqa: E402
from core.errors import ServiceFailure  # noqa: E402
from core.service.reminders import Reminder  # noqa: E402
from core.words import Words, languages, load_words  # noqa: E402

SLOW_S = 1.8


@cache
def texts() -> dict[str, Words]:
    """Return the texts of every language, read once."""
    return {language: load_words(language) for language in languages()}


class InventedAnswerer:
    """Answers by what stands in the option ``nominal`` or, for other commands, ``seen``."""

    def __init__(self) -> None:
        self.heard: list[Inquiry] = []
        self.wish = ""
        """Stands in for every option, where the inquiry itself cannot say it."""
        self.actions: tuple[Action, ...] = ()
        self.release = asyncio.Event()
        self.entered = asyncio.Event()
        self.card: Card | None = None
        """Answers everything that needs no longer, where there is one."""
        self.refusal: Card | None = None
        self.due: tuple[Reminder, ...] = ()
        self.noted: list[tuple[str, ...]] = []
        """What was called beside ``handle``, with its arguments as text."""

    def words_for(self, language: str) -> Words:
        return texts().get(language.partition("-")[0], texts()["en"])

    async def refuses(self, _inquiry: Inquiry) -> Card | None:
        return self.refusal

    async def stands(self, community: str, number: int, place: str) -> None:
        self.noted.append(("stands", community, str(number), place))

    async def threaded(self, community: str, number: int, thread: str) -> None:
        self.noted.append(("threaded", community, str(number), thread))

    async def forget_community(self, community: str) -> None:
        self.noted.append(("forget", community))

    async def learn(self) -> None:
        pass

    async def tidy(self, at: datetime) -> int:
        self.noted.append(("tidy", at.isoformat()))
        return 0

    async def reminders(self, _at: datetime) -> tuple[Reminder, ...]:
        due, self.due = self.due, ()
        return due

    async def handle(self, inquiry: Inquiry) -> Card:
        self.heard.append(inquiry)
        wish = self.wish or inquiry.options.get("nominal") or inquiry.options.get("seen") or ""
        if "slow" in wish:
            await asyncio.sleep(SLOW_S)
        if "wait" in wish:
            self.entered.set()
            await self.release.wait()
        if "fail" in wish:
            raise ServiceFailure("invented_failure")
        if "bug" in wish:
            raise ZeroDivisionError(f"with what {inquiry.asker.person} wrote: {wish}")
        if "sure" in wish:
            # A question, as after a sentence: yes and no, for one person.
            yes_no = tuple(
                Action(answer.title(), "symptoms", {"confirm": answer}, once=True) for answer in ("yes", "no")
            )
            return Card(title="Right?", conclusion="The raft is shiny?", private=True, actions=yes_no)
        if "bad" in wish:
            return Card(title="Not quite", conclusion=f"nominal: {wish} is not a length", tone="fault", private=True)
        if self.card is not None:
            return self.card
        picture = Picture("plate-map.png", PNG, "Plate seen from above: right side thicker than the left.")
        return Card(
            title="Out of parallel",
            conclusion=f"The right side is further away than the left. {wish}",
            sections=(
                Section("do", "Do this", ("Loosen the screws.",)),
                Section("cautions", "Care", ("Wear gloves.",)),
            ),
            pictures=(picture,),
            tone="act",
            footer=f"Reference {inquiry.reference}",
            actions=(*self.actions, Action("Why?", "why"), Action("What next?", "next")),
        )


class FileMemory:
    """Keeps texts in one JSON file."""

    def __init__(self, path: Path) -> None:
        self._path = path

    async def recall(self, key: str) -> str | None:
        return self._all().get(key)

    async def remember(self, key: str, value: str) -> None:
        self._path.write_text(json.dumps({**self._all(), key: value}))

    def _all(self) -> dict[str, str]:
        return json.loads(self._path.read_text()) if self._path.exists() else {}


def suggest(choices: str, typed: str, _language: str = "en") -> list[tuple[str, str]]:
    """Forty suggestions, some of them longer than the platform takes."""
    return [(f"{choices} {typed} {number} {'long ' * number}".strip(), f"value_{number}") for number in range(40)]


if __name__ == "__main__":
    from stand_in.launch import redirect

    from bot.discord_app.run import serve
    from bot.logs import configure_logs
    from bot.settings import read_settings

    redirect(sys.argv[1], sys.argv[2])
    configure_logs("INFO")
    memory = FileMemory(Path(sys.argv[3]))
    asyncio.run(serve(read_settings(), InventedAnswerer(), texts()["en"], texts(), suggest, memory))
