"""Whoever may not is refused here, whatever the platform shows them: every command, through the real library."""

import sqlite3
from contextlib import closing

import pytest
from stand_in.people import Person

from core.commands import COMMANDS, Command

READINGS = {"front_left": "0.98", "front_right": "1.02", "back_left": "1.31", "back_right": "1.28", "centre": "1.10"}
GIVEN = {
    "readings": {"centre": "1.00"},
    "symptoms": {"seen": "stuck_fast"},
    "settings": {"burn_in": "30"},
    "screws": {"thread": "M4", "adjusters": "four_screws"},
    "curve": {"squares": "2 0.21, 4 0.32, 8 0.42"},
    "case note": {"text": "seen in the workshop"},
    "case confirm": {"cause": "tilt"},
    "case outcome": {"result": "not_yet"},
    "setup": {"retention": "30"},
}
"""What makes a command do something, beside the case it is about."""

RESTRICTED = [command for command in COMMANDS if command.who != "everyone"]
OF_A_CASE = [command for command in COMMANDS if any(option.kind == "case" for option in command.options)]
OPEN_TO_ALL = [command for command in OF_A_CASE if command.who == "everyone"]
TABLES = ("cases", "judgements", "notes", "opinions", "confirmations", "communities", "proposals")


@pytest.fixture
async def club(workshop, tmp_path, until):
    """Wren with a case, Jay without one, Robin who helps, and the keeper; and what the database holds."""
    platform, _ = workshop
    keeper = platform.person("keeper", administrator=True)
    # What the platform would hide from people is opened to them, so that they can try.
    platform.club.eased |= {command.name.partition(" ")[0] for command in COMMANDS}
    await keeper.types("/setup", helpers=platform.club.role("helpers"), moderators=platform.club.role("moderators"))
    people = {
        "wren": platform.person("wren"),
        "jay": platform.person("jay"),
        "robin": platform.person("robin", roles={"helpers"}),
        "keeper": keeper,
    }
    await people["wren"].types("/readings", **READINGS)

    def kept() -> list[tuple]:
        with closing(sqlite3.connect(tmp_path / "cases.db")) as connection:
            return [row for table in TABLES for row in connection.execute(f"SELECT * FROM {table} ORDER BY 1")]  # noqa: S608 - names of our own

    # Where a verdict stands is noted after it has been said.
    await until(lambda: any("/" in str(value) for row in kept() for value in row if "{" not in str(value)))
    return people, kept


async def ask(person: Person, command: Command, **more: str):
    """Type a command with whatever it needs, a while after the one before."""
    person.platform.pass_time(60)
    of_case = {"case": "1"} if command in OF_A_CASE and command.who != "everyone" else {}
    return await person.types(f"/{command.name}", **GIVEN.get(command.name, {}), **of_case, **more)


def test_every_rank_is_tried_and_no_command_is_passed_over():
    assert {command.who for command in COMMANDS} >= {"everyone", "helpers", "administrators"}
    assert len(RESTRICTED) + sum(command.who == "everyone" for command in COMMANDS) == len(COMMANDS)


async def test_an_ordinary_member_is_refused_privately_and_nothing_changes(club):
    people, kept = club
    before = kept()
    for command in RESTRICTED:
        said = await ask(people["jay"], command)
        assert (command.name, said.private, f"/{command.name} is for" in said.text) == (command.name, True, True)
        assert kept() == before, command.name


async def test_a_helper_is_no_moderator_and_a_moderator_no_administrator(club):
    people, kept = club
    before = kept()
    moderator = people["jay"].with_roles("moderators")
    for person, ranks in ((people["robin"], {"moderators", "administrators"}), (moderator, {"administrators"})):
        for command in RESTRICTED:
            if command.who in ranks:
                said = await ask(person, command)
                assert (command.name, said.private, f"/{command.name} is for" in said.text) == (
                    command.name,
                    True,
                    True,
                )
    assert kept() == before


async def test_whoever_administers_the_community_may(club):
    """The other side of the table: a refusal of everybody would pass, too."""
    people, _ = club
    for command in RESTRICTED:
        said = await ask(people["keeper"], command)
        assert (command.name, " is for " in said.text) == (command.name, False)


