"""Reading what somebody wrote, for themselves or for them; and answering in the language of who asks."""

import re

import pytest
from card_reading import lines_of, pressed, words_of

GLOSSY_LEFT = "the raft on the left is shiny, no supports on it"


# ---- reading a message ----------------------------------------------------------------------------


async def test_an_author_has_their_own_message_read_and_says_yes(club):
    card = await club.say("fern", "read symptoms", GLOSSY_LEFT, author="fern")
    assert "shiny" in words_of(card)
    assert card.private
    assert club.stored()["cases"] == []
    assert (await club.say("fern", "symptoms", "yes")).case == 1


async def test_a_helper_reads_for_somebody_and_the_yes_joins_the_authors_case(case, club):
    card = await club.say("moss", "read symptoms", GLOSSY_LEFT, author="rowan")
    assert card.private
    assert [pressed(card, label)[1] for label in ("Yes, add this", "No, drop it")] == [
        {"confirm": "yes"},
        {"confirm": "no"},
    ]
    joined = await club.say("moss", "symptoms", confirm="yes")
    assert (joined.case, joined.standing.case, joined.private) == (1, 1, False)
    assert "on the left" in "\n".join(lines_of(await club.say("rowan", "case show"), "told"))
    assert "no open case" in (await club.say("moss", "why")).conclusion, "the helper has no case by that"


async def test_a_helpers_yes_opens_a_case_for_an_author_who_has_none(club):
    await club.say("moss", "read symptoms", GLOSSY_LEFT, author="fern")
    assert (await club.say("moss", "symptoms", "yes")).case == 1
    assert (await club.say("fern", "why")).case == 1


async def test_a_helpers_no_leaves_the_author_as_they_were(case, club):
    await club.say("moss", "read symptoms", GLOSSY_LEFT, author="rowan")
    assert "Nothing of that was kept" in (await club.say("moss", "symptoms", "no")).conclusion
    assert club.look("SELECT count(*) FROM judgements") == [(1,)]


async def test_somebody_elses_message_is_for_helpers_only(case, club):
    before = club.stored()
    card = await club.say("fern", "read symptoms", GLOSSY_LEFT, author="rowan")
    assert "for this community's helpers" in card.conclusion
    assert card.private
    assert club.stored() == before


@pytest.mark.parametrize("text", ["", "yes", "hello everyone", "0.98 and then some"])
async def test_a_message_that_says_nothing_about_a_print_is_said_so_kindly(text, case, club):
    before = club.stored()
    card = await club.say("moss", "read symptoms", text, author="rowan")
    assert (card.tone, card.private) == ("unsure", True)
    assert club.stored() == before


# ---- language -------------------------------------------------------------------------------------

ENGLISH = re.compile(r"\b(the|your|and|you|with|case)\b", re.IGNORECASE)


@pytest.mark.parametrize(
    ("person", "command", "options"),
    [
        ("rowan", "case show", {}),
        ("moss", "case show", {"case": "1"}),
        ("moss", "case show", {"case": "1", "hand_over": "yes"}),
        ("moss", "case show", {"case": "1", "thread": "yes"}),
        ("moss", "case note", {"case": "1", "cause": "debris"}),
        ("moss", "case confirm", {"case": "1", "cause": "tilt"}),
        ("moss", "case claim", {"case": "1"}),
        ("moss", "case release", {"case": "1"}),
        ("moss", "case queue", {}),
        ("rowan", "case outcome", {"result": "Hat geholfen"}),
        ("rowan", "case outcome", {"result": "fixed_otherwise"}),
        ("rowan", "case close", {}),
        ("rowan", "my-data show", {}),
        ("rowan", "my-data erase", {}),
        ("fern", "case queue", {}),
        ("fern", "case show", {"case": "1"}),
    ],
)
async def test_whoever_speaks_german_is_answered_in_german(person, command, options, case, club):
    card = await club.say(person, command, speaks="de", **options)
    assert card.tone != "fault"
    said = re.sub(r"/[a-z-]+( [a-z]+)?|\w+=\w*", "", words_of(card))
    assert ENGLISH.findall(said) == []
    assert ENGLISH.findall(" ".join(action.label for action in card.actions)) == []


async def test_a_yes_after_nothing_was_understood_says_yes_to_nothing(club):
    await club.say("fern", "symptoms", GLOSSY_LEFT)
    await club.say("fern", "symptoms", "whatever that is")
    assert "nothing waiting" in (await club.say("fern", "symptoms", "yes")).conclusion
    assert club.stored()["cases"] == []


@pytest.mark.parametrize("command", ["symptoms", "read symptoms"])
async def test_readings_told_where_symptoms_are_asked_are_read_back_and_wait_for_a_yes(command, club):
    card = await club.say("fern", command, "1.02/0.98 0.98 1.3 lost 1.00", author="fern")
    assert "front left 1.02/0.98, front right 0.98, back left 1.30, back right lost, centre 1.00" in words_of(card)
    assert club.stored()["cases"] == []
    assert (await club.say("fern", "symptoms", "yes")).title == "Plate tilted"


async def test_fewer_numbers_than_a_set_has_are_no_readings(club):
    assert (await club.say("fern", "symptoms", "1.02 0.98 1.1")).title == "Tell me a little more"
