"""The demo: a short invented conversation at an invented tool-library print club, read from data."""

from importlib.resources import files


def demo_lines() -> tuple[str, ...]:
    """Return the lines somebody types in the demo."""
    return tuple((files("bot.terminal_app") / "demo.txt").read_text(encoding="utf-8").splitlines())
