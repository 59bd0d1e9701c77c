"""What each command asks of the core: the answerers, one function a command.

In: an Inquiry, the person's open case, what was proposed to them last. Out: an Answer, which says what to add to the
case or which card to show. Pure: no disk, no clock. This file must never know who the person is.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from typing import Literal

from core.card import Action, Card, Section
from core.cases.rows import Case
from core.commands import COMMANDS, Inquiry
from core.errors import Fault, Refused, UnusableInput
from core.intake.characters import fold
from core.intake.choices import read_choice, read_yes_no
from core.intake.circumstances import (
    UNKNOWN,
    read_readings_command,
    read_settings_command,
    read_symptoms_command,
    split_list,
)
from core.intake.hearing import hear_sentence
from core.intake.sentences import (
    Heard,
    HeardAbsence,
    HeardFinding,
    Phrase,
    to_report,
)
from core.intake.sentences import describe as describe_heard
from core.recap import recap
from core.report import POSITIONS, Report
from core.service.answer import NOTHING, Answer, Tools, in_words
from core.service.workshop import coupons, curve, guide, screws
from core.words import Words

TEXT = "text"
LEAST_READINGS = 4
"""So many coupons in one text are a set of readings, though nobody called it so."""


def answer_for(inquiry: Inquiry, case: Case | None, proposal: str | None, tools: Tools, words: Words) -> Answer:
    """Ask the answerer of the inquiry's command.

    Raises:
        UnusableInput: Something given cannot be used.
        Refused: The command needs something that is not there.
    """
    return _ANSWERERS[inquiry.command](inquiry, case, proposal, tools, words)


def _readings(inquiry: Inquiry, case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    earlier = case.latest.report.readings if case else None
    nominal = earlier.nominal_mm if earlier else None
    heard = read_readings_command(inquiry.options, inquiry.text, nominal, lexicon=tools.lexicon)
    return Answer(added=heard.report, heard=in_words(heard.notes, words), picture="plate_map")


def _settings(inquiry: Inquiry, _case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    if inquiry.text.strip():
        raise UnusableInput((Fault("settings", inquiry.text, "text_not_wanted"),))
    heard = read_settings_command(inquiry.options, lexicon=tools.lexicon)
    return Answer(added=heard.report, heard=in_words(heard.notes, words), picture="dose_profile")


def _symptoms(inquiry: Inquiry, _case: Case | None, proposal: str | None, tools: Tools, words: Words) -> Answer:
    if confirms(inquiry, tools):
        return _confirm(_yes_or_no(inquiry), proposal, tools, words)
    names = {name: (words.say(f"findings.{name}.name"),) for name in tools.knowledge.findings}
    places = {
        name: (words.say(f"places.{name}"), name.replace("_", " ")) for name in (*tools.knowledge.places, UNKNOWN)
    }
    seen, absent = inquiry.options.get("seen", ""), inquiry.options.get("absent", "")
    if inquiry.text.strip() or _is_sentence(seen, names) or _is_sentence(absent, names):
        heard = _hear(inquiry, names, places, tools)
        return _propose_readings(inquiry.text or seen, heard, tools, words) or _propose(heard, words)
    told = read_symptoms_command(inquiry.options, tools.knowledge, names, places)
    return Answer(added=told.report, heard=in_words(told.notes, words))


def _message(inquiry: Inquiry, _case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    """Read a message that was chosen, whatever it says: a "yes" in it answers nobody here."""
    heard = _read(inquiry.text, TEXT, {}, inquiry.asker.language, tools) if inquiry.text.strip() else Heard()
    return _propose_readings(inquiry.text, heard, tools, words) or _propose(heard, words)


def confirms(inquiry: Inquiry, tools: Tools) -> bool:
    """Say whether an inquiry answers what was proposed last."""
    if inquiry.command != "symptoms":
        return False
    return bool(inquiry.options.get("confirm", "").strip()) or fold(_yes_or_no(inquiry)) in tools.lexicon.answers


def _yes_or_no(inquiry: Inquiry) -> str:
    return inquiry.options.get("confirm", "").strip() or inquiry.text.rstrip(".! ")


def _is_sentence(seen: str, names: Mapping[str, tuple[str, ...]]) -> bool:
    """Say whether a person wrote what they see instead of choosing it."""
    chosen = {name.casefold() for entry, others in names.items() for name in (entry, *others)}
    pieces = split_list(seen)
    return len(seen.split()) > 1 and not all(piece.casefold() in chosen for piece in pieces)


def _hear(
    inquiry: Inquiry,
    names: Mapping[str, tuple[str, ...]],
    places: Mapping[str, tuple[str, ...]],
    tools: Tools,
) -> Heard:
    """Read what is seen, where, and what is absent, each chosen from its list or in the person's own words.

    Whatever is named under ``absent`` is absent, said with or without a "no". Places given by themselves belong to the
    findings that have none.
    """
    options = inquiry.options
    spots = tuple(read_choice(spot, places, "where") for spot in split_list(options.get("where", ""))) or (UNKNOWN,)
    told, chosen, gone = (
        _read(text, field, names, inquiry.asker.language, tools) if text.strip() else Heard()
        for text, field in ((inquiry.text, TEXT), *((options.get(name, ""), name) for name in ("seen", "absent")))
    )
    findings = _placed((*told.findings, *chosen.findings), spots, tools)
    absences = (
        *(HeardAbsence(one.id, one.words) for one in gone.findings),
        *told.absences,
        *chosen.absences,
        *gone.absences,
    )
    for one in absences:
        if any(other.id == one.id for other in findings):
            raise UnusableInput((Fault("absent", one.words.text, "seen_and_absent"),))
    unsure = (one for heard in (told, chosen) for one in heard.unsure)
    asked = (one for one in unsure if spots == (UNKNOWN,) or one.reason != "place")
    said = told if inquiry.text.strip() else chosen
    return replace(
        said,
        findings=findings,
        absences=tuple({one.id: one for one in absences}.values()),
        unread=(*told.unread, *chosen.unread, *gone.unread),
        unsure=(*asked, *gone.unsure),
    )


def _placed(findings: Iterable[HeardFinding], spots: tuple[str, ...], tools: Tools) -> tuple[HeardFinding, ...]:
    """Give each finding that has a place, and none yet, every place that was named; keep each once."""
    known = list(findings)
    at: dict[tuple[str, str], HeardFinding] = {}
    for one in known:
        if one.where != UNKNOWN or not tools.knowledge.findings[one.id].placed:
            at.setdefault((one.id, one.where), one)
        elif not any(other.id == one.id and other.where != UNKNOWN for other in known):
            for spot in spots:
                at.setdefault((one.id, spot), replace(one, where=spot))
    return tuple(at.values())


def _read(text: str, field: str, names: Mapping[str, tuple[str, ...]], language: str, tools: Tools) -> Heard:
    if field == TEXT or _is_sentence(text, names):
        return hear_sentence(text, language, tools.sentences, tools.knowledge)
    return Heard(
        findings=tuple(
            HeardFinding(read_choice(one, names, field), UNKNOWN, Phrase(one, 0, len(one))) for one in split_list(text)
        )
    )


def _propose_readings(text: str, heard: Heard, tools: Tools, words: Words) -> Answer | None:
    """Take for a set of readings what says nothing else and can be read as one; wait for their yes."""
    if to_report(heard).model_fields_set:
        return None
    try:
        told = read_readings_command({}, text, None, lexicon=tools.lexicon)
    except UnusableInput:
        return None
    readings = told.report.readings
    if readings is None or sum(readings.at(position) != () for position in POSITIONS) < LEAST_READINGS:
        return None
    return _ask_back(told.report, (*recap(told.report, words), *in_words(told.notes, words)), words)


def _propose(heard: Heard, words: Words) -> Answer:
    """Show what was understood, each with the person's own words, and wait for their yes."""
    added = to_report(heard)
    lines = describe_heard(heard, words)
    if added.model_fields_set:
        return _ask_back(added, lines, words)
    card = Card(
        title=words.say("card.titles.nothing"),
        conclusion=words.say("symptoms.nothing"),
        sections=(Section("list", "", lines),) if lines else (),
        tone="unsure",
        private=True,
    )
    # A yes to this must not be taken for one to what was asked before it.
    return Answer(card=card, proposal=NOTHING)


