"""What the store takes and gives: frozen values, no rows."""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from core.report import Report
from core.verdict import Verdict

State = Literal["open", "closed"]


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
    """A case and its latest judgement."""

    id: int
    number: int
    key: CaseKey
    state: State
    opened_at: datetime
    latest: Judgement
