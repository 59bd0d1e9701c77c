"""Whole conversations, typed into the program itself: a real process, a real database, replies as people see them."""

import os
import pty
import re
import signal
import sqlite3
import stat
import subprocess
import sys
import tomllib
from contextlib import closing
from pathlib import Path
from time import monotonic

import pytest

HERE = Path(__file__)
CONVERSATIONS = tomllib.loads((HERE.parents[2] / "cases" / "conversations.toml").read_text())["conversation"]
LONGEST_S = 90
NEVER_PRINTED = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
REFUSED = "I could not use this, so nothing was kept"


def environment(folder, **more):
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PLATEWRIGHT_")}
    return {
        **kept,
        "PLATEWRIGHT_DATABASE": str(folder / "cases.db"),
        "LC_ALL": "C.UTF-8",
        "PYTHONPATH": str(HERE.parents[3]),
        "PYTHONWARNINGS": "error::ResourceWarning",
        "COLUMNS": "88",
        **more,
    }


def chat(folder, *arguments, given=None, **more):
    return subprocess.run(
        [sys.executable, "-m", "bot", "chat", *arguments],
        cwd=folder,
        env=environment(folder, **more),
        input=given,
        capture_output=True,
        timeout=LONGEST_S,
        check=False,
    )


def count(folder, table):
    with closing(sqlite3.connect(folder / "cases.db")) as connection:
        return connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0]  # noqa: S608 - a name of ours


def flat(reply):
    return " ".join(reply.split())


def lines_of_faults(reply):
    return re.findall(r"^- ", reply, re.MULTILINE)


@pytest.mark.parametrize("conversation", CONVERSATIONS, ids=lambda one: one["name"])
def test_a_conversation_goes_as_its_table_says(conversation, tmp_path):
    steps = conversation["step"]
    typed = [step["said"] * step.get("times", 1) for step in steps]
    (tmp_path / "typed.txt").write_text("\n".join(typed), encoding="utf-8")
    done = chat(tmp_path, "--script", "typed.txt")
    out = done.stdout.decode()
    assert done.stderr == b""
    assert done.returncode == conversation.get("status", 2 if any("faults" in step for step in steps) else 0)
    assert not NEVER_PRINTED.search(out)
    replies = re.split(r"^platewright> .*\n", out, flags=re.MULTILINE)[1:]
    assert len(replies) == len(steps)
    wrong = [fault for step, reply in zip(steps, replies, strict=True) for fault in faults_of(step, reply)]
    assert not wrong, "\n\n".join(wrong)
    assert (count(tmp_path, "cases"), count(tmp_path, "judgements")) == (
        conversation["cases"],
        conversation["judgements"],
    )


def faults_of(step, reply):
    """Everything in a reply that its step does not want, so that one run tells all."""
    said, shown = step["said"][:60], flat(reply)
    for pattern in step.get("must", ()):
        if not re.search(pattern, shown) and not re.search(pattern, reply):
            yield f"{said}: no {pattern!r} in\n{reply}"
    for pattern in step.get("must_not", ()):
        if re.search(pattern, shown):
            yield f"{said}: {pattern!r} in\n{reply}"
    if (REFUSED in shown) != ("faults" in step):
        yield f"{said}: {'not ' if 'faults' in step else ''}refused\n{reply}"
    if "faults" in step and len(lines_of_faults(reply)) != step["faults"]:
        yield f"{said}: not {step['faults']} lines of faults in\n{reply}"


