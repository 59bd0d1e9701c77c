"""The command line as whoever types it sees it: real processes, exit status, standard output and standard error."""

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from bot import __main__ as command_line
from core.verdict import Verdict

ROOT = Path(__file__).parents[2]
TILTED = {"front_left": 0.76, "front_right": 1.22, "back_left": 0.80, "back_right": 1.20, "centre": 0.99}
REPORT = {
    "readings": TILTED,
    "findings": [{"id": "glossy_raft", "where": "left"}],
    "absent": ["delaminated_raft"],
    "settings": {"burn_in_layers": 8, "burn_in_s": 60, "exposure_s": 2.5, "layer_height_mm": 0.05},
    "machine": {"plate_width_mm": 150, "plate_depth_mm": 85, "adjusters": "four_screws", "screw_thread": "M4"},
}


def platewright(folder, *arguments, given=b"", **more):
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PLATEWRIGHT_")}
    return subprocess.run(
        [sys.executable, "-m", "bot", *arguments],
        cwd=folder,
        env={
            **kept,
            "PLATEWRIGHT_DATABASE": str(folder / "cases.db"),
            "LC_ALL": "C.UTF-8",
            "PYTHONPATH": str(ROOT),
            "PYTHONWARNINGS": "error::ResourceWarning",
            **more,
        },
        input=given,
        capture_output=True,
        timeout=60,
        check=False,
    )


