"""The stand-in keeps the platform's order of things: tokens, messages, threads, weather, the gateway."""

import asyncio

import aiohttp
import pytest
from stand_in import wire
from stand_in.bare_bot import BUTTON, FORM, PRIVATE, SILENT, V2, connected, exchange, row, says
from stand_in.gateway import INVALID, RECONNECT
from stand_in.world import PUBLIC_THREADS, SEND, VIEW

# ---- tokens and messages --------------------------------------------------------------------------


async def test_an_interaction_is_answered_once_in_time_and_by_its_own_token():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        said, heard = await exchange(bot, wren.types("/readings"), (4, says("once")))
        assert (await bot.calls_back(heard, 4, says("twice")))[1]["code"] == wire.ALREADY_ACKNOWLEDGED
        wrong = {**heard, "token": "invented"}
        assert (await bot.calls_back(wrong, 4, says("x")))[1]["code"] == wire.UNKNOWN_INTERACTION
        assert (await bot.hook("POST", wrong, body=says("x")))[1]["code"] == wire.UNKNOWN_WEBHOOK
        await platform.repeat(said.conversation)
        again = await bot.hear("INTERACTION_CREATE")
        assert again["token"] == heard["token"]
        said.conversation.grow_old()
        assert (await bot.hook("POST", heard, body=says("x")))[1]["code"] == wire.TOKEN_EXPIRED
        late = await platform.send(wren.interaction(2, {"id": "1", "name": "readings", "type": 1, "options": []}))
        late.started -= 3.1
        heard = await bot.hear("INTERACTION_CREATE")
        assert (await bot.calls_back(heard, 4, says("x")))[1]["code"] == wire.UNKNOWN_INTERACTION
        assert [one.text for one in wren.channel.messages] == ["once"]


async def test_a_sign_of_life_decides_who_sees_the_answer_and_the_first_follow_up_takes_its_place():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        asked = asyncio.create_task(wren.types("/readings"))
        heard = await bot.hear("INTERACTION_CREATE")
        await bot.calls_back(heard, 5, {})
        (waiting,) = wren.channel.messages
        assert waiting.waiting
        await bot.hook("POST", heard, body=says("private?", private=True))
        await bot.hook("POST", heard, body=says("private", private=True))
        said = await asked
        assert [(one.text, one.private) for one in said.messages] == [("private?", False), ("private", True)]
        assert said.messages[0] is waiting
        assert not said.private


async def test_a_private_message_can_be_changed_and_deleted_by_its_interactions_token_alone():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        said, heard = await exchange(bot, wren.types("/readings"), (4, says("first", private=True)))
        path = f"/channels/{wren.channel.id}/messages/{said.message.id}"
        body = {**says("second"), "allowed_mentions": SILENT}
        for method in ("GET", "PATCH", "DELETE"):
            assert (await bot.calls(method, path, body))[1]["code"] == wire.UNKNOWN_MESSAGE
        assert (await bot.hook("PATCH", heard, "@original", says("second")))[0] == 200
        assert said.text == "second"
        assert said.private
        assert (await bot.hook("DELETE", heard, "@original"))[0] == 204
        assert said.messages == []
        assert (await bot.hook("PATCH", heard, "@original", says("third")))[1]["code"] == wire.UNKNOWN_MESSAGE


async def test_an_edit_keeps_the_attachments_it_lists_and_all_if_it_lists_none():
    async with connected() as (platform, bot):
        path = f"/channels/{platform.club.channel('failed-prints').id}/messages"
        gallery = {"type": 12, "items": [{"media": {"url": "attachment://a.png"}}]}
        sent = {**says("x", gallery), "attachments": [{"id": 0, "filename": "a.png"}], "allowed_mentions": SILENT}
        status, told = await bot.calls("POST", path, sent, {"a.png": b"png"})
        assert status == 200, told
        message = platform.messages[told["id"]]
        shown = told["components"][1]["items"][0]["media"]["url"]
        path = f"{path}/{message.id}"
        drawn_again = {**says("y", {"type": 12, "items": [{"media": {"url": shown}}]}), "allowed_mentions": SILENT}
        assert (await bot.calls("PATCH", path, drawn_again))[0] == 200
        kept = [{"id": told["attachments"][0]["id"], "filename": "a.png"}]
        assert (await bot.calls("PATCH", path, {**drawn_again, "attachments": kept}))[0] == 200
        assert message.files == {"a.png": b"png"}
        assert (await bot.calls("PATCH", path, {**says("z"), "allowed_mentions": SILENT}))[0] == 400
        without = {**says("z"), "attachments": [], "allowed_mentions": SILENT}
        assert (await bot.calls("PATCH", path, without))[0] == 200
        assert (message.files, message.text) == ({}, "z")
        assert platform.faults.pop() == "a.png: attached and nowhere shown"


