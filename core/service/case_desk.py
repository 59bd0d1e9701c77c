"""The commands about a case after its verdict: shown, noted, claimed, confirmed, ended, queued.

In: a Request. Out: a Card. This file must never know a platform, nor decide what is wrong with a plate.
"""

from collections.abc import Awaitable, Callable, Mapping, Sequence

from core.card import Action, Card, Section
from core.cases.rows import FIXED, OTHER, Case, Note, Opinion
from core.errors import Fault, Refused, UnusableInput
from core.intake.characters import clean
from core.intake.choices import read_choice, read_yes_no
from core.service.case_views import case_card, hand_over_card, queue_card, thread_card
from core.service.request import Request

NOT_YET = "not_yet"
MOST_STEPS = 4
"""How many steps are offered as the one that helped."""


async def show(request: Request) -> Card:
    """Show a case: to its author what they told and how it stands, to a helper the evidence and others' notes too."""
    case = await request.case()
    if _yes(request, "thread"):
        return thread_card(case, request)
    judged = await request.judge(case.latest.report)
    if _yes(request, "hand_over"):
        return hand_over_card(case, judged, request)
    store = request.store
    return case_card(
        case,
        judged,
        history=await store.history(case),
        notes=await store.notes(case) if request.helps else (),
        opinions=await store.held("opinions", case) if request.helps else (),
        confirmations=await store.held("confirmations", case),
        request=request,
    )


async def note(request: Request) -> Card:
    """Keep a helper's note, and what they hold for the cause, if they say so."""
    case = await request.case()
    text = clean(request.option("text") or request.inquiry.text, "text").strip()
    cause = _cause(request) if request.option("cause") else ""
    if not text and not cause:
        raise UnusableInput((Fault("text", "", "no_note"),))
    if text:
        await request.store.note(case, Note(helper=request.person, at=request.inquiry.at, text=text))
    if cause:
        await request.store.hold("opinions", case, await _opinion(request, case, cause))
        return _said(request, case, "opinion", cause=_named(cause, request))
    return _said(request, case, "noted")


async def claim(request: Request) -> Card:
    """Let a helper look after a case."""
    case = await request.case()
    if case.state == "closed":
        raise Refused("case_closed", number=case.number)
    if not await request.store.claim(case, request.person, request.inquiry.at):
        raise Refused("claimed", number=case.number)
    return _said(request, case, "claimed", private=False)


async def release(request: Request) -> Card:
    """Take back a claim: one's own, or as a moderator anybody's."""
    case = await request.case()
    if not case.claimed_by:
        raise Refused("not_claimed", number=case.number)
    if case.claimed_by != request.person and request.rank not in {"moderators", "administrators"}:
        raise Refused("claimed", number=case.number)
    await request.store.release(case, request.inquiry.at)
    return _said(request, case, "released", private=False)


async def confirm(request: Request) -> Card:
    """Keep what a helper knows to have been true. Nobody confirms their own case."""
    case = await request.case()
    if case.key.author == request.person:
        raise Refused("own_case")
    cause = _cause(request)
    await request.store.hold("confirmations", case, await _opinion(request, case, cause))
    return _said(request, case, "confirmed", cause=_named(cause, request))


async def outcome(request: Request) -> Card:
    """Keep how a case ended; ask for the step that fixed it where one did."""
    case, words, at = await request.case(), request.words, request.inquiry.at
    result = _result(request)
    if result == NOT_YET:
        if case.state == "closed":
            raise Refused("case_closed", number=case.number)
        await request.store.try_again(case, at)
        return await _try_next(request, case)
    step = _step(request) if request.option("step") else ""
    if result == "fixed_by_step" and not step:
        return _which_step(request, case)
    if result != "fixed_by_step" and step:
        raise UnusableInput((Fault("step", request.option("step"), "step_not_wanted"),))
    await request.store.settle(case, result, step, at)  # type: ignore[arg-type]  # one of the results, by read_choice
    fixed = result in FIXED
    card = _said(request, case, f"outcome.{result}", step=_step_name(step, request), private=False)
    measure = (Action(words.say("actions.readings"), "readings"),) if fixed and case.latest.report.readings else ()
    return Card(
        title=card.title,
        conclusion=card.conclusion,
        tone="good" if fixed else "plain",
        private=card.private,
        case=case.number,
        actions=measure,
    )


async def close(request: Request) -> Card:
    """Close a case."""
    case = await request.case()
    if case.state == "closed":
        raise Refused("case_closed", number=case.number)
    await request.store.close_case(case, request.inquiry.at)
    return _said(request, case, "closed", private=False)


