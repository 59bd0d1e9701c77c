"""Screw threads: a designation such as ``M4`` or ``M4x0.5`` in, how far one turn moves out.

In: text of the shape a Machine allows, and the norms that hold the coarse pitches. This file must never know what the
screw holds.
"""

import re
from dataclasses import dataclass
from typing import Literal

from core.knowledge.schema import Knowledge

_DESIGNATION = re.compile(r"M(?P<size>\d{1,2}(?:\.\d)?)(?:x(?P<pitch>\d(?:\.\d{1,2})?))?")


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread.

    Attributes:
        size: Nominal diameter as it is written, such as ``M4``.
        pitch_mm: How far one whole turn moves.
        origin: ``stated`` by the person; ``coarse``, the pitch that goes without saying; or ``coarse_not_length``,
            where what stands after the x is coarser than the coarse pitch and so more likely a screw's length.
    """

    size: str
    pitch_mm: float
    origin: Literal["stated", "coarse", "coarse_not_length"]


def read_thread(designation: str | None, knowledge: Knowledge) -> Thread | None:
    """Return the thread, or ``None`` where the pitch is neither stated nor known.

    Source:
        ISO 261 and ISO 262: a designation without a pitch means the coarse one, and of the pitches for a diameter the
        coarse is the largest.
    """
    match = _DESIGNATION.fullmatch(designation or "")
    if not match:
        return None
    size = f"{float(match['size']):g}"
    norm = knowledge.norms.get(f"thread_m{size.replace('.', '_')}_pitch_mm")
    coarse = norm.value if norm else None
    stated = float(match["pitch"] or 0)
    if stated > 0 and (coarse is None or stated <= coarse):
        return Thread(f"M{size}", stated, "stated")
    if coarse is None:
        return None
    return Thread(f"M{size}", coarse, "coarse_not_length" if stated > 0 else "coarse")
