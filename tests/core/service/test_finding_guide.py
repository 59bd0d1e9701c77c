"""/help on findings, asked of the composed service: every sheet, or one finding, in words and drawn."""

from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from bot.compose import compose
from bot.settings import Settings
from core.commands import Asker, Inquiry
from core.knowledge import load_knowledge
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")


@pytest.fixture
async def ask(tmp_path):
    """Ask for help in an invented club as "moss"."""
    async with compose(Settings(database=tmp_path / "cases.db")) as house:
        # Minutes apart, so that nobody asks faster than is allowed.
        minutes = count()

        async def asked(topic):
            asker = Asker(community="club", channel="help", person="moss")
            at = datetime(2026, 11, 25, 12, 0, tzinfo=UTC) + timedelta(minutes=next(minutes))
            return await house.service.handle(
                Inquiry(command="help", text="", options={"topic": topic}, asker=asker, at=at, reference="r1")
            )

        yield asked


def lines(card, kind):
    return [line for section in card.sections if section.kind == kind for line in section.lines]


async def test_findings_shows_every_sheet_and_names_every_finding(ask):
    card = await ask("findings")
    assert len(card.pictures) == len({finding.seen_on for finding in KNOWLEDGE.findings.values()})
    named = [line.casefold() for line in lines(card, "list")]
    assert sorted(named) == sorted(WORDS.say(f"findings.{name}.name").casefold() for name in KNOWLEDGE.findings)
    assert "Gloves" in lines(card, "cautions")[0]
    assert card.private


@pytest.mark.parametrize(
    "topic", ["glossy_raft", "Glossy raft", "glossy", "a glossy raft without supports", "the raft is shiny"]
)
async def test_one_finding_is_found_by_id_by_name_and_by_what_people_say(ask, topic):
    card = await ask(topic)
    assert card.title == "A glossy raft without supports"
    assert [picture.name for picture in card.pictures] == ["glossy-raft.png"]
    assert card.conclusion == WORDS.say("findings.glossy_raft.looks_like")
    assert lines(card, "notes") == [WORDS.say("findings.glossy_raft.tell_apart")]
    assert WORDS.say("cautions.protective_gear") in lines(card, "cautions")


async def test_every_finding_can_be_asked_for(ask):
    for name in KNOWLEDGE.findings:
        card = await ask(name)
        assert card.title.casefold() == WORDS.say(f"findings.{name}.name").casefold()
        assert len(card.pictures) == 1, name


async def test_the_one_it_is_mistaken_for_is_a_press_away(ask):
    card = await ask("glossy_raft")
    press = card.actions[0]
    assert (press.command, press.options) == ("help", {"topic": "delaminated_raft"})
    assert all(len(action.label) <= 80 for action in card.actions)


async def test_a_procedure_is_still_a_procedure(ask):
    for name in KNOWLEDGE.guides:
        assert (await ask(name)).title == WORDS.say(f"guides.{name}.title")


async def test_what_is_no_topic_names_the_topics_and_the_findings_guide(ask):
    card = await ask("weather")
    assert card.tone == "fault"
    assert "findings" in card.conclusion or any(
        "findings" in line for section in card.sections for line in section.lines
    )
