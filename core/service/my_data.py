"""What is kept about the person who asks, in every community, and its removal.

In: a Request. Out: a Card for that person alone. This file must never show one person anything of another.
"""

import json
from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from core.card import Action, Attachment, Card, Section
from core.cases.rows import Held
from core.intake.choices import read_yes_no
from core.service.request import Request


async def show(request: Request) -> Card:
    """Show all that is kept, in numbers on the card and whole in a file."""
    held, words = await _held(request), request.words
    counts = {
        "cases": len(held.cases),
        "judgements": sum(len(history) for _, history in held.cases),
        "notes": len(held.notes),
        "about": len(held.about),
        "opinions": len(held.opinions),
        "claims": len(held.claims),
        "proposals": len(held.proposals),
    }
    lines = tuple(words.say(f"my_data.kept.{name}", count=count) for name, count in counts.items() if count)
    return Card(
        title=words.say("card.titles.my_data"),
        conclusion=words.say("my_data.shown" if lines else "my_data.nothing"),
        sections=tuple(
            section
            for section in (
                Section("list", "", lines),
                Section("notes", "", (words.say("my_data.how"), words.say("my_data.let_go"))),
            )
            if section.lines
        ),
        files=(Attachment("my-data.json", json.dumps(_whole(held), indent=1, ensure_ascii=False).encode()),)
        if lines
        else (),
        private=True,
        actions=(Action(words.say("actions.erase"), "my-data erase"),) if lines else (),
    )


async def erase(request: Request) -> Card:
    """Remove all that is kept, once the person has said that they mean it."""
    words, given = request.words, request.option("confirm") or request.inquiry.text.strip()
    if given and read_yes_no(given, "confirm", lexicon=request.tools.lexicon):
        await request.store.erase(await _names(request))
        return _card(request, "erased")
    if given:
        return _card(request, "kept_all")
    return Card(
        title=words.say("card.titles.my_data"),
        conclusion=words.say("my_data.sure"),
        private=True,
        tone="unsure",
        actions=(
            Action(words.say("actions.erase_yes"), "my-data erase", {"confirm": "yes"}, once=True),
            Action(words.say("actions.erase_no"), "my-data erase", {"confirm": "no"}, once=True),
        ),
    )


HANDLERS: Mapping[str, Callable[[Request], Awaitable[Card]]] = {"my-data show": show, "my-data erase": erase}


async def _names(request: Request) -> tuple[tuple[str, str], ...]:
    """Return the asker's pseudonym in every community: each has another."""
    return tuple((community, request.pseudonym(community)) for community in await request.store.communities())


async def _held(request: Request) -> Held:
    return await request.store.person(await _names(request))


def _card(request: Request, what: str) -> Card:
    words = request.words
    return Card(title=words.say("card.titles.my_data"), conclusion=words.say(f"my_data.{what}"), private=True)


def _whole(held: Held) -> dict[str, Any]:
    return {
        "cases": [
            {
                "community": case.key.community,
                "number": case.number,
                "state": case.state,
                "opened_at": case.opened_at.isoformat(),
                "outcome": case.outcome,
                "step": case.step,
                "confirmed_cause": case.cause,
                "judgements": [
                    {
                        "at": one.at.isoformat(),
                        "report": one.report.model_dump(mode="json"),
                        "verdict": one.verdict.model_dump(mode="json"),
                    }
                    for one in history
                ],
            }
            for case, history in held.cases
        ],
        "notes_by_you": [{"case": number, "at": one.at.isoformat(), "text": one.text} for number, one in held.notes],
        "notes_on_your_cases": [
            {"case": number, "at": one.at.isoformat(), "text": one.text} for number, one in held.about
        ],
        "your_opinions": [
            {"case": number, "at": one.at.isoformat(), "cause": one.cause} for number, one in held.opinions
        ],
        "cases_you_look_after": list(held.claims),
        "waiting_for_a_yes": [json.loads(report) for report in held.proposals],
    }
