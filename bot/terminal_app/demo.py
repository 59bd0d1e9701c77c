"""The demo: a short invented conversation at an invented tool-library print club, read from data, one per language."""

from importlib.resources import files


def demo_lines(language: str) -> tuple[str, ...]:
    """Return the lines somebody types in the demo of a language."""
    text = (files("bot.terminal_app") / f"demo_{language}.txt").read_text(encoding="utf-8")
    return tuple(text.splitlines())
