"""What a command reads: a named file, or standard input for ``-``; never more than anything here may be long."""

import sys
from pathlib import Path

from core.errors import Fault, UnusableInput

MOST_BYTES = 200_000
"""More is refused here; whoever reads the bytes may refuse at less."""


def read_source(source: str) -> bytes:
    """Return the bytes of a file or of standard input, at most ``MOST_BYTES``.

    Raises:
        UnusableInput: The file cannot be read, or is longer.
    """
    try:
        content = _read(source)
    except (OSError, ValueError) as error:
        raise UnusableInput(
            (Fault("file", source, "file_unreadable", {"why": getattr(error, "strerror", None) or str(error)}),)
        ) from error
    if len(content) > MOST_BYTES:
        raise UnusableInput((Fault("file", source, "too_much_text", {"most": MOST_BYTES}),))
    return content


def _read(source: str) -> bytes:
    if source == "-":
        # Nothing is there when the descriptor was closed before we started.
        return sys.stdin.buffer.read(MOST_BYTES + 1) if sys.stdin else b""
    with Path(source).open("rb") as file:
        return file.read(MOST_BYTES + 1)
