"""A case as its author and its helpers see it: the card, the summary to hand over, the queue.

In: a case with what belongs to it. Out: a Card. Pure. This file must never name a person: only you and others.
"""

from collections.abc import Iterator, Sequence
from datetime import datetime

from core.card import Action, Attachment, Card, Section, ThreadWish, channel
from core.cases.lifecycle import sets_of
from core.cases.privacy import DIRECT
from core.cases.rows import OTHER, Case, Judgement, Note, Opinion, Waiting
from core.engine import Triage
from core.geometry import Geometry, measure
from core.recap import recap
from core.service.request import Request
from core.service.views import why_sections
from core.words import Words
from core.words.numbers import percent

MOST_NOTES, MOST_SHOWN = 8, 15
MOST_CAUSES = 3
MINUTES_IN_HOUR, HOURS_IN_DAY = 60, 24


def case_card(
    case: Case,
    judged: Triage,
    *,
    history: Sequence[Judgement],
    notes: Sequence[Note],
    opinions: Sequence[Opinion],
    confirmations: Sequence[Opinion],
    request: Request,
) -> Card:
    """Show a case. Other helpers' answers stay hidden from a helper who has not given one, until it is settled."""
    words, me = request.words, request.person
    answered = any(one.helper == me for one in (*opinions, *confirmations))
    open_book = answered or bool(case.cause) or not request.helps
    lines = {
        "told": recap(judged.report, words),
        "history": tuple(_sets(history, request)),
        "state": tuple(_state(case, request)),
        "opinions": tuple(_opinions(opinions, confirmations, me, request)) if open_book else (),
        "hidden": (words.say("case.hidden"),) if not open_book and (opinions or confirmations) else (),
        "notes": tuple(_note(one, me, words) for one in notes[-MOST_NOTES:]),
    }
    kinds = {"notes": "notes", "hidden": "notes"}
    sections = [
        Section(kinds.get(name, "list"), words.say(f"case.headings.{name}"), shown)  # type: ignore[arg-type]  # literals
        for name, shown in lines.items()
        if shown
    ]
    return Card(
        title=words.say("card.titles.case", number=case.number),
        conclusion=judged.verdict.summary,
        sections=(*sections, *(why_sections(judged, words) if request.helps else ())),
        private=True,
        case=case.number,
        footer=words.say("card.footer", number=case.number, attempt=case.latest.attempt),
        actions=tuple(_actions(case, request)),
    )


def hand_over_card(case: Case, judged: Triage, request: Request) -> Card:
    """Sum a case up in plain lines that can be pasted anywhere."""
    words = request.words
    causes = [
        words.say("case.cause", name=words.say(f"causes.{one.id}.name"), probability=percent(one.probability, words))
        for one in judged.verdict.causes[:MOST_CAUSES]
    ]
    lines = (
        words.say("case.hand_over.title", number=case.number, date=_date(case.opened_at)),
        judged.verdict.summary,
        *recap(judged.report, words),
        words.say("case.hand_over.causes", causes="; ".join(causes)),
        *(words.say("case.hand_over.step", step=step.words) for step in judged.verdict.steps[:1]),
        *_state(case, request, plain=True),
    )
    return Card(
        title=words.say("card.titles.hand_over"),
        conclusion=words.say("case.hand_over.conclusion"),
        sections=(Section("list", "", lines),),
        files=(Attachment(f"case-{case.number}.txt", "\n".join((*lines, "")).encode()),),
        private=True,
        case=case.number,
    )


def thread_card(case: Case, request: Request) -> Card:
    """Ask the front end for a thread; say where it is if there is one."""
    words = request.words
    title = words.say("card.titles.case", number=case.number)
    if case.thread:
        said = words.say("case.thread_is", thread=channel(case.thread))
        return Card(title=title, conclusion=said, private=True, case=case.number)
    return Card(
        title=title,
        conclusion=words.say("case.no_threads", number=case.number),
        private=True,
        case=case.number,
        thread=None
        if case.key.community == DIRECT
        else ThreadWish(case.number, words.say("case.thread_name", number=case.number), case.place),
    )


def queue_card(waiting: Sequence[Waiting], request: Request) -> Card:
    """List the open cases that need somebody."""
    words, now = request.words, request.inquiry.at
    lines = tuple(_waiting(one, request.person, now, words) for one in waiting[:MOST_SHOWN])
    free = sum(not one.claimed_by for one in waiting)
    more = len(waiting) - len(lines)
    return Card(
        title=words.say("card.titles.queue"),
        conclusion=words.say("case.queue.conclusion", count=len(waiting), free=free)
        if waiting
        else words.say("case.queue.empty"),
        sections=tuple(
            section
            for section in (
                Section("list", "", lines),
                Section("notes", "", (words.say("case.queue.more", count=more),) if more else ()),
            )
            if section.lines
        ),
        private=True,
        actions=tuple(
            Action(words.say("case.queue.show", number=one.number), "case show", {"case": str(one.number)})
            for one in waiting[:MOST_CAUSES]
        ),
    )


