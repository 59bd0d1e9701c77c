"""The house: seven names at the top, small files, docstrings, no drawers for odds and ends."""

import ast
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "bot", "core", "tests", "deploy"}
MODULES = sorted([*ROOT.glob("core/**/*.py"), *ROOT.glob("bot/**/*.py")])
DRAWERS = {"utils", "util", "helpers", "common", "manager", "misc", "base"}


def tracked() -> list[str]:
    return subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.splitlines()


def test_the_top_level_is_seven_names_and_dotfiles():
    names = {path.partition("/")[0] for path in tracked()}
    assert names, "git lists nothing"
    assert {name for name in names if not name.startswith(".")} <= TOP


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_short_and_says_what_it_is(path):
    """No file over 400 lines; every module has a docstring; no module is a drawer."""
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 400
    assert ast.get_docstring(ast.parse(text)), "no module docstring"
    assert path.stem not in DRAWERS
