"""All that is kept about who asks, in every community, shown to them alone and removed when they mean it."""

import json

import pytest

TILTED = "0.76 1.22 0.80 1.20 0.99"
GLOSSY_LEFT = "the raft on the left is shiny, no supports on it"


@pytest.fixture
async def life(club):
    """What moss, a helper, left in two communities and in private."""
    await club.say("rowan", "readings", TILTED)
    await club.say("moss", "readings", TILTED)
    await club.say("moss", "settings", burn_in="30")
    await club.say("moss", "case note", case="1", text="the joint is worn", cause="tilt")
    await club.say("moss", "case confirm", case="1", cause="tilt")
    await club.say("moss", "case claim", case="1")
    await club.say("ash", "case note", case="2", text="ask about the film")
    await club.say("moss", "symptoms", GLOSSY_LEFT)
    await club.say("moss", "readings", TILTED, community="other-club")
    await club.say("moss", "readings", TILTED, community="direct", here="dm-1")


async def test_who_left_nothing_is_told_so(life, club):
    card = await club.say("fern", "my-data show")
    assert (card.conclusion, card.private, card.files, card.actions) == ("Nothing is kept about you.", True, (), ())


async def test_all_is_shown_wherever_one_asks_and_nothing_of_another(life, club):
    for where in ({}, {"community": "other-club"}, {"community": "direct", "here": "dm-1"}):
        card = await club.say("moss", "my-data show", **where)
        assert card.private
        counts = [line.rpartition(": ")[2] for line in card.sections[0].lines]
        assert counts == ["3", "4", "1", "1", "2", "1", "1"]
    kept = json.loads(card.files[0].content)
    assert [(case["community"], case["number"]) for case in kept["cases"]] == [
        ("club-7", 2),
        ("direct", 1),
        ("other-club", 1),
    ]
    assert [len(case["judgements"]) for case in kept["cases"]] == [2, 1, 1]
    assert [note["text"] for note in kept["notes_by_you"]] == ["the joint is worn"]
    assert [note["text"] for note in kept["notes_on_your_cases"]] == ["ask about the film"]
    assert [one["cause"] for one in kept["your_opinions"]] == ["tilt", "tilt"]
    assert kept["cases_you_look_after"] == [1]
    assert [one["id"] for one in kept["waiting_for_a_yes"][0]["findings"]] == ["glossy_raft"]
    assert "person-" not in card.files[0].content.decode()


async def test_erasing_asks_first_and_a_no_keeps_everything(life, club):
    before = club.stored()
    card = await club.say("moss", "my-data erase")
    assert [dict(action.options) for action in card.actions] == [{"confirm": "yes"}, {"confirm": "no"}]
    assert all(action.once for action in card.actions)
    assert (await club.say("moss", "my-data erase", confirm="no")).conclusion == "Nothing was erased."
    assert (await club.say("moss", "my-data erase", confirm="perhaps")).tone == "fault"
    assert club.stored() == before


@pytest.mark.parametrize("where", [{}, {"community": "direct", "here": "dm-1"}], ids=["club", "private"])
async def test_once_they_mean_it_everything_everywhere_is_gone_and_the_others_keep_theirs(where, life, club, tmp_path):
    own = {name for (name,) in club.look("SELECT author FROM cases WHERE number = 2 OR community <> 'club-7'")}
    assert len(own) == 3, "another pseudonym in each community"

    def traces():
        content = b"".join(file.read_bytes() for file in tmp_path.glob("cases.db*"))
        return {text for text in (*own, "the joint is worn", "ask about the film") if text.encode() in content}

    assert traces() == {*own, "the joint is worn", "ask about the film"}
    assert "is gone" in (await club.say("moss", "my-data erase", confirm="yes", **where)).conclusion
    assert traces() == set()
    assert (await club.say("moss", "my-data show", **where)).conclusion == "Nothing is kept about you."
    assert "no open case" in (await club.say("moss", "why")).conclusion
    assert "nothing waiting" in (await club.say("moss", "symptoms", "yes")).conclusion
    assert (await club.say("rowan", "case show")).case == 1
    assert club.look("SELECT count(*) FROM judgements") == [(5,)], "what was measured stays in the counts"


async def test_who_erased_themselves_can_begin_again(life, club):
    await club.say("moss", "my-data erase", confirm="yes")
    assert (await club.say("moss", "readings", TILTED)).case == 3