def _ask_back(added: Report, lines: tuple[str, ...], words: Words) -> Answer:
    card = Card(
        title=words.say("card.titles.understood"),
        conclusion=words.say("symptoms.confirm"),
        sections=(Section("list", "", lines),),
        tone="unsure",
        private=True,
        actions=(
            Action(words.say("actions.yes"), "symptoms", {"confirm": "yes"}, once=True),
            Action(words.say("actions.no"), "symptoms", {"confirm": "no"}, once=True),
        ),
    )
    return Answer(card=card, proposal=added.model_dump_json())


def _confirm(text: str, proposal: str | None, tools: Tools, words: Words) -> Answer:
    if not proposal:
        raise Refused("nothing_proposed")
    if read_yes_no(text, "confirm", lexicon=tools.lexicon):
        added = Report.model_validate_json(proposal)
        return Answer(added=added, proposal=NOTHING, picture="plate_map" if added.readings is not None else None)
    dropped = Card(title=words.say("card.titles.dropped"), conclusion=words.say("symptoms.dropped"), private=True)
    return Answer(card=dropped, proposal=NOTHING)


def _view(
    which: Literal["why", "next"],
    _inquiry: Inquiry,
    _case: Case | None,
    _proposal: str | None,
    _tools: Tools,
    _words: Words,
) -> Answer:
    return Answer(view=which)


