"""Who may do what is decided in the core: for every command, every rank, everywhere it can be asked."""

import pytest
from invented_case import TILTED

from core.commands import COMMANDS

PEOPLE = {"everyone": "fern", "helpers": "moss", "moderators": "juniper", "administrators": "yew"}
RANKS = list(PEOPLE)
BY_NAME = {command.name: command for command in COMMANDS}
RESERVED = [command.name for command in COMMANDS if command.who != "everyone"]
ASKED = {
    "case note": {"text": "look at the film"},
    "case confirm": {"cause": "tilt"},
    "setup": {"retention": "30"},
}
"""Options with which a command would change something."""


@pytest.mark.parametrize("name", RESERVED)
async def test_a_rank_too_low_is_refused_privately_and_nothing_is_stored(name, case, club):
    who = BY_NAME[name].who
    options = ASKED.get(name, {}) | ({"case": "1"} if any(one.name == "case" for one in BY_NAME[name].options) else {})
    before = club.stored()
    refused = club.house.words.say(f"refusals.only_{who}", command=f"/{name}")
    for rank in RANKS[: RANKS.index(who)]:
        card = await club.say(PEOPLE[rank], name, **options)
        assert (card.conclusion, card.private, card.sections, card.actions, card.files) == (refused, True, (), (), ())
    assert club.stored() == before
    for rank in RANKS[RANKS.index(who) :]:
        assert (await club.say(PEOPLE[rank], name, **options)).conclusion != refused


def test_the_commands_that_are_reserved_are_these():
    """Whoever adds one says for whom it is; this list says what was meant."""
    own = {name for name in RESERVED if not name.startswith("stats ")}
    assert own == {"case note", "case claim", "case release", "case confirm", "case queue", "setup"}


@pytest.mark.parametrize("name", RESERVED)
async def test_a_role_counts_only_in_the_community_that_gave_it(name, club):
    """A helper of one club is nobody in another, where the administrator set nothing up."""
    card = await club.service.handle(club.inquiry("moss", name, community="other-club"))
    assert card.conclusion == club.house.words.say(f"refusals.only_{BY_NAME[name].who}", command=f"/{name}")


async def test_a_role_that_is_no_longer_the_helpers_helps_no_more(case, club):
    assert (await club.say("ash", "case queue")).title == "Who waits"
    await club.say("yew", "setup", helpers="r-new")
    assert "helpers" in (await club.say("ash", "case queue")).conclusion
    await club.say("yew", "setup", helpers="r-other")
    assert (await club.say("ash", "case queue")).title == "Who waits"


# ---- private conversations ------------------------------------------------------------------------


@pytest.mark.parametrize("name", [command.name for command in COMMANDS if not command.direct])
@pytest.mark.parametrize("person", ["fern", "yew"])
async def test_what_needs_a_community_says_so_in_private(name, person, club):
    before = club.stored()
    card = await club.say(person, name, community="direct", here="dm-1", **ASKED.get(name, {}))
    assert card.conclusion == club.house.words.say("refusals.not_in_private", command=f"/{name}")
    assert card.private
    assert club.stored() == before


async def test_in_private_one_has_ones_own_case_and_can_reach_no_other(case, club):
    mine = await club.say("yew", "readings", TILTED, community="direct", here="dm-1")
    assert mine.case == 1
    assert (await club.say("yew", "case show", community="direct", here="dm-1")).case == 1
    theirs = await club.say("fern", "readings", TILTED, community="direct", here="dm-2")
    assert theirs.case == 2
    for number in ("2", "3"):
        card = await club.say("yew", "case show", community="direct", here="dm-1", case=number)
        assert card.conclusion == club.house.words.say("refusals.no_such_case", number=number)
    assert "dm-1" not in str(club.stored())


# ---- channels -------------------------------------------------------------------------------------


@pytest.fixture
async def narrow(case, club):
    """Questions are answered in one channel only."""
    await club.say("yew", "setup", channel="c-help")


@pytest.mark.parametrize("name", ["readings", "symptoms", "settings", "why", "case show", "case outcome", "coupons"])
async def test_questions_are_answered_in_their_channels_and_their_threads(name, narrow, club):
    before = club.stored()
    card = await club.say("rowan", name, here="c-tools", **({"seen": "stuck_fast"} if name == "symptoms" else {}))
    assert card.private
    assert "c-help" in card.conclusion
    assert "Please ask there" in card.conclusion
    assert club.stored() == before
    for where in ({"here": "c-help"}, {"here": "t-1", "parent": "c-help"}):
        assert "Please ask there" not in (await club.say("rowan", name, **where)).conclusion


@pytest.mark.parametrize(
    ("person", "name", "options"),
    [
        ("rowan", "help", {}),
        ("rowan", "my-data show", {}),
        ("rowan", "my-data erase", {}),
        ("moss", "case queue", {}),
        ("moss", "case show", {"case": "1"}),
        ("moss", "case claim", {"case": "1"}),
        ("yew", "setup", {}),
    ],
)
async def test_help_ones_own_data_and_helping_are_not_held_to_a_channel(person, name, options, narrow, club):
    card = await club.say(person, name, here="c-back-room", **options)
    assert "Please ask there" not in card.conclusion
