"""An invented club at one terminal: whole conversations of several people, typed into the program itself."""

import os
import re
import subprocess
import sys
from functools import partial
from pathlib import Path

import invented_case
import pytest

from core.commands import COMMANDS
from core.words import load_words

ROOT = Path(__file__).parents[3]
ENGLISH = re.compile(r"\b(the|and|your|you|with|is|are|of|this|that|it|for|from|have|not)\b", re.IGNORECASE)


@pytest.fixture
def play(tmp_path):
    """Type a script; return each line's answer, its wrapping undone."""

    def play(script, language="en", columns=88):
        (tmp_path / "typed.txt").write_text(script, encoding="utf-8")
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("PLATEWRIGHT_", "LC_"))}
        told = {
            "PLATEWRIGHT_DATABASE": str(tmp_path / "cases.db"),
            "PLATEWRIGHT_LANGUAGE": language,
            "PYTHONPATH": str(ROOT),
            "PYTHONIOENCODING": "utf-8",
            "COLUMNS": str(columns),
        }
        done = subprocess.run(
            [sys.executable, "-m", "bot", "chat", "--script", "typed.txt"],
            cwd=tmp_path,
            env={**kept, **told},
            capture_output=True,
            timeout=120,
            check=False,
        )
        assert done.stderr.decode() == ""
        typed = [line for line in script.splitlines() if line.strip()]
        answers = re.split(r"^\w[\w.-]*> .*\n", done.stdout.decode(), flags=re.MULTILINE)[1:]
        assert len(answers) == len(typed)
        return [" ".join(answer.split()) for answer in answers]

    return play


@pytest.fixture
def look(tmp_path):
    return partial(invented_case.look, tmp_path / "cases.db")


def mismatches(talk, answers):
    """Name every line whose answer lacks what the talk says it has, so that one run tells all."""
    for (line, wanted), answer in zip(talk, answers, strict=True):
        for part in wanted:
            found = part[1:] not in answer if part.startswith("!") else part in answer
            if not found:
                yield f"{line}: {part!r} in\n  {answer}"


EVENING = [
    ("help", ["What do you have in front of you?", "ONLY IN THIS TERMINAL", "/as moss helpers", "-> /readings"]),
    ("/case show", ["You have no open case here yet"]),
    ("my raft is shiny on the left and there are no supports on it", ["Say yes to add this", "!->"]),
    ("yes", ["Measure the five coupons", "-> /readings /symptoms /settings /coupons /why /next"]),
    ("not yet", ["your case now stands first", "-> /readings /symptoms /next"]),
    (
        "/readings 0.76 1.22 0.80 1.20 0.99",
        ["Plate tilted", "/screws", "/case outcome fixed_by_step", "Case 1, answer 2."],
    ),
    ("/case show", ["WHAT WAS TOLD", "front left 0.76", "Not fixed yet (said 1×)"]),
    ("/case show hand_over=yes", ["To hand over", "The file is in"]),
    ("/case show thread=yes", ["There is no thread to open here. Helpers find this as case 1."]),
    ("It worked", ["Which step fixed it?", "-> /case outcome fixed_by_step step=level_plate"]),
    ("/case outcome fixed_by_step step=level_plate", ["Case 1 is fixed", "-> /readings"]),
    ("/readings 0.97 1.03 0.99 1.04 1.01", ["fell from 0.46 mm to 0.07 mm", "Case 2, answer 1."]),
    ("/case close", ["Case 2 is closed."]),
    ("/case close", ["You have no open case here yet"]),
    ("/why 1", ["Case 1, answer 2."]),
    ("/settings case=1 burn_in=30", ["Case 1 is closed"]),
]


def test_a_beginners_evening(play, look):
    answers = play("\n".join(line for line, _ in EVENING))
    assert list(mismatches(EVENING, answers)) == []
    assert look("SELECT state, outcome, step, follows FROM cases ORDER BY id") == [
        ("closed", "fixed_by_step", "level_plate", None),
        ("closed", None, None, 1),
    ]


