"""Settings come from the environment, and whatever is wrong with them is said in one line without the secret."""

from pathlib import Path

import pytest

from bot.settings import PREFIX, Settings, read_settings, read_token
from core.errors import UnusableInput
from core.words import load_words

ENV_EXAMPLE = Path(__file__).parents[2] / "deploy" / "env.example"


@pytest.fixture(autouse=True)
def nothing_set(monkeypatch):
    for name in Settings.model_fields:
        monkeypatch.delenv(f"{PREFIX}{name.upper()}", raising=False)


def lines_of(error: UnusableInput) -> list[str]:
    words = load_words()
    return [words.fault(fault) for fault in error.faults]


def test_the_example_lists_every_setting_with_a_comment_and_nothing_else():
    lines = ENV_EXAMPLE.read_text(encoding="utf-8").splitlines()
    listed = {
        line.lstrip("#").partition("=")[0]: place
        for place, line in enumerate(lines)
        if f"{PREFIX}" in line.partition("=")[0] and "=" in line
    }
    assert set(listed) == {f"{PREFIX}{name.upper()}" for name in Settings.model_fields}
    assert all(lines[place - 1].startswith("# ") for place in listed.values())


def test_every_setting_says_what_it_is_for():
    assert all(field.description for field in Settings.model_fields.values())


@pytest.mark.parametrize(
    ("data_home", "expected"),
    [
        ("/srv/data", "/srv/data/platewright/cases.db"),
        ("", "/home/wren/.local/share/platewright/cases.db"),
        ("relative/ignored", "/home/wren/.local/share/platewright/cases.db"),
    ],
)
def test_cases_lie_in_the_users_data_directory(monkeypatch, data_home, expected):
    """XDG Base Directory Specification 0.8: relative paths are ignored, the default is ~/.local/share."""
    monkeypatch.setenv("HOME", "/home/wren")
    monkeypatch.setenv("XDG_DATA_HOME", data_home)
    assert read_settings().database == Path(expected)


def test_the_secret_lies_beside_the_database_unless_told_otherwise(monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_DATABASE", "/srv/club/cases.db")
    assert read_settings().secret_path == Path("/srv/club/secret.key")
    monkeypatch.setenv("PLATEWRIGHT_SECRET_FILE", "/run/secret")
    assert read_settings().secret_path == Path("/run/secret")


def test_a_home_sign_in_a_path_is_understood(monkeypatch):
    monkeypatch.setenv("HOME", "/home/wren")
    monkeypatch.setenv("PLATEWRIGHT_DATABASE", "~/cases.db")
    assert read_settings().database == Path("/home/wren/cases.db")


def test_the_level_of_the_log_may_be_written_small(monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_LOG_LEVEL", " debug ")
    assert read_settings().log_level == "DEBUG"


def test_an_unknown_level_is_refused_with_what_is_accepted(monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_LOG_LEVEL", "loud")
    with pytest.raises(UnusableInput) as caught:
        read_settings()
    (line,) = lines_of(caught.value)
    assert line.startswith("PLATEWRIGHT_LOG_LEVEL: LOUD cannot be used")
    assert "DEBUG" in line


def test_a_token_is_read_from_the_environment_or_from_a_file(monkeypatch, tmp_path):
    monkeypatch.setenv("PLATEWRIGHT_TOKEN", "an-invented-token")
    assert read_token(read_settings()).get_secret_value() == "an-invented-token"
    monkeypatch.delenv("PLATEWRIGHT_TOKEN")
    (tmp_path / "token").write_text("  from-a-file\n")
    monkeypatch.setenv("PLATEWRIGHT_TOKEN_FILE", str(tmp_path / "token"))
    assert read_token(read_settings()).get_secret_value() == "from-a-file"


@pytest.mark.parametrize(
    ("environment", "field", "part"),
    [
        ({}, "PLATEWRIGHT_TOKEN", "no bot token"),
        ({"TOKEN": "  "}, "PLATEWRIGHT_TOKEN", "no bot token"),
        ({"TOKEN": "a-secret", "TOKEN_FILE": "/dev/null"}, "PLATEWRIGHT_TOKEN_FILE", "Keep one"),
        ({"TOKEN_FILE": "/dev/null"}, "PLATEWRIGHT_TOKEN_FILE", "no bot token"),
        ({"TOKEN_FILE": "/no/such/file"}, "PLATEWRIGHT_TOKEN_FILE", "No such file"),
        ({"TOKEN_FILE": "/"}, "PLATEWRIGHT_TOKEN_FILE", "Is a directory"),
    ],
)
def test_a_missing_or_doubled_token_is_one_line_that_names_the_setting(monkeypatch, environment, field, part):
    for name, value in environment.items():
        monkeypatch.setenv(f"{PREFIX}{name}", value)
    with pytest.raises(UnusableInput) as caught:
        read_token(read_settings())
    (line,) = lines_of(caught.value)
    assert line.startswith(f"{field}: ")
    assert part in line
    assert "\n" not in line
    assert "a-secret" not in line


def test_a_token_never_shows_when_settings_are_printed(monkeypatch):
    monkeypatch.setenv("PLATEWRIGHT_TOKEN", "an-invented-token")
    assert "an-invented-token" not in repr(read_settings())
