"""What the store takes and gives: frozen values, no rows."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from core.report import Report
from core.verdict import Verdict

State = Literal["open", "closed"]
Outcome = Literal["fixed_by_step", "fixed_otherwise", "not_fixed", "abandoned"]
FIXED: tuple[Outcome, ...] = ("fixed_by_step", "fixed_otherwise")
OTHER = "other"
"""A cause that is none of those the knowledge names."""


@dataclass(frozen=True, slots=True)
class CaseKey:
    """Whose case, where. ``author`` is a pseudonym."""

    community: str
    channel: str
    author: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """One attempt: what was known and what was answered."""

    attempt: int
    at: datetime
    report: Report
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A case and its latest judgement.

    Attributes:
        place: Where its verdict stands, in the front end's own terms; nothing where nothing stands.
        thread: Identifier of the thread that was opened for it, or nothing.
        changed_at: When something was last heard of it.
        claimed_by: Pseudonym of the helper who looks after it, or nothing.
        tries: How often its author said that it is not fixed yet.
        outcome: How it ended, once that is known; ``step`` is the remedy that fixed it.
        cause: What the helpers agree was true, once it is known.
        follows: Identity of the case whose fix this one measures again.
    """

    id: int
    number: int
    key: CaseKey
    state: State
    opened_at: datetime
    latest: Judgement
    place: str = ""
    thread: str = ""
    changed_at: datetime | None = None
    claimed_by: str = ""
    tries: int = 0
    outcome: Outcome | None = None
    step: str = ""
    outcome_at: datetime | None = None
    cause: str = ""
    follows: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """What a helper wrote about a case."""

    helper: str
    at: datetime
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """Which cause a helper holds for the true one; ``blind`` if given before others' answers could be seen."""

    helper: str
    cause: str
    at: datetime
    blind: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """An open case in the queue, without its judgements."""

    number: int
    opened_at: datetime
    channel: str
    thread: str
    claimed_by: str
    tries: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """All that is kept about a person.

    Attributes:
        cases: Their own, with every judgement.
        notes: By them, with the number of the case.
        opinions: By them, with the number of the case; what they confirmed among them.
        about: Notes by others on their cases.
        claims: Numbers of the cases they look after.
        proposals: What was understood of sentences by or about them and waits for a yes, each as JSON of a Report.
    """

    cases: tuple[tuple[Case, tuple[Judgement, ...]], ...] = ()
    notes: tuple[tuple[int, Note], ...] = ()
    opinions: tuple[tuple[int, Opinion], ...] = ()
    about: tuple[tuple[int, Note], ...] = ()
    claims: tuple[int, ...] = ()
    proposals: tuple[str, ...] = ()


class Community(BaseModel):
    """How a community wants things.

    Attributes:
        helpers: Identifier of the role of helpers, or nothing.
        moderators: Identifier of the role of moderators, or nothing.
        channels: Where questions are answered; everywhere if empty.
        retention_days: After so many days without a change a case loses whatever points to a person.
        replies: Whether verdicts are for everyone in the channel.
        reminders: Whether a case without an outcome is asked once how it went.
        language: Of everything said here; nothing for each person's own.
        learning: Whether verdicts here may use what confirmed cases taught.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    helpers: str = ""
    moderators: str = ""
    channels: tuple[str, ...] = ()
    retention_days: int = Field(default=365, ge=1, le=3650)
    replies: Literal["public", "private"] = "public"
    reminders: bool = False
    language: str = ""
    learning: bool = True
