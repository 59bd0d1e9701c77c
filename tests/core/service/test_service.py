"""The whole service on a real database: inquiries in, cards out, and what is stored between them."""

import asyncio
import re
import sqlite3
from contextlib import closing
from datetime import UTC, datetime

import pytest
from card_reading import lines_of, words_of
from invented_case import LEVEL, TILTED

from bot.compose import compose
from bot.settings import Settings
from core.cases.packed import unpack
from core.commands import Asker, Inquiry
from core.engine import triage
from core.errors import ServiceFailure
from core.report import Report
from core.verdict import Verdict

AT = datetime(2026, 3, 14, 9, 26, 53, tzinfo=UTC)
MOSS, FERN = "101", "102"
GLOSSY_LEFT = "the raft on the left is shiny, no supports on it"


@pytest.fixture
async def house(tmp_path):
    async with compose(Settings(database=tmp_path / "cases.db", secret_file=tmp_path / "secret.key")) as house:
        yield house


@pytest.fixture
def ask(house):
    async def ask(command, text="", person=MOSS, channel="help", **options):
        asker = Asker("club", channel, person)
        inquiry = Inquiry(command=command, options=options, text=text, asker=asker, at=AT, reference="abc123")
        return await house.service.handle(inquiry)

    return ask


@pytest.fixture
def stored(tmp_path):
    """All judgements as (case, attempt), read with nothing of ours in between."""

    def stored():
        with closing(sqlite3.connect(tmp_path / "cases.db")) as connection:
            return connection.execute("SELECT case_id, attempt FROM judgements ORDER BY 1, 2").fetchall()

    return stored


@pytest.fixture
def latest(tmp_path):
    """Report and verdict of the latest judgement, as JSON."""

    def latest():
        with closing(sqlite3.connect(tmp_path / "cases.db")) as connection:
            query = "SELECT report, verdict FROM judgements ORDER BY case_id DESC, attempt DESC"
            report, verdict = connection.execute(query).fetchone()
        return report, unpack(verdict)

    return latest


async def test_readings_open_a_case_and_are_judged_with_a_map(ask, stored):
    card = await ask("readings", TILTED)
    assert (card.title, card.tone, card.case, card.private) == ("Plate tilted", "act", 1, False)
    assert [picture.png[:8] for picture in card.pictures] == [b"\x89PNG\r\n\x1a\n"]
    assert card.pictures[0].alt
    assert stored() == [(1, 1)]


MISTAKES = [
    pytest.param("readings", "0.98 1.02 1.31 1.28", {}, "I count 4", id="four values"),
    pytest.param("readings", "", {"front_left": "1.0", "centre": "thin"}, "centre", id="a word in a field"),
    pytest.param("readings", TILTED, {"plate": "wide"}, "plate", id="a plate without numbers"),
    pytest.param("readings", TILTED, {"centre": "1.0"}, "one way", id="text and fields"),
    pytest.param("settings", "", {}, "nothing was given", id="no setting"),
    pytest.param("settings", "burn in for 40 s", {}, "burn in for 40 s", id="settings without names"),
    pytest.param("settings", "", {"burn_in": "-4"}, "-4", id="a negative time"),
    pytest.param("symptoms", "", {"where": "left"}, "seen", id="a place without a finding"),
    pytest.param("symptoms", "", {"seen": "glosy_raft"}, "glossy", id="an unknown finding"),
    pytest.param("symptoms", "", {"seen": "stuck_fast", "where": "left"}, "no place", id="a place not wanted"),
    pytest.param("symptoms", "", {"seen": "stuck_fast", "absent": "stuck_fast"}, "both", id="seen and absent"),
    pytest.param("symptoms", GLOSSY_LEFT, {"absent": "glossy_raft"}, "both", id="said as seen, chosen as absent"),
    pytest.param("level", "", {}, "/readings", id="no such command"),
]


