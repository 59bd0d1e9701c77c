"""One inquiry on its way: who asks in what rank, and what answering it may use."""

from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass, field

from core.card import Picture
from core.cases.privacy import DIRECT
from core.cases.rows import Case, CaseKey, Community
from core.cases.store import Store
from core.commands import Inquiry, Who
from core.engine import Triage
from core.errors import Fault, Refused, UnusableInput
from core.learning import Taught
from core.report import Report
from core.service.answer import Tools
from core.service.standing import reaches
from core.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What a command that works on the store gets.

    Attributes:
        inquiry: What is asked.
        key: The asker's own case here; ``key.author`` is their pseudonym.
        rank: What they may do here.
        rules: How their community wants things.
        words: Texts of the asker's language.
        judge: Judges a report, off the event loop.
        draw: Draws pictures, off the event loop.
        charts: Charts of published figures that were drawn before.
        taught: What the community's confirmed cases taught, where there are any.
        pseudonym: The asker's pseudonym in any community.
    """

    inquiry: Inquiry
    key: CaseKey
    rank: Who
    rules: Community
    words: Words
    store: Store
    tools: Tools
    judge: Callable[[Report], Awaitable[Triage]]
    draw: Callable[[Callable[[], tuple[Picture, ...]]], Awaitable[tuple[Picture, ...]]]
    charts: MutableMapping[tuple[object, ...], tuple[Picture, ...]] = field(default_factory=dict)
    taught: Taught | None = None
    pseudonym: Callable[[str], str]

    @property
    def person(self) -> str:
        """The asker's pseudonym."""
        return self.key.author

    @property
    def helps(self) -> bool:
        """Whether the asker is at least a helper."""
        return reaches(self.rank, "helpers")

    def option(self, name: str) -> str:
        """Return an option's text, or nothing."""
        return self.inquiry.options.get(name, "").strip()

    async def case(self) -> Case:
        """Return the case that is meant: by its number, by its thread, or the asker's own open one.

        Raises:
            UnusableInput: The number is none.
            Refused: There is none, or it is somebody else's and the asker no helper.
        """
        given = self.option("case")
        found = await self.named_case() or (None if given else await self.store.open_case(self.key))
        if found is None:
            raise Refused("no_such_case", number=given) if given else Refused("no_case")
        return found

    async def named_case(self) -> Case | None:
        """Return the case that is meant by its number or its thread, or ``None`` where neither says one.

        Raises:
            UnusableInput: The number is none.
            Refused: It is somebody else's and the asker no helper, or there is none; which of the two is not told.
        """
        given, asker = self.option("case"), self.inquiry.asker
        if given:
            digits = given.lstrip("#")
            if not (digits.isascii() and digits.isdigit() and len(digits) <= _MOST_DIGITS):
                raise UnusableInput((Fault("case", given, "not_a_case"),))
            found = await self.store.case(self.key.community, int(digits))
        elif asker.community != DIRECT and asker.parent:
            found = await self.store.case_in_thread(self.key.community, asker.channel)
            if found is not None and found.state == "closed":
                # The talk goes on where it was, about the case that measures the fix.
                found = await self.store.open_case(found.key) or found
        else:
            return None
        own = found is not None and found.key.author == self.person
        if found is None or not (own or self.helps):
            if not given:
                return None
            raise Refused("no_such_case", number=given)
        return found


_MOST_DIGITS = 9
