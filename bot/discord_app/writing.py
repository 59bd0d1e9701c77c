"""Plain text in, text out as the platform must get it to show it the same. Knows no message and no card.

Characters are counted as UTF-16 units, which is never fewer than the platform counts.
"""

import re

from discord.utils import escape_mentions

ZERO_WIDTH_SPACE = "\u200b"
BREAKS = re.compile(r"[\r\n\v\f\x85\u2028\u2029]+")
NOT_SHOWN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")

_MARKS = str.maketrans({mark: f"\\{mark}" for mark in "\\*_~|`[]<>#"})
_LINE_MARK = re.compile(r"^(\s*)([-+])")


def size(text: str) -> int:
    """Return the length in UTF-16 units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def escape(text: str) -> str:
    """Return plain text as it must be sent to look the same: one line, no formatting, no mentions."""
    marked = _LINE_MARK.sub(r"\1\\\2", one_line(text).translate(_MARKS))
    return escape_mentions(marked)


def clip(text: str, most: int) -> str:
    """Return escaped text of at most ``most`` UTF-16 units, with an ellipsis when cut; escapes stay whole."""
    if size(text) <= most:
        return text
    cut = text.encode("utf-16-le", "ignore")[: 2 * (most - 1)].decode("utf-16-le", "ignore")
    trailing = len(cut) - len(cut.rstrip("\\"))
    return f"{cut[:-1] if trailing % 2 else cut}…"


def one_line(text: str) -> str:
    """Return the text without line breaks and characters that are not shown."""
    return NOT_SHOWN.sub("", BREAKS.sub(" ", text)).strip()