@pytest.mark.parametrize(("command", "text", "options", "says"), MISTAKES)
async def test_a_mistake_comes_back_as_a_private_card_and_nothing_is_stored(command, text, options, says, ask, stored):
    card = await ask(command, text, **options)
    assert (card.tone, card.private, card.case, card.pictures) == ("fault", True, None, ())
    assert len(card.sections[-1].lines) == 1, "one line for one fault"
    assert says in card.sections[-1].lines[0]
    assert stored() == []


async def test_every_fault_of_one_message_has_its_own_line(ask, stored):
    card = await ask("readings", front_left="1.0x1", centre="thin", plate="wide")
    assert len(card.sections[-1].lines) == 3
    assert stored() == []


@pytest.mark.parametrize("command", ["why", "next"])
async def test_a_question_about_a_case_that_is_not_there_is_answered_privately(command, ask, stored):
    card = await ask(command)
    assert card.private
    assert "no open case" in card.conclusion
    assert stored() == []


async def test_a_second_set_is_compared_with_the_first_and_other_news_is_not(ask, stored):
    assert not lines_of(await ask("readings", TILTED), "heard")
    assert not [line for line in lines_of(await ask("settings", burn_in="30 s"), "heard") if "spread" in line]
    card = await ask("readings", LEVEL)
    changed = "\n".join(lines_of(card, "heard"))
    assert re.search(r"spread of the corners fell from 0\.46 (mm )?to 0\.07 mm", changed)
    assert card.case == 1
    assert stored() == [(1, 1), (1, 2), (1, 3)]


async def test_a_plate_told_after_the_readings_compares_nothing(ask):
    await ask("readings", TILTED)
    assert not [line for line in lines_of(await ask("readings", plate="150 x 85"), "heard") if "spread" in line]


@pytest.mark.parametrize("other", [{"person": FERN}, {"channel": "workshop"}], ids=["person", "channel"])
async def test_another_person_or_channel_has_another_case(other, ask, stored):
    first = await ask("readings", TILTED)
    second = await ask("readings", LEVEL, **other)
    assert (first.case, second.case) == (1, 2)
    assert not lines_of(second, "heard")
    assert "Case 1" in (await ask("why")).footer
    assert stored() == [(1, 1), (2, 1)]


async def test_a_sentence_waits_for_a_yes_and_then_joins_the_case(ask, stored):
    card = await ask("symptoms", GLOSSY_LEFT)
    assert card.private
    assert "shiny" in words_of(card)
    assert stored() == []
    judged = await ask("symptoms", "yes")
    assert judged.case == 1
    assert stored() == [(1, 1)]
    # It was taken: a second yes has nothing to say yes to.
    assert "nothing waiting" in (await ask("symptoms", confirm="yes")).conclusion
    assert stored() == [(1, 1)]


async def test_a_no_drops_what_was_understood(ask, stored):
    await ask("symptoms", GLOSSY_LEFT)
    assert "Nothing of that was kept" in (await ask("symptoms", confirm="no")).conclusion
    assert "nothing waiting" in (await ask("symptoms", "yes")).conclusion
    assert stored() == []


async def test_the_yes_of_one_person_is_not_the_yes_of_another(ask, stored):
    await ask("symptoms", GLOSSY_LEFT)
    assert "nothing waiting" in (await ask("symptoms", "yes", person=FERN)).conclusion
    assert stored() == []


async def test_a_form_of_own_words_keeps_all_of_its_fields(ask, latest):
    """What is named as not seen is absent, with or without a "no"; a place by itself places what has none."""
    card = await ask(
        "symptoms", seen="the raft is shiny", where="right", absent="no layer cracks in the model, loud pops"
    )
    assert "right" in words_of(card)
    judged = await ask("symptoms", "yes")
    assert judged.case == 1
    report = Report.model_validate_json(latest()[0])
    assert [(one.id, one.where) for one in report.findings] == [("glossy_raft", "right")]
    assert set(report.absent) == {"layer_cracks", "loud_peel"}


