"""People in the stand-in can do what their client would let them do, and the service hears of it as it would."""

import asyncio

import pytest
from stand_in.bare_bot import BUTTON, FORM, connected, exchange, row, says
from stand_in.people import NotOffered


async def test_a_typed_command_tells_who_asks_where_in_what_language_with_what_rights():
    async with connected() as (platform, bot):
        helpers = platform.club.role("helpers")
        wren = platform.person("wren", roles={"helpers"}, locale="de")
        said, heard = await exchange(bot, wren.types("/readings", centre="1.10"), (4, says("thick")))
        assert said.text == "thick"
        assert not said.private
        assert heard["member"]["roles"] == [helpers.id]
        assert heard["locale"] == "de"
        assert heard["guild_locale"] == "en-GB"
        assert not int(heard["member"]["permissions"]) & 1 << 3
        assert heard["data"]["options"] == [{"name": "centre", "type": 3, "value": "1.10"}]

        _, heard = await exchange(bot, wren.privately.types("/case show", case="3"), (4, says("x")))
        assert heard["user"]["id"] == wren.id
        assert "member" not in heard
        assert heard["data"]["options"][0]["options"] == [{"name": "case", "type": 3, "value": "3"}]

        keeper = platform.person("keeper", administrator=True)
        _, heard = await exchange(bot, keeper.types("/setup", helpers=helpers, replies="Private"), (4, says("x")))
        assert int(heard["member"]["permissions"]) & 1 << 3
        assert heard["data"]["resolved"]["roles"][helpers.id]["name"] == "helpers"
        assert heard["data"]["options"][1]["value"] == "private"


async def test_a_client_offers_only_what_was_registered_for_this_person_in_this_place():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        for doing in (
            wren.types("/levelling"),
            wren.types("/case"),
            wren.types("/case list"),
            wren.types("/readings", middle="1.0"),
            wren.types("/readings", centre="about a thumb"),
            wren.types("/setup", replies="Private"),
            wren.privately.types("/setup", replies="Private"),
            wren.looks_up("/readings", "centre", "1"),
            platform.person("keeper", administrator=True).types("/setup", replies="shouted"),
            platform.person("keeper", administrator=True).types("/setup", helpers="helpers"),
        ):
            with pytest.raises(NotOffered):
                await doing
        platform.club.eased.add("setup")
        await exchange(bot, wren.types("/setup", replies="Private"), (4, says("no")))


async def test_a_menu_command_tells_the_message_it_was_chosen_on_and_its_author():
    async with connected() as (platform, bot):
        jay = platform.person("jay")
        message = await jay.writes("the raft is shiny")
        wren = platform.person("wren")
        said, heard = await exchange(bot, wren.chooses_menu("Read symptoms", message), (4, says("x", private=True)))
        (told,) = heard["data"]["resolved"]["messages"].values()
        assert (told["content"], told["author"]["id"]) == ("the raft is shiny", jay.id)
        assert heard["data"]["target_id"] == message.id
        assert said.private
        assert said.message not in wren.channel.seen_by(jay.id)
        with pytest.raises(NotOffered):
            await jay.chooses_menu("Read symptoms", said)


async def test_suggestions_are_asked_for_the_option_being_typed():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        choices = {"choices": [{"name": "Case 3", "value": "3"}]}
        asked = asyncio.create_task(wren.looks_up("/case show", "case", "3"))
        heard = await bot.hear("INTERACTION_CREATE")
        assert (await bot.calls_back(heard, 8, choices))[0] == 200
        assert await asked == [("Case 3", "3")]
        assert heard["data"]["options"][0]["options"][0]["focused"]


async def test_a_button_opens_a_form_and_the_form_can_change_the_message_of_the_button():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        said, _ = await exchange(bot, wren.types("/readings"), (4, says("first", row(BUTTON))))
        shown, heard = await exchange(bot, wren.presses(said, "Why?"), (9, FORM))
        assert heard["message"]["id"] == said.message.id
        assert heard["data"]["custom_id"] == "why"
        for wrong in ({"centre": "too long"}, {"where": "nowhere", "centre": "1"}, {"middle": "1"}, {"centre": ""}):
            with pytest.raises(NotOffered):
                await wren.fills(shown, **wrong)
        filled, heard = await exchange(
            bot, wren.fills(shown, Centre="1.02", where="Front left"), (7, says("second", row(BUTTON)))
        )
        assert [
            part["component"].get("value", part["component"].get("values")) for part in heard["data"]["components"]
        ] == [
            "1.02",
            ["front_left"],
        ]
        assert filled.message is said.message
        assert said.text == "second"
        assert said.message.versions == ["first", "second"]
        with pytest.raises(NotOffered):
            await platform.person("jay").fills(shown, centre="1.0")


async def test_values_are_chosen_from_what_a_menu_offers():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        menu = {"type": 3, "custom_id": "places", "options": [{"label": "Left", "value": "left"}]}
        said, _ = await exchange(bot, wren.types("/readings"), (4, says("where?", row(menu))))
        _, heard = await exchange(bot, wren.chooses(said, "Left"), (7, says("left it is")))
        assert heard["data"]["values"] == ["left"]
        assert heard["data"]["component_type"] == 3
        with pytest.raises(IndexError):
            await wren.chooses(said, "Left")


async def test_a_resting_button_cannot_be_pressed():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        said, _ = await exchange(bot, wren.types("/readings"), (4, says("x", row({**BUTTON, "disabled": True}))))
        with pytest.raises(NotOffered):
            await wren.presses(said, "Why?")
