"""One whole conversation in German, typed into the program itself: all answers in German, with the person's numbers."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
TYPED = """\
ja
/readings 0,76 1,22 0,80
/readings 0,76 1,22 0,80 1,20 0,99 plate=150x85 adjusters=four_screws thread=M4
/settings burn_in_layers=8 burn_in=60 exposure=2,5 layer_height=0,05
/symptoms seen=glossy_raft where=links
/why
/next
/screws
/coupons
/help
/readings vorne links 0,97 vorne rechts 1,03 hinten links 0,99 hinten rechts 1,04 Mitte 1,01
"""
ANSWERS = {
    "ja": ["Noch nicht", "Gerade wartet nichts auf dein Ja."],
    "/readings 0,76 1,22 0,80": [
        "Bitte prüfe deine Eingabe",
        "Deine Messwerte: Ich zähle 3 in „0,76 1,22 0,80“ und brauche fünf",
    ],
    "/readings 0,76 1,22 0,80 1,20 0,99": [
        "Deine Platte ist nicht parallel zum Display: Die Ecken unterscheiden sich um 0.46 mm",
        "am dünnsten vorne links und am dicksten vorne rechts",
        "Senk die Ecke vorne rechts um",
        "PLATTE VON OBEN, VORNE IST BEI DIR",
        "| 0.76 mm 1.22 mm |",
        "0.24 nah",
        "VORNE (bei dir)",
        "Fall 1, Antwort 1.",
    ],
    "/settings": [
        "Deine Anfangsbelichtung härtet",
        "Belichte nicht länger",
        "Ändere nicht zwei Dinge in einem Druck",
        "Fall 1, Antwort 2.",
    ],
    "/symptoms": ["[!!] Platte schief", "Druckplatte nicht parallel zum Display: über 99 %.", "Fall 1, Antwort 3."],
    "/why": [
        "dafür, Chance ×",
        "dagegen, Chance ÷",
        "Deine Ecken unterscheiden sich um 0.46 mm",
        "Deine Anfangsbelichtung hat 8 Schichten mit je 60 s, zusammen 480 s",
        "Du hast gesehen: glänzendes Raft ohne Stützen, links.",
    ],
    "/next": ["Was als Nächstes zu prüfen ist", "Achte darauf, wie der Druck abgeht"],
    "/screws": [
        "Richte deine Platte aus",
        "Die Ecke muss dabei hoch, von der Folie weg (0.23 mm",
        "Links, rechts, vorne und hinten gelten, wenn du vor dem Drucker stehst",
    ],
    "/coupons": ["SCHRITT FÜR SCHRITT", "1.00 mm dick in der Vertiefung", "Die Datei liegt in"],
    "/help": ["Was hast du vor dir?", "in der Reihenfolge vorne links, vorne rechts, hinten links"],
    "/readings vorne links": [
        "Fall 1, Antwort 4.",
        "Die Spannweite der Ecken fiel von 0.46 mm auf 0.07 mm, eine echte Verbesserung.",
        "Deine Platte ist parallel zum Display",
    ],
}
ENGLISH = re.compile(r"\b(the|and|your|you|with|is|are|of|this|that|it|for|from|have|not)\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    """Play the conversation once; return the answer to each line, its wrapping undone."""
    folder = tmp_path_factory.mktemp("german")
    (folder / "typed.txt").write_text(TYPED, encoding="utf-8")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PLATEWRIGHT_", "LC_"))}
    told = {"LANG": "de_DE.UTF-8", "PLATEWRIGHT_DATABASE": str(folder / "cases.db"), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-m", "bot", "chat", "--script", "typed.txt"],
        cwd=folder,
        env={**kept, **told, "COLUMNS": "88", "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        timeout=90,
        check=False,
    )
    assert done.stderr.decode() == ""
    assert done.returncode == 2, "one line could not be used"
    parts = done.stdout.decode().split("platewright> ")[1:]
    assert len(parts) == len(TYPED.splitlines())
    # The first line of each part is the echo of what was typed.
    return [" ".join(part.partition("\n")[2].split()) for part in parts]


@pytest.mark.parametrize("line", range(len(ANSWERS)), ids=list(ANSWERS))
def test_a_line_is_answered_in_german(answers, line):
    expected = list(ANSWERS.values())[line]
    assert [part for part in expected if part not in answers[line]] == []


def test_no_answer_mixes_languages(answers):
    spoken = [re.sub(r"/[a-z-]+( [a-z]+)?", "", answer) for answer in answers]
    assert [ENGLISH.findall(answer) for answer in spoken if ENGLISH.search(answer)] == []


def test_numbers_are_said_with_a_point_whatever_was_typed(answers):
    """One convention out: what a caliper shows. Only what a person typed is quoted as typed."""
    unquoted = [re.sub("„[^“]*“", "", answer) for answer in answers]
    assert [found for answer in unquoted if (found := re.findall(r"\d,\d", answer))] == []