async def test_another_members_case_is_refused_without_telling_whether_there_is_one(club):
    people, kept = club
    before = kept()
    for command in OPEN_TO_ALL:
        there, not_there = [await ask(people["jay"], command, case=number) for number in ("1", "77")]
        assert (command.name, there.private, not_there.private) == (command.name, True, True)
        assert there.text.replace("case 1", "case 77") == not_there.text
        assert "no case 77 that you may see" in not_there.text
        assert kept() == before, command.name


async def test_a_form_about_another_members_case_is_not_even_shown(club):
    people, _ = club
    for name in ("readings", "symptoms", "settings"):
        said = await people["jay"].types(f"/{name}", case="1")
        assert not said.asks
        assert "no case 1 that you may see" in said.text
        helping = await people["robin"].types(f"/{name}", case="1")
        assert helping.form.data["custom_id"] == f"form:{name}:1"


async def test_a_number_that_is_none_is_told_and_no_form_is_shown(club):
    people, _ = club
    for given in ("twelve", "1:2", "1234567890", "-1"):
        said = await people["wren"].types("/readings", case=given)
        assert not said.asks
        assert "no number of a case" in said.text


async def test_the_buttons_of_a_verdict_are_for_its_author_and_for_helpers(club):
    """Who may is looked up when it is pressed: the button itself knows only the case."""
    people, kept = club
    verdict = people["wren"].channel.messages[-1]
    before = kept()
    labels = ["Add readings", "Add symptoms", "Add settings", "Why?", "What to check next", "It worked", "Not yet"]
    assert set(labels) <= set(verdict.buttons)
    for label in labels:
        stranger = await people["jay"].presses(verdict, label)
        assert (label, stranger.asks, stranger.private) == (label, False, True)
        assert "no case 1 that you may see" in stranger.text
    assert kept() == before
    for label in labels:
        for name in ("robin", "wren"):
            allowed = await people[name].presses(verdict, label)
            assert allowed.asks or "that you may see" not in allowed.text


async def test_in_private_a_command_works_for_ones_own_case_or_says_why_not(club):
    people, _ = club
    wren = people["wren"].privately
    assert not (await wren.types("/readings", **READINGS)).private
    for command in COMMANDS:
        if command.menu:
            continue
        registered = next(one for one in wren.platform.commands if one["name"] == command.name.partition(" ")[0])
        if 1 not in registered["contexts"]:
            assert not command.direct
            continue
        said = await ask(wren, command)
        assert said.asks or (said.text and "went wrong" not in said.text), command.name
        assert (command.name, "needs a community" in said.everything) == (command.name, not command.direct)


async def test_the_menu_reads_ones_own_message_and_a_helper_reads_anybodys(club):
    people, kept = club
    wren, jay, robin = (people[name] for name in ("wren", "jay", "robin"))
    message = await wren.writes("the raft on the right is shiny, no supports on it")
    before = kept()
    refused = await jay.chooses_menu("Read symptoms", message)
    assert refused.private
    assert "this community's helpers" in refused.text
    assert kept() == before
    for person in (wren, robin):
        asked = await person.chooses_menu("Read symptoms", message)
        assert asked.private
        assert "Yes, add this" in asked.buttons


async def test_a_role_is_taken_from_what_the_platform_says_with_each_press(club):
    people, _ = club
    jay = people["jay"]
    assert "is for" in (await jay.types("/case queue")).text
    assert "1 open" in (await jay.with_roles("helpers").types("/case queue")).text


async def test_roles_and_channels_are_taken_as_they_are_and_shown_without_pinging(workshop):
    platform, _ = workshop
    keeper = platform.person("keeper", administrator=True)
    role, channel = platform.club.role("helpers"), platform.club.channel("plate-talk")
    said = await keeper.types("/setup", helpers=role, channel=channel)
    assert said.private
    assert f"<@&{role.id}>" in said.text
    assert f"<#{channel.id}>" in said.text
    assert platform.pings == []
    elsewhere = await platform.person("wren").types("/readings")
    assert not elsewhere.asks
    assert f"<#{channel.id}>" in elsewhere.text
    assert (await platform.person("wren", channel=channel).types("/readings")).asks
