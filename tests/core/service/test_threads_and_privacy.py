"""Cases in threads of their own, and who sees which answer."""

import pytest
from card_reading import lines_of
from invented_case import LEVEL, TILTED

# ---- threads --------------------------------------------------------------------------------------

THREAD = {"here": "t-1", "parent": "c-help"}


async def test_a_thread_is_wished_for_once_and_then_said_where_it_is(case, club):
    await club.service.stands("club-7", 1, "invented place")
    wish = (await club.say("moss", "case show", case="1", thread="yes")).thread
    assert (wish.case, wish.place) == (1, "invented place")
    await club.service.threaded("club-7", 1, "t-1")
    card = await club.say("moss", "case show", case="1", thread="yes")
    assert card.thread is None
    assert "t-1" in card.conclusion
    direct = {"community": "direct", "here": "dm-1"}
    await club.say("fern", "readings", TILTED, **direct)
    assert (await club.say("fern", "case show", thread="yes", **direct)).thread is None


async def test_in_its_thread_a_case_needs_no_number(case, club):
    await club.service.threaded("club-7", 1, "t-1")
    assert (await club.say("rowan", "settings", burn_in="30", **THREAD)).case == 1
    assert (await club.say("moss", "case claim", **THREAD)).case == 1
    assert (await club.say("moss", "why", **THREAD)).case == 1
    assert (await club.say("fern", "readings", TILTED, **THREAD)).case == 2, "somebody else's is their own"
    assert "no open case" in (await club.say("juniper", "case show", here="t-2", parent="c-help")).conclusion


async def test_in_the_thread_of_a_fixed_case_its_author_measures_again_and_the_talk_goes_on_there(case, club):
    await club.service.threaded("club-7", 1, "t-1")
    await club.say("rowan", "case outcome", "fixed_otherwise", **THREAD)
    assert "is closed" in (await club.say("moss", "readings", LEVEL, **THREAD)).conclusion
    again = await club.say("rowan", "readings", LEVEL, **THREAD)
    assert again.case == 2
    assert lines_of(again, "heard")
    assert (await club.say("moss", "why", **THREAD)).case == 2
    assert (await club.say("rowan", "case show")).case == 2, "and in the channel it is the same"


# ---- who sees an answer ---------------------------------------------------------------------------


async def test_a_verdict_is_for_everyone_and_what_a_helper_looks_up_for_the_helper(case, club):
    assert not case.private
    assert not (await club.say("rowan", "why")).private
    for command in ("why", "next", "screws"):
        assert (await club.say("moss", command, case="1")).private, command
    assert not (await club.say("moss", "settings", case="1", burn_in="30")).private, "a new verdict for its author"


@pytest.mark.parametrize("command", ["readings", "settings", "why", "next", "screws", "case show", "coupons", "help"])
async def test_where_a_community_wants_it_every_answer_is_private(command, case, club):
    await club.say("yew", "setup", replies="private")
    options = {"settings": {"burn_in": "30"}, "coupons": {"plate": "150x85"}}.get(command, {})
    card = await club.say("rowan", command, TILTED if command == "readings" else "", **options)
    assert card.tone != "fault"
    assert card.private


@pytest.mark.parametrize(
    ("command", "options"),
    [("case claim", {}), ("case close", {}), ("case outcome", {"result": "not_fixed"}), ("case note", {"text": "x"})],
)
async def test_what_is_done_with_a_case_is_private_there_too(command, options, case, club):
    await club.say("yew", "setup", replies="private")
    assert (await club.say("moss", command, case="1", **options)).private