def _help(inquiry: Inquiry, _case: Case | None, _proposal: str | None, tools: Tools, words: Words) -> Answer:
    topic = inquiry.options.get("topic", "").strip() or inquiry.text.strip()
    if fold(topic) in {"commands", fold(words.say("help.commands"))}:
        return Answer(card=_commands_card(words))
    if topic:
        return guide(topic, tools, words)
    care = Section("cautions", words.say("card.headings.cautions"), (words.say("help.care"),))
    return Answer(
        card=Card(
            title=words.say("card.titles.help"),
            conclusion=words.say("help.start"),
            sections=(Section("list", "", tuple(text for _, text in words.under("help.cases"))), care),
            private=True,
            actions=(
                *(Action(words.say(f"help.presses.{name}"), name) for name in ("readings", "symptoms", "settings")),
                *(
                    Action(words.say(f"help.presses.{topic}"), "help", {"topic": topic})
                    for topic in ("findings", "coupons", "commands")
                ),
            ),
        )
    )


def _commands_card(words: Words) -> Card:
    """List every command that is typed, for whom it is."""
    by_rank: dict[str, list[str]] = {}
    for command in COMMANDS:
        if not command.menu:
            described = words.say(f"commands.{command.name.replace(' ', '.')}.description")
            by_rank.setdefault(command.who, []).append(f"/{command.name}: {described}")
    return Card(
        title=words.say("help.commands"),
        conclusion="",
        sections=tuple(Section("list", words.say(f"help.who.{who}"), tuple(lines)) for who, lines in by_rank.items()),
        private=True,
    )


_ANSWERERS: Mapping[str, Callable[[Inquiry, Case | None, str | None, Tools, Words], Answer]] = {
    "readings": _readings,
    "symptoms": _symptoms,
    "read symptoms": _message,
    "settings": _settings,
    "coupons": coupons,
    "screws": screws,
    "curve": curve,
    "why": partial(_view, "why"),
    "next": partial(_view, "next"),
    "help": _help,
}
