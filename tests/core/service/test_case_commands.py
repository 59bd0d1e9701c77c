"""A case after its verdict, asked of the composed service: whose it is, what is shown of it, who helps."""

import re

import pytest
from card_reading import lines_of, words_of
from invented_case import LEVEL, TILTED

# ---- whose case -----------------------------------------------------------------------------------

ABOUT_A_CASE = [
    ("readings", LEVEL, {}),
    ("symptoms", "", {"seen": "stuck_fast"}),
    ("settings", "", {"burn_in": "30"}),
    ("screws", "", {"plate": "150x85"}),
    ("curve", "2 0.10, 4 0.21, 8 0.31, 16 0.42", {}),
    ("why", "", {}),
    ("next", "", {}),
    ("case show", "", {}),
    ("case show", "", {"hand_over": "yes"}),
    ("case show", "", {"thread": "yes"}),
    ("case outcome", "", {"result": "not_yet"}),
    ("case outcome", "", {"result": "not_fixed"}),
    ("case close", "", {}),
]


@pytest.mark.parametrize(("command", "text", "options"), ABOUT_A_CASE)
async def test_somebody_elses_case_cannot_be_reached_nor_told_from_one_that_is_not_there(
    command, text, options, case, club
):
    before = club.stored()
    there = await club.say("fern", command, text, case="1", **options)
    nowhere = await club.say("fern", command, text, case="7", **options)
    assert there.conclusion.replace("1", "7") == nowhere.conclusion
    assert (there.private, there.sections, there.actions, there.pictures, there.case) == (True, (), (), (), None)
    assert (there.title, there.tone, there.footer) == (nowhere.title, nowhere.tone, nowhere.footer)
    assert club.stored() == before


@pytest.mark.parametrize(("command", "text", "options"), ABOUT_A_CASE)
@pytest.mark.parametrize("person", ["rowan", "moss"], ids=["author", "helper"])
async def test_ones_own_case_and_for_a_helper_anybodys_is_found_by_its_number(
    person, command, text, options, case, club
):
    card = await club.say(person, command, text, case="#1", here="c-tools", **options)
    assert (card.tone != "fault", card.case) == (True, 1)


@pytest.mark.parametrize("number", ["one", "1.5", "-1", "¹", "1" * 12, "#"])
async def test_a_number_that_is_none_is_one_line(number, case, club):
    card = await club.say("rowan", "case show", case=number)
    assert card.tone == "fault"
    assert len(card.sections[-1].lines) == 1


@pytest.mark.parametrize("command", ["case show", "case outcome", "case close", "case note", "case claim"])
async def test_without_a_number_it_is_ones_own_open_case(command, case, club):
    card = await club.say("moss", command, **({"result": "not_yet"} if command == "case outcome" else {}))
    assert "no open case" in card.conclusion
    await club.say("moss", "readings", LEVEL)
    options = {"case outcome": {"result": "not_yet"}, "case note": {"text": "mine"}}.get(command, {})
    assert (await club.say("moss", command, **options)).case == 2


# ---- shown ----------------------------------------------------------------------------------------


async def test_the_author_sees_what_was_told_and_how_it_stands_and_a_helper_the_evidence_too(case, club):
    await club.say("moss", "case note", case="1", text="the ball joint is worn")
    author, helper = [await club.say(person, "case show", case="1") for person in ("rowan", "moss")]
    for card in (author, helper):
        assert card.private
        assert "front left 0.76" in "\n".join(lines_of(card, "told"))
        assert any("Open for" in line for line in lines_of(card, "stands"))
    assert "odds" in words_of(helper)
    assert "odds" not in words_of(author)
    assert lines_of(helper, "notes") == ["You, 2026-03-14: the ball joint is worn"]
    assert "worn" not in words_of(author)
    assert "A helper, 2026-03-14: the ball joint is worn" in lines_of(
        await club.say("ash", "case show", case="1"), "notes"
    )


