"""Plain text in, text out as the platform must get it to show it the same. Knows no message and no card.

Characters are counted as UTF-16 units, which is never fewer than the platform counts.
"""

import re

from discord.utils import escape_mentions

from core.card import CHANNEL_OR_ROLE

ZERO_WIDTH_SPACE = "\u200b"
BREAKS = re.compile(r"[\r\n\v\f\x85\u2028\u2029]+")
NOT_SHOWN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ue000\ue001]")
"""Controls, directions, halves of characters, and what frames a channel or role in a card's text."""

_MARKS = str.maketrans({mark: f"\\{mark}" for mark in "\\*_~|`[]<>#"})
_LINE_MARK = re.compile(r"^(\s*)([-+])")
_IDENTIFIER = re.compile(r"[0-9]{1,20}")
_BEGUN_MENTION = re.compile(r"<(?:#\d*|@(?:&\d*)?)?$")


def size(text: str) -> int:
    """Return the length in UTF-16 units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def escape(text: str) -> str:
    """Return plain text as it must be sent to look the same: one line, no formatting, no mentions of people.

    Channels and roles of a card become the platform's own mentions, which here ping nobody.
    """
    line = BREAKS.sub(" ", text)
    pieces, end = [], 0
    for mark in CHANNEL_OR_ROLE.finditer(line):
        identifier, is_role = mark["id"], mark["role"]
        if _IDENTIFIER.fullmatch(identifier):
            pieces += [_escape_marks(line[end : mark.start()]), f"<{'@&' if is_role else '#'}{identifier}>"]
            end = mark.end()
    pieces.append(_escape_marks(line[end:]))
    return _LINE_MARK.sub(r"\1\\\2", "".join(pieces).strip())


def clip(text: str, most: int) -> str:
    """Return escaped text of at most ``most`` UTF-16 units, an ellipsis where cut; escapes and mentions stay whole."""
    if size(text) <= most:
        return text
    return f"{whole(text.encode('utf-16-le', 'ignore')[: 2 * (most - 1)].decode('utf-16-le', 'ignore'))}…"


def whole(text: str) -> str:
    """Return the beginning of an escaped text without an escape or a mention that its end cut in two."""
    begun = _BEGUN_MENTION.sub("", text)
    trailing = len(begun) - len(begun.rstrip("\\"))
    return begun[:-1] if trailing % 2 else begun


def one_line(text: str) -> str:
    """Return the text without line breaks and characters that are not shown."""
    return NOT_SHOWN.sub("", BREAKS.sub(" ", text)).strip()


def typed(text: str) -> str:
    """Return what a person typed without the signs that frame a channel or role in a card's text."""
    return _FRAMES.sub("", text)


_FRAMES = re.compile("[\ue000\ue001]")


def _escape_marks(text: str) -> str:
    return escape_mentions(NOT_SHOWN.sub("", text).translate(_MARKS))