def _waiting(one: Waiting, me: str, now: datetime, words: Words) -> str:
    holder = "nobody" if not one.claimed_by else "you" if one.claimed_by == me else "somebody"
    return words.say(
        "case.queue.line",
        number=one.number,
        waited=span(one.opened_at, now, words),
        place=channel(one.thread or one.channel),
        holder=words.say(f"case.queue.{holder}"),
        tries=words.say("case.queue.tries", count=one.tries) if one.tries else "",
    )


def _state(case: Case, request: Request, *, plain: bool = False) -> Iterator[str]:
    words = request.words
    yield words.say(f"case.states.{case.state}", waited=span(case.opened_at, request.inquiry.at, words))
    if case.tries:
        yield words.say("case.tried", count=case.tries)
    if case.outcome is not None:
        step = words.say(f"remedies.{case.step}.name") if case.step else ""
        yield words.say(f"case.outcomes.{case.outcome}", step=step)
    if case.cause:
        yield words.say("case.true_cause", cause=named(case.cause, words))
    if case.claimed_by and not plain:
        yield words.say(f"case.held_by.{'you' if case.claimed_by == request.person else 'somebody'}")
    if case.thread and not plain:
        yield words.say("case.thread_is", thread=channel(case.thread))


def _sets(history: Sequence[Judgement], request: Request) -> Iterator[str]:
    """Say each set of readings in one line, where there are at least two."""
    sets = sets_of([judgement.report.readings for judgement in history])
    for number, readings in enumerate(sets if len(sets) > 1 else (), 1):
        geometry = measure(readings, request.tools.knowledge)
        if isinstance(geometry, Geometry):
            yield request.words.say(
                "case.set", number=number, spread=geometry.spread.value, offset=geometry.offset.value
            )


def _opinions(
    opinions: Sequence[Opinion], confirmations: Sequence[Opinion], me: str, request: Request
) -> Iterator[str]:
    words = request.words
    for what, given in (("opinion", opinions), ("confirmation", confirmations)):
        for one in given:
            if not request.helps and what == "opinion":
                continue
            whose = "yours" if one.helper == me else "others"
            yield words.say(f"case.{what}s.{whose}", cause=named(one.cause, words), date=_date(one.at))


def _note(one: Note, me: str, words: Words) -> str:
    whose = "yours" if one.helper == me else "others"
    return words.say(f"case.notes.{whose}", text=one.text, date=_date(one.at))


def _actions(case: Case, request: Request) -> Iterator[Action]:
    words, of_case = request.words, {"case": str(case.number)}
    yield Action(words.say("actions.why"), "why", of_case)
    if request.helps:
        if case.state == "open" and not case.claimed_by:
            yield Action(words.say("actions.claim"), "case claim", of_case)
        if case.state == "open" and not case.thread:
            yield Action(words.say("actions.thread"), "case show", {**of_case, "thread": "yes"})
        yield Action(words.say("actions.hand_over"), "case show", {**of_case, "hand_over": "yes"})
    elif case.state == "open":
        for name in ("readings", "symptoms", "settings"):
            yield Action(words.say(f"actions.{name}"), name, of_case)
        for name, result in (("it_worked", "fixed_by_step"), ("not_yet", "not_yet")):
            yield Action(words.say(f"actions.{name}"), "case outcome", {**of_case, "result": result})


def named(cause: str, words: Words) -> str:
    """Return a cause's name, also where it is none that the knowledge has (any more)."""
    known = cause != OTHER and words.has(f"causes.{cause}.name")
    return words.say(f"causes.{cause}.name") if known else words.say("case.other_cause")


def _date(at: datetime) -> str:
    return at.date().isoformat()


def span(since: datetime, now: datetime, words: Words) -> str:
    """Say how long ago something was."""
    minutes = max(int((now - since).total_seconds() // 60), 0)
    if minutes < MINUTES_IN_HOUR:
        return words.say("case.span.minutes", count=minutes)
    hours = minutes // MINUTES_IN_HOUR
    if hours < 2 * HOURS_IN_DAY:
        return words.say("case.span.hours", count=hours)
    return words.say("case.span.days", count=hours // HOURS_IN_DAY)
