"""How a community wants things: each option, each fault in one line, and nothing half-saved."""

import pytest
from card_reading import words_of

from core.cases.rows import Community
from core.service.setup import MOST_CHANNELS

BASE = {"helpers": "r-help", "moderators": "r-mod"}

CHANGES = [
    pytest.param([{"helpers": "r-new"}], {"helpers": "r-new"}, "r-new", id="helpers"),
    pytest.param([{"moderators": "r-new"}], {"moderators": "r-new"}, "r-new", id="moderators"),
    pytest.param([{"channel": "c-1"}], {"channels": ("c-1",)}, "c-1", id="a channel alone is added"),
    pytest.param(
        [{"channel": "c-1"}, {"channel": "c-2", "channels": "add"}], {"channels": ("c-1", "c-2")}, "c-2", id="add"
    ),
    pytest.param([{"channel": "c-1"}, {"channel": "c-1"}], {"channels": ("c-1",)}, "c-1", id="added twice"),
    pytest.param([{"channel": "c-1"}, {"channel": "c-1", "channels": "remove"}], {}, "every channel", id="remove"),
    pytest.param([{"channel": "c-1"}, {"channels": "everywhere"}], {}, "every channel", id="everywhere"),
    pytest.param([{"retention": "30"}], {"retention_days": 30}, "30 days", id="retention"),
    pytest.param([{"retention": "90 days"}], {"retention_days": 90}, "90 days", id="retention with its unit"),
    pytest.param([{"replies": "private"}], {"replies": "private"}, "asker alone", id="private"),
    pytest.param([{"replies": "For the asker alone"}], {"replies": "private"}, "asker alone", id="by its label"),
    pytest.param([{"replies": "private"}, {"replies": "public"}], {}, "everyone", id="public"),
    pytest.param([{"reminders": "yes"}], {"reminders": True}, "asked once", id="reminders"),
    pytest.param([{"reminders": "yes"}, {"reminders": "no"}], {}, "Nobody is asked", id="no reminders"),
    pytest.param([{"language": "de"}], {"language": "de"}, "Deutsch", id="language"),
    pytest.param([{"language": "de"}, {"language": "each"}], {}, "ihre eigene", id="each their own"),
    pytest.param([{}], {}, "Give an option", id="only shown"),
]


@pytest.mark.parametrize(("asked", "rules", "says"), CHANGES)
async def test_an_option_changes_what_it_says_and_nothing_else(asked, rules, says, club):
    for options in asked:
        card = await club.say("yew", "setup", **options)
    assert card.private
    assert says in words_of(card)
    assert await club.store.community("club-7") == Community(**(BASE | rules))


FAULTS = [
    pytest.param("", {"retention": "0"}, 1, "1 to 3650", id="no day"),
    pytest.param("", {"retention": "3651"}, 1, "1 to 3650", id="too many days"),
    pytest.param("", {"retention": "²"}, 1, "1 to 3650", id="a digit that is none"),
    pytest.param("", {"retention": "-5"}, 1, "1 to 3650", id="days before"),
    pytest.param("", {"replies": "loud"}, 1, "public", id="replies"),
    pytest.param("", {"reminders": "perhaps"}, 1, "perhaps", id="reminders"),
    pytest.param("", {"language": "xx"}, 1, "de", id="language"),
    pytest.param("", {"channels": "add"}, 1, "no channel was given", id="add nothing"),
    pytest.param("", {"channels": "sometimes", "channel": "c-1"}, 1, "everywhere", id="channels"),
    pytest.param("retention 30", {}, 1, "retention=90", id="text"),
    pytest.param("", {"retention": "x", "replies": "x", "language": "x", "helpers": "r-new"}, 3, "x", id="three"),
]


@pytest.mark.parametrize(("text", "options", "faults", "says"), FAULTS)
async def test_every_fault_has_its_line_and_nothing_is_half_saved(text, options, faults, says, club):
    before = club.stored()
    card = await club.say("yew", "setup", text, **options)
    assert (card.tone, card.private) == ("fault", True)
    lines = card.sections[-1].lines
    assert len(lines) == faults
    assert any(says in line for line in lines)
    assert club.stored() == before


async def test_there_is_an_end_to_channels(club):
    for n in range(MOST_CHANNELS):
        await club.say("yew", "setup", channel=f"c-{n}")
    card = await club.say("yew", "setup", channel="c-more")
    assert card.tone == "fault"
    assert len((await club.store.community("club-7")).channels) == MOST_CHANNELS
    assert (await club.say("yew", "setup", channel="c-3")).tone != "fault", "one that is there already"


async def test_one_community_sets_up_nothing_for_another(club):
    await club.say("yew", "setup", retention="30")
    assert await club.store.community("other-club") == Community()


async def test_a_community_with_a_language_is_answered_in_it_and_the_others_each_in_their_own(club):
    german = await club.say("fern", "help", speaks="de-AT")
    assert german.title == "Was hast du vor dir?"
    await club.say("yew", "setup", language="de")
    assert (await club.say("fern", "help", speaks="en-GB")).title == "Was hast du vor dir?"
    await club.say("yew", "setup", language="each")
    assert (await club.say("fern", "help", speaks="en-GB")).title == "What do you have in front of you?"
    assert (await club.say("fern", "help", speaks="fr")).title == "What do you have in front of you?"