def test_a_pipe_is_answered_without_echo_whatever_its_bytes(tmp_path):
    """Not every pipe speaks UTF-8, ends its last line, or starts without a byte-order mark."""
    lines = (b"\xef\xbb\xbf/readings 0.98 1.01 0.99 1.02 1.00\r\n", b"/readings \xff\xfe 1 1 1\n", b"\n", b"/why")
    done = chat(tmp_path, "--pictures", "maps", given=b"".join(lines), PYTHONIOENCODING="ascii")
    out = done.stdout.decode("ascii")
    assert (done.returncode, done.stderr) == (2, b"")
    assert "platewright>" not in out
    assert out.count(REFUSED) == 1
    assert count(tmp_path, "judgements") == 1
    assert (tmp_path / "maps" / "platewright-plate-map.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


def test_a_picture_that_cannot_be_left_costs_one_line_and_the_conversation_goes_on(tmp_path):
    (tmp_path / "maps").write_text("a file where a folder is wanted")
    done = chat(tmp_path, "--pictures", "maps", given=b"/readings 0.98 1.01 0.99 1.02 1.00\n/why\n")
    assert done.returncode == 1
    assert len(done.stderr.decode().splitlines()) == 1
    assert b"maps" in done.stderr
    assert done.stdout.count(b"Case 1") == 2


def test_the_demo_leaves_its_pictures_and_nothing_else(tmp_path):
    done = chat(tmp_path, "--demo")
    assert (done.returncode, done.stderr) == (0, b"")
    left = {file.name for file in tmp_path.iterdir()}
    assert "platewright-plate-map.png" in left
    assert all(name.startswith("platewright-") and name.endswith(".png") for name in left)
    out = flat(done.stdout.decode())
    assert "Plate tilted" in out
    assert re.search(r"0\.46 (mm )?to 0\.07 mm", out)


def test_an_interrupt_at_a_pipe_that_says_nothing_ends_the_program_at_once(tmp_path):
    waiting = subprocess.Popen(
        [sys.executable, "-m", "bot", "chat"],
        cwd=tmp_path,
        env=environment(tmp_path),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    try:
        waiting.stdin.write(b"/why\n")
        waiting.stdin.flush()
        assert waiting.stdout.readline()  # it is up and has answered
        waiting.send_signal(signal.SIGINT)
        assert waiting.wait(10) == -signal.SIGINT
        assert waiting.stderr.read() == b""
    finally:
        waiting.kill()
        waiting.communicate()


def test_a_reader_that_goes_away_early_is_no_error(tmp_path):
    (tmp_path / "typed.txt").write_text("/help\n" * 400)
    program = subprocess.Popen(
        [sys.executable, "-m", "bot", "chat", "--script", "typed.txt"],
        cwd=tmp_path,
        env=environment(tmp_path),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    program.stdout.readline()
    program.stdout.close()
    try:
        assert program.stderr.read() == b""
        assert program.wait(LONGEST_S) == 0
    finally:
        program.kill()
        program.stderr.close()
        program.wait()


def test_at_a_prompt_an_interrupt_drops_the_line_and_the_history_is_private(tmp_path):
    """A real terminal: half a line and Ctrl-C, then a whole one, then Ctrl-D."""
    ours, theirs = pty.openpty()
    shell = subprocess.Popen(
        [sys.executable, "-m", "bot", "chat"],
        cwd=tmp_path,
        env=environment(tmp_path, TERM="xterm"),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
    )
    os.close(theirs)
    try:
        shown = Screen(ours)
        shown.wait_for("platewright>")
        os.write(ours, b"/readings 1 1 1")
        shown.wait_for("1 1 1")
        os.write(ours, b"\x03")
        shown.wait_for("platewright>")
        os.write(ours, b"/help\r")
        shown.wait_for("/symptoms")
        shown.wait_for("platewright>")
        os.write(ours, b"\x04")
        assert shell.wait(20) == 0
    finally:
        shell.kill()
        shell.wait()
        os.close(ours)
    assert stat.S_IMODE((tmp_path / "history").stat().st_mode) == 0o600
    assert "+/help" in (tmp_path / "history").read_text()
    assert "1 1 1" not in (tmp_path / "history").read_text()


class Screen:
    """What a terminal was sent, read up to what is waited for."""

    def __init__(self, descriptor):
        self.descriptor = descriptor
        self.rest = ""

    def wait_for(self, text):
        end = monotonic() + 30
        while text not in self.rest:
            assert monotonic() < end, self.rest
            sent = os.read(self.descriptor, 65536).decode(errors="replace")
            if "\x1b[6n" in sent:  # the prompt asks where the cursor is, as terminals answer (ECMA-48, CPR)
                os.write(self.descriptor, b"\x1b[1;1R")
            self.rest += re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", sent)
        self.rest = self.rest.partition(text)[2]
