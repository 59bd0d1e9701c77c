"""A stored verdict: JSON with many words that stand in every other verdict too, so it is kept deflated.

In and out: text. A million of them take a fifth of the room.
"""

import zlib

LEVEL = 6


def pack(text: str) -> bytes:
    """Return text as it is stored."""
    return zlib.compress(text.encode(), LEVEL)


def unpack(stored: bytes) -> str:
    """Return what ``pack`` was given. Raises ``zlib.error`` for anything else."""
    return zlib.decompress(stored).decode()