@pytest.fixture
def run(tmp_path, monkeypatch, capsys):
    """The same entry in this process, for the many cases that differ only in their input."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(command_line, "configure_logs", lambda _level: None)
    for name in [name for name in os.environ if name.startswith("PLATEWRIGHT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PLATEWRIGHT_DATABASE", str(tmp_path / "cases.db"))
    monkeypatch.setenv("LC_ALL", "C.UTF-8")

    def run(*arguments):
        status = command_line.main([str(one) for one in arguments])
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return status, out, err

    return run


# ---- triage ---------------------------------------------------------------------------------------


def test_triage_gives_a_verdict_as_text_and_leaves_the_map(tmp_path):
    (tmp_path / "report.json").write_text(json.dumps(REPORT))
    done = platewright(tmp_path, "triage", "report.json", "--picture", "map.png", COLUMNS="60")
    out = done.stdout.decode()
    assert (done.returncode, done.stderr) == (0, b"")
    assert "Plate tilted" in out
    assert "0.46 mm" in out
    assert max(len(line) for line in out.splitlines()) <= 60
    assert (tmp_path / "map.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert {file.name for file in tmp_path.iterdir()} == {"report.json", "map.png"}, "no database is made"


def test_triage_gives_the_verdict_itself_as_json(tmp_path):
    done = platewright(tmp_path, "triage", "-", "--json", given=json.dumps(REPORT).encode())
    assert (done.returncode, done.stderr) == (0, b"")
    strict = json.loads(done.stdout, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))
    verdict = Verdict.model_validate_json(done.stdout)
    assert verdict.model_dump(mode="json") == strict
    assert (verdict.status, verdict.causes[0].id, verdict.geometry.band) == ("diagnosed", "tilt", "out_of_parallel")
    assert verdict.geometry.tilt_x_mm.value == pytest.approx(((1.22 + 1.20) - (0.76 + 0.80)) / 4, abs=1e-4)


@pytest.mark.parametrize("report", [{}, {"readings": dict.fromkeys(TILTED, 1.0)}, {"findings": [{"id": "stuck_fast"}]}])
def test_a_verdict_of_any_status_is_a_success(report, run, tmp_path):
    (tmp_path / "report.json").write_text(json.dumps(report))
    status, out, err = run("triage", "report.json", "--json")
    assert (status, err) == (0, "")
    assert Verdict.model_validate_json(out).status in {"no_fault", "undecided", "insufficient", "diagnosed"}


UNUSABLE = [
    pytest.param(b'{"reading": {}}', ["reading"], id="unknown field"),
    pytest.param(b'{"readings": {"front_left": 1.0', ["ends too early"], id="truncated"),
    pytest.param(b'{"readings": "\xff\xfe"}', ["UTF-8"], id="not UTF-8"),
    pytest.param(b"[1, 2]", ["object"], id="no object"),
    pytest.param(b"", ["JSON"], id="empty"),
    pytest.param(b'{"readings": {"front_left": NaN}}', ["NaN"], id="NaN"),
    pytest.param(
        b'{"readings": {"front_left": 9, "front_right": 1}, "settings": {"burn_in_s": -1}}',
        ["readings.front_left", "settings.burn_in_s"],
        id="out of range",
    ),
    pytest.param(b'{"findings": [{"id": "glosy_raft"}]}', ["findings[0].id.*glossy_raft"], id="unknown finding"),
    pytest.param(b'{"a": 1, "b\\u001b[2J": 2, "c": 3}', ["a:", "b", "c:"], id="three unknown fields"),
    pytest.param(b'{"absent": [' + b" " * 250_000 + b"]}", ["more than 200000"], id="too long"),
]


@pytest.mark.parametrize(("report", "says"), UNUSABLE)
def test_an_unusable_report_costs_one_line_for_each_fault(report, says, run, tmp_path):
    (tmp_path / "report.json").write_bytes(report)
    status, out, err = run("triage", "report.json")
    assert (status, out) == (2, "")
    assert_lines(err, says)


def assert_lines(err, says):
    lines = err.splitlines()
    assert len(lines) == len(says), err
    assert all(line.isprintable() for line in lines)
    for line, part in zip(lines, says, strict=True):
        assert all(piece in line for piece in part.split(".*")), (line, part)


def test_an_unusable_report_is_told_on_standard_error_by_the_process_too(tmp_path):
    done = platewright(tmp_path, "triage", "-", given=b'{"reading": {}, "findings": [{"id": "glosy_raft"}]}')
    assert (done.returncode, done.stdout) == (2, b"")
    assert len(done.stderr.decode().splitlines()) == 2


PATHS = [
    pytest.param(("triage", "nowhere.json"), "nowhere.json", id="missing"),
    pytest.param(("triage", "."), "directory", id="a folder"),
    pytest.param(("triage", "a\0b"), "a\\u0000b", id="a path that cannot be"),
    pytest.param(("triage", "good.json", "--picture", "nowhere/map.png"), "nowhere/map.png", id="map in no folder"),
    pytest.param(("triage", "bare.json", "--picture", "map.png"), "plate map", id="nothing to draw"),
    pytest.param(("chat", "--script", "nowhere.txt"), "nowhere.txt", id="no script"),
]


@pytest.mark.parametrize(("arguments", "says"), PATHS)
def test_a_file_that_cannot_be_used_costs_one_line(arguments, says, run, tmp_path):
    (tmp_path / "good.json").write_text(json.dumps(REPORT))
    (tmp_path / "bare.json").write_text("{}")
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert_lines(err, [says])


# ---- read -----------------------------------------------------------------------------------------

SENTENCE = "the raft on the left is shiny, no loud pops, and the moon is full"


def test_read_says_what_was_understood_and_from_which_words(tmp_path):
    done = platewright(tmp_path, "read", *SENTENCE.split())
    out = done.stdout.decode()
    assert (done.returncode, done.stderr) == (0, b"")
    assert "left" in out
    assert 'not understood: "' in out
    assert "moon" in out
    assert list(tmp_path.iterdir()) == [], "no database is made"


def test_read_gives_a_report_with_what_was_left_unread(run):
    status, out, err = run("read", "--json", SENTENCE)
    heard = json.loads(out)
    assert (status, err) == (0, "")
    assert heard["findings"] == [{"id": "glossy_raft", "where": "left"}]
    assert heard["absent"] == ["loud_peel"]
    assert any("moon" in phrase for phrase in heard["unread"])
    assert heard["unsure"] == []


def test_a_sentence_of_nothing_is_answered_and_a_piped_one_must_be_text(tmp_path, run):
    assert run("read", "")[0] == 0
    done = platewright(tmp_path, "read", "-", given=b"shiny \xff raft")
    assert done.returncode == 2
    assert_lines(done.stderr.decode(), ["UTF-8"])


def test_a_sentence_that_is_too_long_is_refused(run):
    status, out, err = run("read", "shiny raft " * 1000)
    assert (status, out) == (2, "")
    assert_lines(err, ["2000"])


# ---- arguments, settings, database ------------------------------------------------------------------


@pytest.mark.parametrize(
    "arguments",
    [(), ("diagnose",), ("triage",), ("triage", "-", "--jso"), ("chat", "--demo", "--script", "x"), ("serve", "now")],
)
def test_wrong_arguments_cost_one_line(arguments, run):
    status, out, err = run(*arguments)
    assert (status, out) == (2, "")
    assert_lines(err, ["--help"])


def test_help_is_an_answer(run):
    status, out, err = run("--help")
    assert (status, err) == (0, "")
    assert all(name in out for name in ("chat", "triage", "read", "serve"))


@pytest.mark.parametrize("command", [("serve",), ("chat", "--script", "typed.txt")])
def test_a_setting_that_cannot_be_used_costs_one_line(command, run, monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_LOG_LEVEL", "LOUD")
    status, out, err = run(*command)
    assert (status, out) == (2, "")
    assert_lines(err, ["PLATEWRIGHT_LOG_LEVEL.*LOUD"])


def test_serving_without_a_token_costs_one_line(tmp_path):
    done = platewright(tmp_path, "serve")
    assert (done.returncode, done.stdout) == (2, b"")
    assert_lines(done.stderr.decode(), ["PLATEWRIGHT_TOKEN"])


def below_a_file(folder):
    (folder / "file").write_text("")
    return folder / "file" / "cases.db"


def no_database(folder):
    (folder / "notes.txt").write_text("Invented notes of the tool library.\n" * 40)
    return folder / "notes.txt"


def a_newer_one(folder):
    path = folder / "later.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE _sqlite_migrations (id INTEGER PRIMARY KEY, migration_set, name, applied_at)")
        connection.execute("INSERT INTO _sqlite_migrations VALUES (1, 'platewright', 'm999_later', '')")
        connection.commit()
    return path


def one_with_a_damaged_secret(folder):
    (folder / "secret.key").write_text("not a key")
    return folder / "cases.db"


DATABASES = [
    pytest.param(below_a_file, "cases.db", id="cannot be written"),
    pytest.param(no_database, "notes.txt", id="no database"),
    pytest.param(lambda folder: folder, "cannot be used", id="a folder"),
    pytest.param(a_newer_one, "newer", id="newer version"),
    pytest.param(one_with_a_damaged_secret, "secret.key", id="damaged secret"),
]


@pytest.mark.parametrize(("make", "says"), DATABASES)
def test_a_database_that_cannot_be_used_costs_one_line(make, says, run, tmp_path, monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_DATABASE", str(make(tmp_path)))
    (tmp_path / "typed.txt").write_text("/help\n")
    status, out, err = run("chat", "--script", "typed.txt")
    assert (status, out) == (2, "")
    assert_lines(err, [says])


def test_what_nobody_expected_ends_in_one_plain_line_with_a_reference(run, tmp_path, monkeypatch, caplog):
    (tmp_path / "report.json").write_text(json.dumps(REPORT))

    def fall(*_arguments, **_options):
        raise ZeroDivisionError("moss wrote this")

    monkeypatch.setattr(command_line, "run_triage", fall)
    status, out, err = run("triage", "report.json")
    assert (status, out) == (1, "")
    (record,) = caplog.records
    assert_lines(err, [record.reference])
    assert "moss" not in err
    assert record.exc_info[0] is ZeroDivisionError


def test_an_interrupt_is_no_traceback(run, monkeypatch):
    def interrupt(*_arguments, **_options):
        raise KeyboardInterrupt

    monkeypatch.setattr(command_line, "run_read", interrupt)
    assert run("read", "shiny") == (130, "", "")


@pytest.mark.parametrize(
    ("environment", "says"),
    [
        pytest.param({"PLATEWRIGHT_LANGUAGE": "de"}, "Findet heraus, warum Harzdrucke", id="the setting"),
        pytest.param({"LC_ALL": "de_DE.UTF-8"}, "Findet heraus, warum Harzdrucke", id="the locale"),
        pytest.param({"LC_ALL": "fr_FR.UTF-8"}, "Finds out why resin prints fail", id="a locale without texts"),
    ],
)
def test_the_language_is_that_of_the_setting_or_the_locale(environment, says, run, monkeypatch):
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    status, out, _ = run("--help")
    assert status == 0
    assert says in out


def test_a_fault_is_told_in_the_language_too(run, monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_LANGUAGE", "de")
    status, _, err = run("triage", "nowhere.json")
    assert status == 2
    assert "nowhere.json lässt sich nicht lesen" in err


def test_a_language_there_are_no_texts_for_costs_one_line(run, monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_LANGUAGE", "tlh")
    status, out, err = run("triage", "nowhere.json")
    assert (status, out) == (2, "")
    assert_lines(err, ["PLATEWRIGHT_LANGUAGE: there is no language tlh. Accepted: de, en."])
