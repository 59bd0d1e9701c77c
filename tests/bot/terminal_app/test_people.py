"""One terminal, several people: who speaks after ``/as``, where, and in which roles."""

import pytest

from bot.terminal_app.people import YOU, People
from core.errors import UnusableInput
from core.words import load_words


def speaker(*lines):
    people = People()
    for line in lines:
        people.turn_to(line)
    one = people.speaker
    return one.person, one.community, one.channel, set(one.roles), one.administrator


TURNS = [
    pytest.param([], ("you", "terminal", "terminal", set(), True), id="you, from the beginning"),
    pytest.param(["/as fern"], ("fern", "terminal", "terminal", set(), False), id="somebody else is nobody special"),
    pytest.param(["/as @moss helpers"], ("moss", "terminal", "terminal", {"helpers"}, False), id="in a role"),
    pytest.param(["/as ash a b in #work"], ("ash", "terminal", "work", {"a", "b"}, False), id="in two, in a channel"),
    pytest.param(["/as fern in private"], ("fern", "direct", "fern", set(), False), id="in private"),
    pytest.param(["/as yew administrator"], ("yew", "terminal", "terminal", set(), True), id="another administrator"),
    pytest.param(["/as fern", "/as you"], ("you", "terminal", "terminal", set(), True), id="and back"),
    pytest.param(
        ["/as moss helpers", "/as you", "/as moss"], ("moss", "terminal", "terminal", {"helpers"}, False), id="kept"
    ),
    pytest.param(["/as moss a in work", "/as moss b"], ("moss", "terminal", "work", {"b"}, False), id="named anew"),
    pytest.param(
        ["/as moss a in private", "/as moss in work"], ("moss", "terminal", "work", {"a"}, False), id="out again"
    ),
    pytest.param(["/as you in private"], ("you", "direct", "you", set(), True), id="you in private"),
    pytest.param(["/as fern", "/as"], ("fern", "terminal", "terminal", set(), False), id="alone it changes nothing"),
]


@pytest.mark.parametrize(("lines", "asker"), TURNS)
def test_after_these_lines_speaks(lines, asker):
    assert speaker(*lines) == asker


@pytest.mark.parametrize(
    "line",
    [
        "/as in work",
        "/as fern in",
        "/as fern in work shop",
        "/as fern a=b",
        '/as "two words"',
        f"/as {'x' * 33}",
        "/as \ue000",
    ],
)
def test_a_line_that_names_nobody_is_refused_and_the_same_one_speaks_on(line):
    people = People()
    with pytest.raises(UnusableInput) as refusal:
        people.turn_to(line)
    assert [fault.code for fault in refusal.value.faults] == ["not_as"]
    assert people.speaker == YOU


def test_who_speaks_is_said_and_stands_before_the_line():
    words, people = load_words(), People()
    assert people.prompt == "platewright> "
    people.turn_to("/as moss helpers tool-desk in workshop")
    assert people.prompt == "moss> "
    assert people.describe(words) == "You speak as moss now, in #workshop, with the role helpers and tool-desk."
    people.turn_to("/as fern in private")
    assert people.describe(words) == "You speak as fern now, in private."
