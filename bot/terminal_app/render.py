"""A Card in, lines of text out, wrapped for the width of the terminal. Knows nothing of what the card says."""

import textwrap

from bot.terminal_app.typed import write_line
from core.card import CHANNEL_OR_ROLE, Card, Section
from core.words.catalogue import visible

NARROWEST, WIDEST = 36, 88
_MARKS = {"good": "[ok]", "watch": "[!]", "act": "[!!]", "unsure": "[?]", "fault": "[x]", "plain": ""}
_BULLETS = {"do": "{n}. ", "avoid": "x ", "cautions": "! ", "numbers": "", "next": "> ", "questions": "? "}


def render(card: Card, width: int, meant: int | None = None) -> str:
    """Return the card as text of at most ``width`` columns (map lines keep their own width).

    Args:
        card: What to show.
        width: Of the terminal.
        meant: Number of the case that a line without one is about.
    """
    width = max(NARROWEST, min(width, WIDEST))
    lines = [*_wrap(f"{_MARKS[card.tone]} {card.title}".strip(), width)]
    lines += ["", *_wrap(card.conclusion, width)] if card.conclusion else []
    for section in card.sections:
        lines += ["", *_section(section, width)]
    if card.actions:
        typed = dict.fromkeys(write_line(action, meant) for action in card.actions)
        # What is answered in a bare word, the card has said already.
        commands = [line for line in typed if line.startswith("/")]
        lines += ["", *_packed(commands, width)] if commands else []
    if card.footer:
        lines += ["", *_wrap(card.footer, width)]
    return "\n".join(lines)


def _packed(commands: list[str], width: int) -> list[str]:
    """Return as few lines as hold the commands, none broken unless it is wider than a line."""
    first, gap = "-> ", "  "
    lines = [""]
    for command in commands:
        if lines[-1] and len(first) + len(lines[-1]) + len(gap) + len(command) > width:
            lines.append("")
        lines[-1] += f"{gap if lines[-1] else ''}{command}"
    begins = (first, *(" " * len(first) for _ in lines[1:]))
    return [part for begin, line in zip(begins, lines, strict=True) for part in _lined(line, width, begin)]


def _section(section: Section, width: int) -> list[str]:
    lines = [section.heading.upper()] if section.heading else []
    if section.kind == "map":
        return [*lines, *(visible(line) for line in section.lines)]
    for number, text in enumerate(section.lines, 1):
        bullet = _BULLETS.get(section.kind, "- ").format(n=number)
        lines += _wrap(text, width, bullet)
    return lines


def _wrap(text: str, width: int, bullet: str = "") -> list[str]:
    return _lined(" ".join(text.split()), width, bullet)


def _lined(text: str, width: int, bullet: str) -> list[str]:
    named = CHANNEL_OR_ROLE.sub(lambda mark: f"{'@' if mark['role'] else '#'}{mark['id']}", text)
    # Whatever a person typed may be quoted here, and a terminal obeys control characters.
    return textwrap.wrap(
        visible(named),
        width,
        initial_indent=bullet,
        subsequent_indent=" " * len(bullet),
        break_on_hyphens=False,
    ) or [""]