@pytest.mark.parametrize(
    ("body", "complaint"),
    [
        ({**says("x"), "allowed_mentions": None}, "allowed_mentions is missing"),
        ({**says("x"), "allowed_mentions": {"parse": ["users"]}}, "be pinged"),
        ({**says("x"), "allowed_mentions": {"parse": [], "users": ["1"]}}, "be pinged"),
        ({**says("x"), "colour": 3}, "unknown key colour"),
        ({**says("x"), "flags": V2 | PRIVATE}, "only an answer to an interaction"),
    ],
)
async def test_what_must_never_be_sent_is_refused_and_noted(body, complaint):
    async with connected() as (platform, bot):
        path = f"/channels/{platform.club.channel('failed-prints').id}/messages"
        body = {key: value for key, value in {"allowed_mentions": SILENT, **body}.items() if value is not None}
        status, _ = await bot.calls("POST", path, body)
        assert status == 400
        assert any(complaint in fault for fault in platform.faults)
        platform.faults.clear()


async def test_callbacks_that_do_not_belong_to_what_was_done_are_refused():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        said, _ = await exchange(bot, wren.types("/readings"), (4, says("x", row(BUTTON))))
        typed = wren.interaction(2, {"id": "1", "name": "readings", "type": 1, "options": []})
        submitted = wren.interaction(5, {"custom_id": "form", "components": []})
        pressed = wren.interaction(3, {"custom_id": "why", "component_type": 2}, said.message)
        for payload, kind, data in (
            (typed, 7, says("x")),
            (typed, 6, None),
            (typed, 8, {"choices": []}),
            (submitted, 9, FORM),
            (submitted, 7, says("x")),
            (pressed, 5, {"flags": PRIVATE, "content": "x"}),
        ):
            await platform.send(payload)
            heard = await bot.hear("INTERACTION_CREATE")
            assert (await bot.calls_back(heard, kind, data))[0] == 400, kind
            assert platform.faults
            platform.faults.clear()


# ---- channels and threads -------------------------------------------------------------------------


async def test_a_thread_is_a_place_with_a_parent_and_there_is_one_to_a_message():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        said, _ = await exchange(bot, wren.types("/readings"), (4, says("x")))
        channel = f"/channels/{wren.channel.id}"
        at_message = f"{channel}/messages/{said.message.id}/threads"
        status, told = await bot.calls("POST", at_message, {"name": "Case 3"})
        assert (status, told["type"], told["parent_id"]) == (201, 11, wren.channel.id)
        assert (await bot.calls("POST", at_message, {"name": "x"}))[1]["code"] == wire.THREAD_EXISTS
        status, other = await bot.calls("POST", f"{channel}/threads", {"name": "Case 4", "type": 11})
        assert status == 201
        assert other["id"] != told["id"]
        thread = platform.channels[told["id"]]
        _, heard = await exchange(bot, wren.at(thread).types("/readings"), (4, says("in it")))
        assert (heard["channel"]["type"], heard["channel"]["parent_id"]) == (11, wren.channel.id)
        assert [one.text for one in thread.messages] == ["in it"]
        wren.channel.withheld |= PUBLIC_THREADS
        assert (await bot.calls("POST", f"{channel}/threads", {"name": "x"}))[1]["code"] == wire.NO_PERMISSION