CLUB = [
    ("/setup helpers=@helpers moderators=mods channel=#help retention=90", ["Helpers: @helpers", "Answers in #help"]),
    ("/as fern in help", ["You speak as fern now, in #help, without a role."]),
    ("0.76 1.22 0.80 1.20 0.99", ["Plate tilted", "Case 1, answer 1."]),
    ("/as rowan", ["You speak as rowan now, in #terminal, without a role."]),
    ("/why", ["Questions are answered in #help here. Please ask there."]),
    ("/as moss helpers", ["You speak as moss now, in #terminal, with the role helpers."]),
    ("/case queue", ["1 open, 1 of them with nobody yet.", "1: 0 min, #help, nobody yet", "-> /case show 1"]),
    ("/case show 1", ["A PLATE THAT IS NOT PARALLEL", "-> /why 1 /case claim 1 /case show case=1 thread=yes"]),
    ("/case claim 1", ["Case 1 is being looked after."]),
    ("/case note #1 the ball joint looks worn", ["Noted on case 1."]),
    ("/case note case=1 cause=loose_plate", ["you take “a plate, joint or arm that is not locked"]),
    ("/as ash helpers", ["You speak as ash now"]),
    ("/case claim 1", ["Another helper looks after case 1. A moderator can release it."]),
    ("/case release 1", ["Another helper looks after case 1."]),
    (
        "/case show 1",
        ["Other helpers have said what they take", "the ball joint looks worn", "!Another helper ("],
    ),
    ("/case note case=1 cause=tilt", ["you take “a plate that is not parallel"]),
    ("/case show 1", ["Another helper (", "You ("]),
    ("/as juniper mods", ["You speak as juniper now"]),
    ("/case release 1", ["Case 1 is free again for whoever can help."]),
    ("/as ash in help", ["in #help, with the role helpers"]),
    ("/read symptoms author=rowan the raft on the left is shiny", ["Did I get this right?", "on the left"]),
    ("yes", ["Case 2, answer 1.", "/readings case=2"]),
    ("/case confirm 1 tilt", ["in case 1, “a plate that is not parallel to the screen” was true"]),
    ("/case queue", ["2 open, 2 of them with nobody yet."]),
    ("/as rowan in help", ["You speak as rowan now, in #help"]),
    ("/case show", ["on the left", "Case 2, answer 1."]),
    ("/case show 1", ["There is no case 1 that you may see here."]),
    (
        "/read symptoms author=fern the raft is shiny",
        ["Reading somebody else's message is for this community's helpers."],
    ),
    ("/as fern", ["You speak as fern now, in #help"]),
    ("/case show", ["What was true: a plate that is not parallel to the screen", "!the ball joint looks worn"]),
    ("/my-data show", ["Notes by others on your cases: 1"]),
    ("/as fern in private", ["You speak as fern now, in private."]),
    ("/case queue", ["needs a community"]),
    ("/as moss of the in", ["“moss of the in” cannot be used"]),
    ("/as", ["You speak as fern now, in private."]),
]


def test_an_evening_of_askers_helpers_and_a_moderator(play, look):
    answers = play("\n".join(line for line, _ in CLUB))
    assert list(mismatches(CLUB, answers)) == []
    assert look("SELECT number, cause, claimed_by FROM cases ORDER BY id") == [(1, "tilt", None), (2, None, None)]
    assert look("SELECT cause, blind FROM opinions ORDER BY at") == [("loose_plate", 1), ("tilt", 1)]


ERASED = [
    ("/setup helpers=helpers", ["Helpers: @helpers"]),
    ("/as fern", []),
    ("/my-data show", ["Nothing is kept about you."]),
    ("/readings 0.76 1.22 0.80 1.20 0.99", ["Case 1, answer 1."]),
    ("/as fern in private", []),
    ("/readings 0.76 1.22 0.80 1.20 0.99", ["Case 1, answer 1."]),
    ("/as moss helpers", []),
    ("/case note #1 invented-trace", ["Noted"]),
    ("/as fern", []),
    ("/my-data show", ["Your cases: 2", "-> /my-data erase", "my-data.json"]),
    ("/my-data erase", ["Erase it all?", "-> /my-data erase yes /my-data erase no"]),
    ("/my-data erase no", ["Nothing was erased."]),
    ("/my-data erase yes", ["Everything that leads to you is gone"]),
    ("/my-data show", ["Nothing is kept about you."]),
    ("/as moss", []),
    ("/case show 1", ["front left 0.76", "Closed; it began", "!invented-trace"]),
]


def test_who_erases_themselves_leaves_what_was_measured_and_nothing_else(play, look, tmp_path):
    answers = play("\n".join(line for line, _ in ERASED))
    assert list(mismatches(ERASED, answers)) == []
    assert look("SELECT community, author, channel, state FROM cases ORDER BY id") == [
        ("terminal", "", "terminal", "closed"),
        ("direct", "", "", "closed"),
    ]
    assert b"invented-trace" not in b"".join(file.read_bytes() for file in tmp_path.glob("cases.db*"))