async def test_a_helper_sees_what_others_hold_for_the_cause_only_after_saying_their_own(case, club):
    await club.say("moss", "case note", case="1", cause="debris")
    debris = club.house.words.say("causes.debris.name")
    blind = await club.say("ash", "case show", case="1")
    assert debris not in "\n".join(lines_of(blind, "helpers say"))
    assert "once you have said yours" in words_of(blind)
    assert debris not in words_of(await club.say("ash", "case show", case="1", hand_over="yes"))
    await club.say("ash", "case note", case="1", cause="crown")
    seeing = "\n".join(lines_of(await club.say("ash", "case show", case="1"), "helpers say"))
    assert debris in seeing
    assert "Another helper" in seeing
    assert "You (" in seeing
    assert dict(club.look("SELECT cause, blind FROM opinions")) == {"debris": 1, "crown": 1}
    await club.say("ash", "case note", case="1", cause="debris")
    assert club.look("SELECT cause, blind FROM opinions WHERE cause = 'debris' ORDER BY blind") == [
        ("debris", 0),
        ("debris", 1),
    ], "whoever changes their mind has seen the other answer"


async def test_what_is_confirmed_is_shown_to_the_author_and_opinions_are_not(case, club):
    await club.say("moss", "case note", case="1", cause="debris")
    await club.say("ash", "case confirm", case="1", cause="tilt")
    card = await club.say("rowan", "case show")
    assert club.house.words.say("causes.tilt.name") in "\n".join(lines_of(card, "stands"))
    assert club.house.words.say("causes.debris.name") not in words_of(card)


async def test_the_summary_to_hand_over_is_plain_text_and_says_not_who_asked(case, club):
    card = await club.say("moss", "case show", case="1", hand_over="yes")
    (file,) = card.files
    text = file.content.decode()
    assert file.name == "case-1.txt"
    assert "front left 0.76" in text
    assert text.splitlines() == list(card.sections[0].lines)
    (author,) = club.look("SELECT author FROM cases")[0]
    assert not [one for one in (author, "rowan", "moss", "c-help") if one in text]
    assert card.private


async def test_how_a_plate_changed_is_one_line_a_set(case, club):
    assert not lines_of(await club.say("rowan", "case show"), "changed")
    await club.say("rowan", "readings", LEVEL)
    told = lines_of(await club.say("rowan", "case show"), "changed")
    assert [re.search(r"0\.\d\d", line)[0] for line in told] == ["0.46", "0.07"]


# ---- notes, claims, confirmations ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({}, "nothing to note"),
        ({"text": "  "}, "nothing to note"),
        ({"cause": "gremlins"}, "gremlins"),
        ({"text": "the film looks tired", "cause": "gremlins"}, "gremlins"),
        ({"text": "back\u202ewards"}, "202E"),
        ({"text": "x" * 5000}, "5000"),
    ],
)
async def test_a_note_that_cannot_be_used_is_one_line_and_nothing_is_kept(options, says, case, club):
    before = club.stored()
    card = await club.say("moss", "case note", case="1", **options)
    assert card.tone == "fault"
    (line,) = card.sections[-1].lines
    assert says in line
    assert club.stored() == before


async def test_a_claim_holds_until_it_is_released_by_its_helper_or_a_moderator(case, club):
    assert "looked after" in (await club.say("moss", "case claim", case="1")).conclusion
    assert "You look after it" in lines_of(await club.say("moss", "case show", case="1"), "stands")
    assert "A helper looks after it" in lines_of(await club.say("ash", "case show", case="1"), "stands")
    for command in ("case claim", "case release"):
        assert "Another helper" in (await club.say("ash", command, case="1")).conclusion
    assert "free again" in (await club.say("juniper", "case release", case="1")).conclusion
    assert "nothing to release" in (await club.say("moss", "case release", case="1")).conclusion
    assert "looked after" in (await club.say("ash", "case claim", case="1")).conclusion
    assert "free again" in (await club.say("ash", "case release", case="1")).conclusion


async def test_nobody_confirms_their_own_case(case, club):
    await club.say("moss", "readings", TILTED)
    before = club.stored()
    assert "your own case" in (await club.say("moss", "case confirm", case="2", cause="tilt")).conclusion
    assert club.stored() == before
    assert (await club.say("ash", "case confirm", case="2", cause="tilt")).case == 2


async def test_a_confirmed_cause_may_be_none_of_the_known_ones(case, club):
    card = await club.say("moss", "case confirm", case="1", cause="other")
    assert "something else" in card.conclusion
    assert "What was true: something else" in lines_of(await club.say("rowan", "case show"), "stands")