async def test_a_channel_may_be_closed_to_the_service():
    async with connected() as (platform, bot):
        channel, wren = platform.club.channel("bench"), platform.person("wren")
        body = {**says("x"), "allowed_mentions": SILENT}
        for withheld, code in ((SEND, wire.NO_PERMISSION), (VIEW, wire.NO_ACCESS)):
            channel.withheld = withheld
            assert (await bot.calls("POST", f"/channels/{channel.id}/messages", body))[1]["code"] == code
        assert (await bot.calls("GET", "/channels/1"))[1]["code"] == wire.UNKNOWN_CHANNEL
        _, told = await bot.calls("POST", "/users/@me/channels", {"recipient_id": wren.id})
        assert (await bot.calls("POST", f"/channels/{told['id']}/messages", body))[0] == 200
        wren.privately.channel.withheld = SEND
        assert (await bot.calls("POST", f"/channels/{told['id']}/messages", body))[1]["code"] == wire.UNREACHABLE
        other = await wren.writes("mine")
        path = f"/channels/{wren.channel.id}/messages/{other.id}"
        assert (await bot.calls("PATCH", path, body))[1]["code"] == wire.NOT_THE_AUTHOR


async def test_an_endpoint_the_platform_does_not_have_is_a_fault():
    async with connected() as (platform, bot):
        assert (await bot.calls("GET", "/guilds/1/everything"))[0] == 404
        assert platform.faults.pop().startswith("no such endpoint: GET")


# ---- weather and the gateway ----------------------------------------------------------------------


async def test_limits_failures_and_cuts_come_when_told_and_then_end():
    async with connected() as (platform, bot):
        path = f"/channels/{platform.club.channel('failed-prints').id}/messages"
        body = {**says("x"), "allowed_mentions": SILENT}
        platform.troubles.expect("post", "limited", seconds=0.2, everywhere=True)
        status, told = await bot.calls("POST", path, body)
        assert (status, told["global"], told["retry_after"]) == (429, True, 0.2)
        platform.troubles.expect("post", "broken")
        assert (await bot.calls("POST", path, body))[0] == 502
        assert platform.messages == {}
        for kind, arrived in (("cut", 0), ("cut_after", 1)):
            platform.troubles.expect("post", kind)
            with pytest.raises(aiohttp.ClientError):
                await bot.calls("POST", path, body)
            assert len(platform.messages) == arrived
        assert (await bot.calls("POST", path, body))[0] == 200
        assert len(platform.troubles.met) == 4


async def test_after_a_drop_what_was_missed_is_told_again_and_nothing_else():
    async with connected() as (platform, bot):
        wren = platform.person("wren")
        data = {"id": "1", "name": "readings", "type": 1, "options": []}
        await platform.send(wren.interaction(2, data))
        await bot.hear("INTERACTION_CREATE")
        await platform.gateway.drop()
        assert await bot.control() == RECONNECT
        missed = await platform.send(wren.interaction(2, data))
        assert missed.missed
        await bot.connect(resume=True)
        assert (await bot.hear("INTERACTION_CREATE"))["token"] == missed.token
        await bot.hear("RESUMED")
        assert platform.gateway.resumed == 1


async def test_an_ended_session_cannot_be_resumed():
    async with connected() as (platform, bot):
        await platform.gateway.invalidate()
        assert await bot.control() == INVALID
        await bot.connect(resume=True)
        assert await bot.control() == INVALID
        await bot.connect()
        assert platform.gateway.resumed == 0
        await platform.gateway.cut()
        assert await bot.control() is None


async def test_a_community_that_left_says_so_and_one_out_of_reach_says_that_instead():
    async with connected() as (platform, bot):
        other = platform.community("Evening bench")
        await other.comes_back()
        assert (await bot.hear("GUILD_CREATE"))["id"] == platform.club.id
        assert (await bot.hear("GUILD_CREATE"))["name"] == "Evening bench"
        await other.goes_dark()
        assert (await bot.hear("GUILD_DELETE"))["unavailable"]
        await other.leaves()
        assert await bot.hear("GUILD_DELETE") == {"id": other.id}
        body = {**says("x"), "allowed_mentions": SILENT}
        told = await bot.calls("POST", f"/channels/{other.channel('bench').id}/messages", body)
        assert told[1]["code"] == wire.NO_ACCESS
