"""The sides of a judged case: the verdict, its evidence, what to check next.

In: a Triage and what the person asked to see. Out: a Card. This file must never know a store, a clock or who asks.
"""

from collections.abc import Iterator
from dataclasses import replace

from core.card import Card, Section, Standing, verdict_card
from core.cases.lifecycle import is_correction
from core.cases.rows import Case
from core.diagnosis import explain_in_words, explain_next
from core.engine import Triage
from core.exposure import describe as describe_light
from core.geometry import Geometry, compare, describe, measure
from core.geometry.power import describe_repeats, plan_repeats
from core.pictures.text_map import draw_text_map
from core.recap import recap
from core.report import Report
from core.service.answer import Answer, Tools
from core.service.workshop import screw_card
from core.words import Words
from core.words.numbers import percent, times

MOST_CAUSES, MOST_EVIDENCE = 5, 6
"""How much of the evidence one message can hold; the Verdict holds it all."""


def lay_out(judged: Triage, earlier: Report | None, answer: Answer, tools: Tools, words: Words, case: Case) -> Card:
    """Lay out the side of the verdict that was asked for, with what changed since the last set of readings."""
    footer = words.say("card.footer", number=case.number, attempt=case.latest.attempt)
    if answer.view == "why":
        return _why_card(judged, words, case, footer)
    if answer.view == "next":
        return _next_card(judged, tools, words, case, footer)
    if answer.view == "screws":
        return screw_card(judged, tools, words, case, footer)
    geometry = judged.known_geometry
    changed = _changes(judged, earlier, tools, words)
    asks_people = any(question.code == "human_helper" for question in judged.diagnosis.questions)
    card = verdict_card(
        judged.verdict,
        words,
        heard=(*answer.heard, *changed),
        light=describe_light(judged.exposure, words),
        map_lines=draw_text_map(geometry, words) if geometry is not None and answer.picture == "plate_map" else (),
        recap=recap(judged.report, words) if asks_people else (),
        case=case.number,
        footer=footer,
    )
    return replace(card, standing=Standing(case.number, case.latest.attempt, case.place))


def _changes(judged: Triage, earlier: Report | None, tools: Tools, words: Words) -> tuple[str, ...]:
    now = judged.known_geometry
    if earlier is None or earlier.readings is None or now is None or earlier.readings == judged.report.readings:
        return ()
    if judged.report.readings is not None and is_correction(earlier.readings, judged.report.readings):
        return (words.say("symptoms.corrected"),)
    before = measure(earlier.readings, tools.knowledge)
    return describe(compare(before, now), words) if isinstance(before, Geometry) else ()


def _why_card(judged: Triage, words: Words, case: Case, footer: str) -> Card:
    return Card(
        title=words.say("card.titles.why"),
        conclusion=judged.verdict.summary,
        sections=why_sections(judged, words),
        case=case.number,
        footer=footer,
    )


def why_sections(judged: Triage, words: Words) -> tuple[Section, ...]:
    """Lay out the evidence for and against each cause, what they explain together, and what would change the order."""
    sections = []
    told = [cause for cause in judged.diagnosis.causes if cause.evidence] or judged.diagnosis.causes
    for cause in told[:MOST_CAUSES]:
        lines = [
            words.say(
                f"why.{'for' if item.log_odds > 0 else 'against'}",
                words=explain_in_words(item, words),
                factor=times(item.log_odds),
            )
            for item in cause.evidence[:MOST_EVIDENCE]
        ]
        if cause.expected_absent:
            missed = [words.say(f"findings.{name}.name") for name in cause.expected_absent]
            lines.append(words.say("why.expected_absent", findings=words.listed(missed)))
        name = words.say(f"causes.{cause.id}.name")
        heading = words.say("why.cause", name=name, probability=percent(cause.probability, words))
        sections.append(Section("why", heading, tuple(lines) or (words.say("why.prior"),)))
    sections += [
        section
        for section in (
            Section("list", words.say("why.together"), tuple(_together(judged, words))),
            Section(
                "next",
                words.say("why.would_change"),
                tuple(explain_next(c, words) for c in judged.diagnosis.next_checks),
            ),
        )
        if section.lines
    ]
    return tuple(sections)


def _together(judged: Triage, words: Words) -> Iterator[str]:
    """Say which causes, together and alone, would account for everything."""
    for together in judged.diagnosis.sets:
        names = [words.say(f"causes.{name}.name") for name in together.causes] or [words.say("why.none_of_them")]
        yield words.say("why.set", names=words.listed(names), probability=percent(together.probability, words))


def _next_card(judged: Triage, tools: Tools, words: Words, case: Case, footer: str) -> Card:
    checks = judged.diagnosis.next_checks
    cautions = judged.verdict.cautions
    lines = tuple(explain_next(check, words) for check in checks)
    geometry = judged.known_geometry
    repeats = None if geometry is None else plan_repeats(geometry, tools.knowledge)
    if repeats is not None:
        lines = (*lines, describe_repeats(repeats, words))
    return Card(
        title=words.say("card.titles.next"),
        conclusion=lines[0] if lines else words.say("next_view.nothing"),
        sections=tuple(
            section
            for section in (
                Section("next", words.say("next_view.then"), lines[1:]),
                Section("questions", words.say("card.headings.questions"), judged.verdict.questions),
                Section("cautions", words.say("card.headings.cautions"), tuple(c.words for c in cautions)),
            )
            if section.lines
        ),
        case=case.number,
        footer=footer,
    )