async def test_choices_and_own_words_beside_them_are_proposed_together(ask, latest):
    """Chosen places belong to whatever has none of its own, chosen or said."""
    card = await ask(
        "symptoms",
        "the raft on the left is shiny, parts missing from the plate",
        seen="thin_raft, stuck_fast",
        where="right, back",
        absent="layer_cracks, loud_peel",
    )
    assert card.private
    await ask("symptoms", "yes")
    report = Report.model_validate_json(latest()[0])
    assert {(one.id, one.where) for one in report.findings} == {
        ("glossy_raft", "left"),
        ("missing_parts", "right"),
        ("missing_parts", "back"),
        ("thin_raft", "right"),
        ("thin_raft", "back"),
        ("stuck_fast", "unknown"),
    }
    assert set(report.absent) == {"layer_cracks", "loud_peel"}


async def test_one_person_who_sends_many_things_at_once_loses_none(ask, stored, latest):
    """Each is joined to what the others left; attempts count up without a gap."""
    cards = await asyncio.gather(
        ask("readings", TILTED),
        ask("settings", burn_in="35 s"),
        ask("settings", burn_in_layers="6"),
        ask("settings", exposure="2.5 s"),
        ask("symptoms", seen="glossy_raft", where="left"),
        ask("symptoms", seen="stuck_fast"),
        ask("readings", plate="150 x 85"),
    )
    assert {card.case for card in cards} == {1}
    assert stored() == [(1, attempt) for attempt in range(1, 8)]
    report = Report.model_validate_json(latest()[0])
    assert (report.settings.burn_in_s, report.settings.burn_in_layers, report.settings.exposure_s) == (35, 6, 2.5)
    assert {one.id for one in report.findings} == {"glossy_raft", "stuck_fast"}
    assert report.readings.front_left == (0.76,)
    assert report.machine.plate_width_mm == 150


async def test_two_people_at_once_get_their_own_answers(ask, stored):
    moss, fern = await asyncio.gather(ask("readings", TILTED), ask("readings", LEVEL, person=FERN))
    assert {moss.case, fern.case} == {1, 2}
    assert "not parallel" in moss.conclusion
    assert "is parallel" in fern.conclusion
    assert stored() == [(1, 1), (2, 1)]


async def test_another_process_on_the_same_database_makes_no_inquiry_fail(ask, tmp_path, stored):
    """The case moves under the service, which reads it again."""
    settings = Settings(database=tmp_path / "cases.db", secret_file=tmp_path / "secret.key")
    async with compose(settings) as other:
        asker = Asker("club", "help", MOSS)
        theirs = Inquiry(command="settings", options={"burn_in": "35"}, asker=asker, at=AT, reference="abc124")
        cards = await asyncio.gather(ask("readings", TILTED), other.service.handle(theirs))
    assert {card.case for card in cards} == {1}
    assert stored() == [(1, 1), (1, 2)]


async def test_a_failing_store_is_our_failure_and_keeps_the_persons_yes(ask, stored, tmp_path):
    await ask("symptoms", GLOSSY_LEFT)
    with closing(sqlite3.connect(tmp_path / "cases.db")) as other:
        other.execute("CREATE TRIGGER full BEFORE INSERT ON cases BEGIN SELECT RAISE(ABORT, 'disk full'); END")
        with pytest.raises(ServiceFailure):
            await ask("symptoms", "yes")
        other.execute("DROP TRIGGER full")
    assert stored() == []
    assert (await ask("symptoms", "yes")).case == 1


async def test_a_stored_verdict_is_the_whole_verdict(ask, house, latest):
    """What is read back is what was said, to the last digit."""
    await ask("readings", TILTED)
    report, verdict = latest()
    judged = triage(Report.model_validate_json(report), house.tools.knowledge, house.words)
    assert Verdict.model_validate_json(verdict) == judged.verdict
