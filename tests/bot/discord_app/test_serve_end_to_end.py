"""The program as a process of its own, against the stand-in: what an operator starts and what people then see."""

import asyncio
import os
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from stand_in import record
from stand_in.chat_platform import TOKEN, Platform
from stand_in.payloads import JAY, press, slash, submit, typing
from stand_in.record import Call, Conversation

from core.commands import COMMANDS

ROOT = Path(__file__).parents[3]
STAND_IN = ROOT / "tests" / "stand_in"
READY_S, STOP_S = 40.0, 15.0

CROOKED = {"front_left": "0.98", "front_right": "1.02", "back_left": "1.31", "back_right": "1.28", "centre": "1.10"}


def environment(folder: Path, token: str | None = TOKEN) -> dict[str, str]:
    """Return an environment without any setting of the machine's own."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PLATEWRIGHT_")}
    given = {} if token is None else {"PLATEWRIGHT_TOKEN": token}
    return kept | given | {"PLATEWRIGHT_DATABASE": str(folder / "cases.db"), "MPLCONFIGDIR": str(folder)}


@asynccontextmanager
async def process(
    platform: Platform, folder: Path, token: str | None = TOKEN
) -> AsyncIterator[asyncio.subprocess.Process]:
    """Run ``platewright serve``; kill it at the end if the test did not stop it."""
    started = await asyncio.create_subprocess_exec(
        sys.executable,
        str(STAND_IN / "launch.py"),
        platform.rest_url,
        platform.gateway_url,
        "serve",
        env=environment(folder, token),
        cwd=folder,
        stderr=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
    )
    try:
        yield started
    finally:
        if started.returncode is None:
            started.kill()
            await started.wait()


async def ready(platform: Platform, started: asyncio.subprocess.Process) -> None:
    """Wait until the process hears interactions, or fail with what it wrote."""
    connected = asyncio.create_task(platform.gateway.until_ready(READY_S))
    ended = asyncio.create_task(started.wait())
    await asyncio.wait({connected, ended}, return_when=asyncio.FIRST_COMPLETED)
    ended.cancel()
    if not connected.done():
        connected.cancel()
        pytest.fail((await started.communicate())[1].decode())
    await connected


async def stop(started: asyncio.subprocess.Process) -> tuple[int | None, str, str]:
    """Ask the process to stop and return its status and what it wrote."""
    started.send_signal(signal.SIGTERM)
    async with asyncio.timeout(STOP_S):
        out, err = await started.communicate()
    return started.returncode, out.decode(), err.decode()


async def heard(conversation: Conversation, *, private: bool = False) -> Call:
    """Wait for the answer itself, at once or after a sign of life, and not for a question drawn again."""
    seen = 0
    while True:
        calls = await conversation.until(seen + 1, seconds=20.0)
        seen = len(calls)
        question = calls[0].type == record.UPDATE
        for call in calls:
            redrawn = call.type == record.UPDATE or (question and call.kind == record.EDIT)
            if call.text and not redrawn and call.private == private:
                return call


async def test_a_sentence_is_confirmed_by_a_button_and_old_buttons_outlive_the_process(tmp_path):
    """Sentence, question, yes, verdict, its buttons; then a new process, which has never seen that message."""
    async with Platform() as platform:

        async def pressed(shown: Call, label: str, **how) -> Conversation:
            return await platform.send(press(shown.data, shown.buttons[label]["custom_id"], **how))

        async with process(platform, tmp_path) as started:
            await ready(platform, started)
            sentence = "the raft on the right is shiny, no supports on it"
            question = await heard(await platform.send(slash("symptoms", {"seen": sentence})), private=True)
            assert list(question.buttons) == ["Yes, add this", "No, drop it"]

            confirmed = await pressed(question, "Yes, add this")
            verdict = await heard(confirmed)
            assert list(verdict.buttons) == [
                "Add readings",
                "Add symptoms",
                "Add settings",
                "The coupons for my plate",
                "Why?",
                "What to check next",
                "It worked",
                "Not yet",
            ]
            settled = next(call for call in reversed(confirmed.calls) if call.text == question.text)
            assert settled.buttons == {}

            again = await heard(await pressed(question, "Yes, add this"), private=True)
            assert "nothing waiting for your yes" in again.text

            why = await heard(await pressed(verdict, "Why?"))
            assert "odds" in why.text
            assert (await heard(await pressed(verdict, "What to check next"))).text != why.text
            status, _, log = await stop(started)
            assert status == 0
            assert "Traceback" not in log
            assert not any(secret in log for secret in ("shiny", "pw2", "900000000000000001"))

        async with process(platform, tmp_path) as again:
            await ready(platform, again)
            assert (await heard(await pressed(verdict, "Why?"))).text == why.text

            stranger = await heard(await pressed(verdict, "Why?", person=JAY), private=True)
            assert "no case 1 that you may see" in stranger.text
            own = verdict.buttons["The coupons for my plate"]["custom_id"]
            bound = await heard(await platform.send(press(verdict.data, own, person=JAY)), private=True)
            assert "somebody else's" in bound.text

            custom_id = verdict.buttons["Why?"]["custom_id"]
            for forged in (custom_id.replace("why", "erase"), f"{custom_id}seen=x", custom_id + "x" * 100, "pw2"):
                refused = await heard(await platform.send(press(verdict.data, forged)), private=True)
                assert "Nothing happened" in refused.text
            status, _, log = await stop(again)
            assert status == 0
            assert "Traceback" not in log


async def test_a_sentence_in_the_form_is_a_question_and_no_drops_it(tmp_path):
    async with Platform() as platform, process(platform, tmp_path) as started:
        await ready(platform, started)
        form = await (await platform.send(slash("symptoms"))).answer(seconds=3.0)
        assert form.type == record.MODAL
        assert len(form.data["components"]) == 4
        submitted = await platform.send(submit(form.data, {"text": "the raft on the right is shiny"}))
        question = await heard(submitted, private=True)
        dropped = await platform.send(press(question.data, question.buttons["No, drop it"]["custom_id"]))
        assert "Nothing of that was kept" in (await heard(dropped, private=True)).text
        nothing = await heard(await platform.send(slash("why")), private=True)
        assert "no open case" in nothing.text


async def test_a_day_at_the_print_club(tmp_path):
    """Start, register, answer options, forms and mistakes, suggest, stop; start again without registering twice."""
    async with Platform() as platform:
        async with process(platform, tmp_path) as started:
            await ready(platform, started)
            (registered,) = platform.registrations
            names = [command.name if command.menu else command.name.partition(" ")[0] for command in COMMANDS]
            menu = {"read symptoms": "Read symptoms"}
            assert [one["name"] for one in registered] == [menu.get(name, name) for name in dict.fromkeys(names)]

            conversation = await platform.send(slash("readings", CROOKED))
            first = await conversation.answer(seconds=3.0)
            calls = conversation.calls if first.type == record.MESSAGE else await conversation.until(2, seconds=20.0)
            verdict = calls[-1]
            assert verdict.files
            assert all(content.startswith(b"\x89PNG") for content in verdict.files.values())
            assert all(one["description"] for one in verdict.data["attachments"])
            assert "out of parallel" in verdict.text.casefold()
            assert not verdict.private

            form = await (await platform.send(slash("readings"))).answer(seconds=3.0)
            assert form.type == record.MODAL
            conversation = await platform.send(submit(form.data, CROOKED))
            first = await conversation.answer(seconds=3.0)
            calls = conversation.calls if first.type == record.MESSAGE else await conversation.until(2, seconds=20.0)
            assert calls[-1].files

            bad = await (await platform.send(slash("readings", {**CROOKED, "centre": "about a thumb"}))).answer(3.0)
            assert bad.private
            assert "about a thumb" in bad.text

            offered = await (await platform.send(typing("symptoms", "seen", "glos"))).answer(3.0)
            assert offered.data["choices"][0]["value"] == "glossy_raft"

            status, out, log = await stop(started)
            assert (status, out) == (0, "")
            assert "Traceback" not in log
            assert all(line.startswith("time=") for line in log.splitlines())
            assert not any(secret in log for secret in (TOKEN, "wren", "thumb", "900000000000000001"))

        async with process(platform, tmp_path) as again:
            await ready(platform, again)
            assert len(platform.registrations) == 1
            status, _, _ = await stop(again)
            assert status == 0


async def test_an_evening_in_the_workshop(tmp_path):
    """Coupons to print, screws to turn, a working curve and a guide, each with its picture."""
    async with Platform() as platform, process(platform, tmp_path) as started:
        await ready(platform, started)

        async def asked(name: str, options: dict[str, str], *, private: bool = False) -> Call:
            return await heard(await platform.send(slash(name, options)), private=private)

        coupons = await asked("coupons", {"plate": "150x85"})
        await asked("readings", CROOKED)
        answers = [
            coupons,
            await asked("screws", {"thread": "M4", "adjusters": "four_screws"}),
            await asked("screws", {}),
            await asked("curve", {"squares": "2 0.21, 4 0.32, 8 0.42, 16 0.53, 32 0.63"}),
            await asked("help", {"topic": "straightedge"}, private=True),
        ]
        for answer in answers:
            (picture,) = answer.shown[record.GALLERY]
            assert answer.files[picture].startswith(b"\x89PNG")
            described = {one["filename"]: one.get("description") for one in answer.data["attachments"]}
            assert len(described[picture]) > 20
        assert coupons.shown[record.FILE] == ["coupons-150x85.stl", "coupons-150x85.3mf"]
        # A binary mesh states its number of triangles after 80 bytes, 50 bytes each; the other is a ZIP archive.
        stl, threemf = (coupons.files[name] for name in coupons.shown[record.FILE])
        assert len(stl) == 84 + 50 * int.from_bytes(stl[80:84], "little")
        assert threemf.startswith(b"PK")
        assert not any(record.FILE in answer.shown for answer in answers[1:])
        status, _, log = await stop(started)
        assert status == 0
        assert "Traceback" not in log


async def test_a_refused_token_is_one_plain_line_and_status_2(tmp_path):
    async with Platform() as platform, process(platform, tmp_path, token="a-wrong-token") as started:
        async with asyncio.timeout(READY_S):
            _, err = await started.communicate()
        assert started.returncode == 2
        (line,) = [line for line in err.decode().splitlines() if not line.startswith("time=")]
        assert line.startswith("PLATEWRIGHT_TOKEN: ")
        assert "a-wrong-token" not in err.decode()


async def test_a_token_refused_by_the_gateway_is_one_plain_line_and_status_2(tmp_path):
    async with Platform() as platform, process(platform, tmp_path) as started:
        platform.gateway.refuses_token = True
        async with asyncio.timeout(READY_S):
            _, err = await started.communicate()
        assert started.returncode == 2
        assert "refuses this bot token" in err.decode().splitlines()[-1]


async def test_a_missing_token_is_one_plain_line_and_status_2(tmp_path):
    async with Platform() as platform, process(platform, tmp_path, token=None) as started:
        async with asyncio.timeout(READY_S):
            out, err = await started.communicate()
        assert (started.returncode, out) == (2, b"")
        assert err.decode().startswith("PLATEWRIGHT_TOKEN: no bot token was given")
        assert len(err.decode().splitlines()) == 1


async def test_a_platform_that_cannot_be_reached_is_one_plain_line_and_status_1(tmp_path):
    async with Platform() as platform:
        pass
    async with process(platform, tmp_path) as started:
        async with asyncio.timeout(READY_S):
            _, err = await started.communicate()
        assert started.returncode == 1
        assert "cannot be reached" in err.decode().splitlines()[-1]


async def test_a_stop_while_an_answer_is_being_made_lets_it_finish(tmp_path):
    """With an invented service that dawdles: the answer comes after the signal, and the process ends well."""
    async with Platform() as platform:
        started = await asyncio.create_subprocess_exec(
            sys.executable,
            str(STAND_IN / "invented.py"),
            platform.rest_url,
            platform.gateway_url,
            str(tmp_path / "memory.json"),
            env=environment(tmp_path),
            stderr=asyncio.subprocess.PIPE,
        )
        try:
            await ready(platform, started)
            conversation = await platform.send(slash("readings", {"nominal": "slow"}))
            await conversation.answer()
            started.send_signal(signal.SIGTERM)
            _, answer = await conversation.until(2)
            assert "The right side" in answer.text
            async with asyncio.timeout(STOP_S):
                _, err = await started.communicate()
            assert started.returncode == 0
            assert "unfinished=0" in err.decode()
        finally:
            if started.returncode is None:
                started.kill()
                await started.wait()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
async def test_a_stop_before_the_platform_answered_ends_at_once(tmp_path, number):
    """The gateway never says it is ready: a signal must still end the process."""
    async with Platform() as platform:
        platform.gateway.silent = True
        async with process(platform, tmp_path) as started:
            async with asyncio.timeout(READY_S):
                await platform.gateway.connected.wait()
            started.send_signal(number)
            async with asyncio.timeout(STOP_S):
                _, err = await started.communicate()
            assert started.returncode == 0, err.decode()
            assert "Traceback" not in err.decode()