async def queue(request: Request) -> Card:
    """Show which cases wait, those that need somebody first."""
    return queue_card(await request.store.queue(request.key.community), request)


HANDLERS: Mapping[str, Callable[[Request], Awaitable[Card]]] = {
    "case show": show,
    "case note": note,
    "case claim": claim,
    "case release": release,
    "case confirm": confirm,
    "case outcome": outcome,
    "case close": close,
    "case queue": queue,
}


def _said(request: Request, case: Case, what: str, *, private: bool = True, **values: object) -> Card:
    words = request.words
    return Card(
        title=words.say("card.titles.case", number=case.number),
        conclusion=words.say(f"case.said.{what}", number=case.number, **values),
        private=private or request.rules.replies == "private",
        case=case.number,
    )


async def _try_next(request: Request, case: Case) -> Card:
    """Say what to do when the first step did not help."""
    words = request.words
    # Judged anew: what is stored is in the language of whoever asked last.
    verdict = (await request.judge(case.latest.report)).verdict
    lines = tuple(words.say("card.step", words=step.words, worked_if=step.worked_if) for step in verdict.steps[1:])
    of_case = {"case": str(case.number)}
    return Card(
        title=words.say("card.titles.case", number=case.number),
        conclusion=words.say("case.said.not_yet"),
        sections=tuple(
            section
            for section in (
                Section("do", words.say("case.then"), lines),
                Section(
                    "cautions",
                    words.say("card.headings.cautions"),
                    tuple(caution.words for caution in verdict.cautions) if lines else (),
                ),
            )
            if section.lines
        ),
        tone="unsure",
        private=True,
        case=case.number,
        actions=tuple(Action(words.say(f"actions.{name}"), name, of_case) for name in ("readings", "symptoms", "next")),
    )


def _which_step(request: Request, case: Case) -> Card:
    """Ask which step fixed it: those of the verdict, or something else."""
    words, base = request.words, {"case": str(case.number)}
    steps = [step for step in case.latest.verdict.steps if step.id in request.tools.knowledge.remedies]
    presses = [
        Action(_step_name(step.id, request), "case outcome", {**base, "result": "fixed_by_step", "step": step.id}, True)
        for step in steps[:MOST_STEPS]
    ]
    presses.append(
        Action(words.say("case.something_else"), "case outcome", {**base, "result": "fixed_otherwise"}, once=True)
    )
    return Card(
        title=words.say("card.titles.case", number=case.number),
        conclusion=words.say("case.said.which_step"),
        private=True,
        case=case.number,
        actions=tuple(presses),
    )


async def _opinion(request: Request, case: Case, cause: str) -> Opinion:
    """Return the asker's opinion; blind unless they could already see what others think."""
    opinions = await request.store.held("opinions", case)
    confirmations = await request.store.held("confirmations", case)
    given = any(one.helper == request.person for one in (*opinions, *confirmations))
    return Opinion(helper=request.person, cause=cause, at=request.inquiry.at, blind=not (given or case.cause))


def _cause(request: Request) -> str:
    words = request.words
    causes = {name: (words.say(f"causes.{name}.name"),) for name in request.tools.knowledge.causes}
    given = request.option("cause") or request.inquiry.text.strip()
    return _chosen(given, {**causes, OTHER: (words.say("case.other_cause"),)}, "cause")


def _chosen(given: str, accepted: Mapping[str, Sequence[str]], field: str) -> str:
    if not given:
        raise UnusableInput((Fault(field, "", "nothing_chosen", {"accepted": ", ".join(accepted)}),))
    return read_choice(given, accepted, field)


def _result(request: Request) -> str:
    """Read how it went, as its choice or as the button says it; a step alone says that it helped."""
    words, given = request.words, request.option("result") or request.inquiry.text.strip()
    if not given and request.option("step"):
        return "fixed_by_step"
    pressed = {"fixed_by_step": "it_worked", NOT_YET: "not_yet"}
    results = {
        name: (label, words.say(f"actions.{pressed[name]}")) if name in pressed else (label,)
        for name, label in words.under("choices.results")
    }
    return _chosen(given, results, "result")


def _step(request: Request) -> str:
    names = {name: (_step_name(name, request),) for name in request.tools.knowledge.remedies}
    return read_choice(request.option("step"), names, "step")


def _named(cause: str, request: Request) -> str:
    words = request.words
    return words.say("case.other_cause") if cause == OTHER else words.say(f"causes.{cause}.name")


def _step_name(step: str, request: Request) -> str:
    return request.words.say(f"remedies.{step}.name") if step else ""


def _yes(request: Request, option: str) -> bool:
    given = request.option(option)
    return bool(given) and read_yes_no(given, option, lexicon=request.tools.lexicon)