def test_every_command_refuses_who_has_no_role_for_it_and_stores_nothing(play, look):
    """Each command, asked by somebody whose rank is one too low."""
    words = load_words()
    below = {"helpers": "/as fern", "moderators": "/as moss helpers", "administrators": "/as juniper mods"}
    script = ["/setup helpers=helpers moderators=mods", "/as rowan", "/readings 0.76 1.22 0.80 1.20 0.99"]
    wanted = [[], [], []]
    options = {"case confirm": " tilt", "case note": " text=x", "setup": " retention=1"}
    for command in COMMANDS:
        if command.who == "everyone":
            continue
        case = " case=1" if any(option.name == "case" for option in command.options) else ""
        script += [below[command.who], f"/{command.name}{case}{options.get(command.name, '')}"]
        wanted += [[], [words.say(f"refusals.only_{command.who}", command=f"/{command.name}")]]
    answers = play("\n".join(script))
    assert list(mismatches(list(zip(script, wanted, strict=True)), answers)) == []
    assert len(script) > 15
    assert look("SELECT number, state, claimed_by, cause FROM cases") == [(1, "open", None, None)]
    for table in ("notes", "opinions", "confirmations"):
        assert look(f"SELECT count(*) FROM {table}") == [(0,)]  # noqa: S608 - names of ours
    assert 'retention_days":365' in look("SELECT rules FROM communities")[0][0]


GERMAN = [
    ("/setup helpers=helfer replies=private", ["Helfer: @helfer", "nur für die Person, die fragt"]),
    ("/as fern", ["Du sprichst jetzt als fern, in #terminal, ohne Rolle."]),
    ("/readings 0,76 1,22 0,80 1,20 0,99", ["nicht parallel", "-> /readings /symptoms /settings /screws /why /next"]),
    ("/case outcome noch nicht", ["dein Fall steht jetzt bei den Helfern vorn"]),
    ("/setup", ["ist für die, die diese Community verwalten"]),
    ("/as moss helfer", ["mit der Rolle helfer"]),
    ("/case queue", ["1 offen", "noch niemand"]),
    ("/case show 1", ["Was gesagt wurde".upper(), "Offen seit 0 min"]),
    ("/case note case=1 cause=tilt", ["hältst du das für die Ursache"]),
    ("/case claim 1", ["Um Fall 1 kümmert sich jetzt jemand."]),
    ("/case confirm 1 tilt", ["in Fall 1 war es wirklich das"]),
    ("/read symptoms author=fern das Raft ist links glänzend", ["Habe ich das richtig verstanden?"]),
    ("nein", ["Davon wurde nichts gespeichert."]),
    ("/as fern", []),
    ("hat geholfen", ["Welcher Schritt hat geholfen?"]),
    ("/case outcome step=level_plate", ["Fall 1 ist behoben."]),
    ("/readings 0,97 1,03 0,99 1,04 1,01", ["0.46 mm auf 0.07 mm"]),
    ("/my-data show", ["Deine Fälle: 2"]),
    ("/my-data erase ja", ["ist weg, auch aus der Datenbankdatei"]),
    ("/help", ["NUR HIER IM TERMINAL"]),
    ("/casequeue", ["Meinst du /case queue?"]),
    ("/as", ["Du sprichst jetzt als fern"]),
]


def test_a_german_evening_is_german_throughout(play):
    answers = play("\n".join(line for line, _ in GERMAN), language="de")
    assert list(mismatches(GERMAN, answers)) == []
    spoken = [re.sub(r"-> .*|/[a-z-]+( [a-z]+)?|\w+=\w*", "", answer) for answer in answers]
    assert [ENGLISH.findall(answer) for answer in spoken if ENGLISH.search(answer)] == []


def test_yes_answers_whatever_was_asked_last(play, look):
    """Not what was asked before it."""
    answers = play(
        "0.76 1.22 0.80 1.20 0.99\nthe raft on the left is shiny\n/my-data erase\nno\n/my-data erase\nYes\nyes\n"
    )
    assert "Nothing was erased" in answers[3]
    assert "Everything that leads to you is gone" in answers[5]
    assert "nothing waiting" in answers[6]
    assert look("SELECT author FROM cases") == [("",)]
