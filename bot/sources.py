"""What a command reads: a named file, or standard input for ``-``; never more than anything here may be long."""

import sys
from pathlib import Path

from core.errors import Fault, UnusableInput

MOST_BYTES = 200_000
"""Read at most; what is longer is refused by whoever reads it, with its own limit."""


def read_source(source: str) -> bytes:
    """Return the bytes of a file or of standard input, at most ``MOST_BYTES``.

    Raises:
        UnusableInput: The file cannot be read.
    """
    if source == "-":
        return sys.stdin.buffer.read(MOST_BYTES)
    try:
        with Path(source).open("rb") as file:
            return file.read(MOST_BYTES)
    except OSError as error:
        raise UnusableInput(
            (Fault("file", source, "file_unreadable", {"why": error.strerror or str(error)}),)
        ) from error
