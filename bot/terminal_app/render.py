"""A Card in, lines of text out, wrapped for the width of the terminal. Knows nothing of what the card says."""

import textwrap

from core.card import Card, Section
from core.words.catalogue import visible

NARROWEST, WIDEST = 36, 88
_MARKS = {"good": "[ok]", "watch": "[!]", "act": "[!!]", "unsure": "[?]", "fault": "[x]", "plain": ""}
_BULLETS = {"do": "{n}. ", "avoid": "x ", "cautions": "! ", "numbers": "", "next": "> ", "questions": "? "}


def render(card: Card, width: int) -> str:
    """Return the card as text of at most ``width`` columns (map lines keep their own width)."""
    width = max(NARROWEST, min(width, WIDEST))
    lines = [*_wrap(f"{_MARKS[card.tone]} {card.title}".strip(), width)]
    lines += ["", *_wrap(card.conclusion, width)] if card.conclusion else []
    for section in card.sections:
        lines += ["", *_section(section, width)]
    if card.actions:
        # A command that only answers a question is typed in words, which the card has said already.
        names = " ".join(f"/{action.command}" for action in card.actions if not action.options)
        lines += ["", *_wrap(f"-> {names}", width)] if names else []
    if card.footer:
        lines += ["", *_wrap(card.footer, width)]
    return "\n".join(lines)


def _section(section: Section, width: int) -> list[str]:
    lines = [section.heading.upper()] if section.heading else []
    if section.kind == "map":
        return [*lines, *(visible(line) for line in section.lines)]
    for number, text in enumerate(section.lines, 1):
        bullet = _BULLETS.get(section.kind, "- ").format(n=number)
        lines += _wrap(text, width, bullet)
    return lines


def _wrap(text: str, width: int, bullet: str = "") -> list[str]:
    # Whatever a person typed may be quoted here, and a terminal obeys control characters.
    return textwrap.wrap(
        visible(" ".join(text.split())),
        width,
        initial_indent=bullet,
        subsequent_indent=" " * len(bullet),
        break_on_hyphens=False,
    ) or [""]
