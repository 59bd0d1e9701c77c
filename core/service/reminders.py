"""Who is asked how it went: cases of which nothing was heard for a while, each of them once.

In: open cases and how their communities want things. Out: what to ask, and where it belongs. Pure. This file must never
know how a question is sent.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.card import Action, Card
from core.cases.privacy import DIRECT
from core.cases.rows import Case, Community
from core.service.case_views import span
from core.words import Words

SILENCE = timedelta(days=3)
"""So long a print and a second set of coupons may take before anybody is asked."""
MOST_AT_ONCE = 20
"""So many are asked in one round; the others in the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """One question how it went.

    Attributes:
        community: Where.
        number: Of the case.
        place: Where its verdict stands, in the front end's own terms.
        thread: Identifier of its thread, or nothing.
        card: The question, with a button for each answer.
    """

    community: str
    number: int
    place: str
    thread: str
    card: Card


def wanted_by(communities: Mapping[str, Community]) -> frozenset[str]:
    """Return the communities that want to be asked where everyone reads it."""
    return frozenset(
        name for name, rules in communities.items() if rules.reminders and rules.replies == "public" and name != DIRECT
    )


def choose(silent: Iterable[Case]) -> tuple[Case, ...]:
    """Return the cases to ask about now: those with a step that may have worked, longest silent first."""
    due = [case for case in silent if case.latest.verdict.steps]
    return tuple(sorted(due, key=_heard_of)[:MOST_AT_ONCE])


def remind(case: Case, at: datetime, words: Words) -> Reminder:
    """Ask how it went."""
    of_case = {"case": str(case.number)}
    return Reminder(
        community=case.key.community,
        number=case.number,
        place=case.place,
        thread=case.thread,
        card=Card(
            title=words.say("reminder.title", number=case.number),
            conclusion=words.say("reminder.conclusion", waited=span(_heard_of(case), at, words)),
            case=case.number,
            language=words.language,
            actions=(
                Action(words.say("actions.it_worked"), "case outcome", {**of_case, "result": "fixed_by_step"}),
                Action(words.say("actions.not_yet"), "case outcome", {**of_case, "result": "not_yet"}),
            ),
        ),
    )


def _heard_of(case: Case) -> datetime:
    return case.changed_at or case.latest.at
