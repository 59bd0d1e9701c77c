"""How a case ends, who says so, and the readings that measure the fix."""

import re

import pytest
from card_reading import lines_of, pressed, words_of
from invented_case import LEVEL, TILTED


async def test_it_worked_asks_for_the_step_and_then_the_case_is_fixed_and_measured_again(case, club):
    """The whole way with the buttons of the cards."""
    command, options = pressed(case, "It worked")
    asked = await club.say("rowan", command, **options)
    assert "Which step" in asked.conclusion
    assert asked.private
    assert all(action.once for action in asked.actions)
    assert (await club.say("rowan", "case show")).case == 1, "still open"
    command, options = pressed(asked, club.house.words.say("remedies.level_plate.name"))
    fixed = await club.say("rowan", command, **options)
    assert (fixed.tone, fixed.private) == ("good", False)
    assert club.look("SELECT state, outcome, step FROM cases") == [("closed", "fixed_by_step", "level_plate")]
    command, options = pressed(fixed, "Add readings")
    again = await club.say("rowan", command, LEVEL, **options)
    assert again.case == 2
    assert re.search(r"fell from 0\.46 (mm )?to 0\.07 mm", "\n".join(lines_of(again, "heard")))
    assert club.look("SELECT follows FROM cases ORDER BY id") == [(None,), (1,)]


RESULTS = [
    ("", {"result": "fixed_otherwise"}, "fixed_otherwise", None),
    ("", {"result": "Fixed by something else"}, "fixed_otherwise", None),
    ("", {"result": "not_fixed"}, "not_fixed", None),
    ("given up", {}, "abandoned", None),
    ("", {"result": "It worked", "step": "level_plate"}, "fixed_by_step", "level_plate"),
    ("", {"step": "level_plate"}, "fixed_by_step", "level_plate"),
]


@pytest.mark.parametrize(("text", "options", "outcome", "step"), RESULTS)
@pytest.mark.parametrize("person", ["rowan", "moss"])
async def test_an_outcome_closes_the_case(text, options, outcome, step, person, case, club):
    await club.say(person, "case outcome", text, case="1", **options)
    assert club.look("SELECT state, outcome, step FROM cases") == [("closed", outcome, step)]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({}, "fixed_by_step"),
        ({"result": "well"}, "fixed_by_step"),
        ({"result": "fixed_by_step", "step": "luck"}, "luck"),
        ({"result": "not_fixed", "step": "level_plate"}, "belongs only"),
    ],
)
async def test_an_outcome_that_cannot_be_used_is_one_line_and_the_case_stays_open(options, says, case, club):
    before = club.stored()
    card = await club.say("rowan", "case outcome", **options)
    assert card.tone == "fault"
    (line,) = card.sections[-1].lines
    assert says in line
    assert club.stored() == before


async def test_not_yet_puts_the_case_first_in_the_queue_and_says_what_comes_next(club):
    for person in ("rowan", "fern"):
        await club.say(person, "readings", TILTED)
        await club.say(person, "settings", burn_in="80", burn_in_layers="12", exposure="2")
    queue = await club.say("moss", "case queue")
    assert [line[:2] for line in queue.sections[0].lines] == ["1:", "2:"]
    card = await club.say("fern", "case outcome", "not yet")
    assert (card.case, card.private) == (2, True)
    assert len(lines_of(card, "next in")) == 1, "the second of two steps"
    queue = await club.say("moss", "case queue")
    assert [line[:2] for line in queue.sections[0].lines] == ["2:", "1:"]
    assert "not fixed yet (1)" in queue.sections[0].lines[0]
    await club.say("moss", "case claim", case="2")
    queue = await club.say("moss", "case queue")
    assert [line[:2] for line in queue.sections[0].lines] == ["1:", "2:"]
    assert (await club.say("yew", "case queue", community="other-club")).conclusion == "Nobody waits."


async def test_not_yet_is_said_in_the_language_of_who_asks(case, club):
    await club.say("rowan", "settings", burn_in="80", burn_in_layers="12", exposure="2")
    card = await club.say("rowan", "case outcome", speaks="de", result="not_yet")
    assert not re.search(r"\b(the|your|and)\b", words_of(card))


CLOSED_TAKES = [
    ("readings", LEVEL, {}),
    ("symptoms", "", {"seen": "stuck_fast"}),
    ("settings", "", {"burn_in": "30"}),
    ("screws", "", {"plate": "150x85"}),
    ("case claim", "", {}),
    ("case close", "", {}),
    ("case outcome", "", {"result": "not_yet"}),
]


@pytest.mark.parametrize(("command", "text", "options"), CLOSED_TAKES)
async def test_a_closed_case_takes_nothing_more_and_can_be_looked_at(command, text, options, case, club):
    await club.say("rowan", "case close")
    before = club.stored()
    card = await club.say("moss", command, text, case="1", **options)
    assert "is closed" in card.conclusion
    assert club.stored() == before
    for look in ("why", "next", "case show"):
        assert (await club.say("rowan", look, case="1")).case == 1


async def test_readings_after_a_case_that_was_not_fixed_follow_nothing(case, club):
    await club.say("rowan", "case outcome", "not_fixed")
    card = await club.say("rowan", "readings", LEVEL)
    assert card.case == 2
    assert not lines_of(card, "heard")
    assert club.look("SELECT follows FROM cases ORDER BY id") == [(None,), (None,)]
