"""The drawn guide to the findings: all of them on sheets, or one large with what it is often mistaken for.

In: a topic as typed, or a finding's identifier. Out: Answers that draw their pictures later. Pure: no disk, no clock.
This file must never know a particular finding.
"""

from core.card import Action, Card, Section
from core.intake.characters import fold
from core.intake.hearing import hear_sentence
from core.knowledge import Knowledge
from core.pictures.finding_sketches import SKETCHES, draw_finding, draw_findings, group_findings
from core.service.answer import Answer, Tools
from core.words import Words, capital


def read_finding(text: str, tools: Tools, words: Words) -> str | None:
    """Return the finding that a text names, by its identifier, its name or in a person's own words, if it is one.

    Some words of a name are enough where no other finding's has them.
    """
    typed = fold(text)
    names = {name: fold(words.say(f"findings.{name}.name")) for name in tools.knowledge.findings}
    for name, called in names.items():
        if typed in {fold(name), called}:
            return name
    with_these = [name for name, called in names.items() if set(typed.split()) <= set(called.split())]
    if len(with_these) == 1:
        return with_these[0]
    heard = {one.id for one in hear_sentence(text, words.language, tools.sentences, tools.knowledge).findings}
    return heard.pop() if len(heard) == 1 else None


def names_all(text: str, words: Words) -> bool:
    """Say whether a text asks for the guide to all findings."""
    return fold(text) in {"findings", *(fold(words.say(f"finding_guide.{name}")) for name in ("topic", "title"))}


def show_findings(tools: Tools, words: Words) -> Answer:
    """Show every finding that has a drawing, on sheets, and name all of them in words."""
    knowledge = tools.knowledge
    groups = group_findings(knowledge)
    drawn = {name for held in groups.values() for name in held}
    rest = tuple(name for name in knowledge.findings if name not in drawn)
    sections = [
        *(_named(words.say(f"finding_guide.groups.{group}"), held, words) for group, held in groups.items()),
        _named(words.say("finding_guide.undrawn"), rest, words),
        Section("cautions", words.say("card.headings.cautions"), (words.say("finding_guide.care"),)),
    ]
    card = Card(
        title=words.say("finding_guide.title"),
        conclusion=words.say("finding_guide.conclusion"),
        sections=tuple(section for section in sections if section.lines),
        private=True,
    )
    return Answer(card=card, draw=lambda: draw_findings(knowledge, words))


def show_finding(name: str, tools: Tools, words: Words) -> Answer:
    """Show one finding: what it looks like, how to tell it apart, how to look, and its drawing where there is one."""
    knowledge = tools.knowledge
    finding = knowledge.findings[name]
    looks, apart = (f"findings.{name}.{text}" for text in ("looks_like", "tell_apart"))
    sections: list[Section] = []
    actions: list[Action] = []
    if finding.mistaken_for and words.has(apart):
        other = words.say(f"findings.{finding.mistaken_for}.name")
        heading = words.say("finding_guide.apart", name=other)
        sections.append(Section("notes", heading, (words.say(apart),)))
        actions.append(Action(capital(other), "help", {"topic": finding.mistaken_for}))
    sections += _how_to_look(name, knowledge, words)
    actions.append(Action(words.say("help.presses.findings"), "help", {"topic": "findings"}))
    card = Card(
        title=capital(words.say(f"findings.{name}.name")),
        conclusion=words.say(looks if words.has(looks) else f"findings.{name}.asks"),
        sections=tuple(sections),
        private=True,
        actions=tuple(actions),
    )
    if finding.sketch not in SKETCHES:
        return Answer(card=card)
    return Answer(card=card, draw=lambda: tuple(filter(None, (draw_finding(name, knowledge, words),))))


def _named(heading: str, names: tuple[str, ...], words: Words) -> Section:
    return Section("list", heading, tuple(capital(words.say(f"findings.{name}.name")) for name in names))


def _how_to_look(name: str, knowledge: Knowledge, words: Words) -> tuple[Section, ...]:
    """Return how to look for a finding, and what to mind when doing so."""
    found = next(((key, check) for key, check in knowledge.checks.items() if check.about == f"finding:{name}"), None)
    if found is None:
        return ()
    key, check = found
    cautions = sorted(check.cautions, key=lambda caution: knowledge.cautions[caution].order)
    return (
        Section("next", words.say("finding_guide.how_to_look"), (words.say(f"checks.{key}"),)),
        Section(
            "cautions", words.say("card.headings.cautions"), tuple(words.say(f"cautions.{one}") for one in cautions)
        ),
    )
