"""What scenes are made of: plate, raft, supports, part, film and vat, each drawn the same way wherever it appears.

In: a pen and places in a scene's units. Out: marks. The plate hangs at the top, as in the printer. This file must never
know which finding is drawn.
"""

import math
from collections.abc import Iterable

import numpy as np

from core.pictures.finding_sketches.pen import WIDE, Pen
from core.pictures.guide_sketches.sheet import LIGHT, METAL, Point
from core.pictures.palette import COOL, PALE, PAPER
from core.words import Words

LEFT, RIGHT = 24.0, 300.0
FACE = 190.0
"""Height of the plate's lower face in a scene."""
THICK = 24.0
RAFT = 18.0
"""Thickness of a raft as sliced."""
FOOT, STEM = 10.0, 4.6
"""Half the width of a support at the raft, and along its length."""
PLACES = (64.0, 97.0, 130.0, 163.0, 196.0, 229.0, 262.0)
"""Where supports stand."""
FILM = 46.0
CURED, RAFT_FILL, WET = COOL, PALE, "#e4eef2"
MIDDLE = (LEFT + RIGHT) / 2


def plate(pen: Pen, words: Words) -> None:
    """Draw the plate from the side, named."""
    pen.box(LEFT - 8, FACE, RIGHT - LEFT + 16, THICK, METAL)
    pen.box(MIDDLE - 16, FACE + THICK, 32, 8, METAL)
    pen.name(MIDDLE, FACE + THICK / 2, words.say("finding_guide.things.plate"))


def slab(left: float, right: float, top: float, thick: float) -> list[Point]:
    """Return the outline of a raft that hangs from ``top``, with its slanting rim."""
    return [(left, top), (right, top), (right - 7, top - thick), (left + 7, top - thick)]


def raft(pen: Pen, left: float = 44.0, right: float = 280.0, top: float = FACE, thick: float = RAFT) -> None:
    """Draw a raft from the side."""
    pen.area(slab(left, right, top, thick), RAFT_FILL)


def support(pen: Pen, x: float, top: float, tip: float, *, cut: bool = False) -> None:
    """Draw one support with a wide foot and, unless it is cut, a fine tip."""
    end, neck = (STEM, 0.0) if cut else (1.2, 10.0)
    right = [(x + FOOT, top), (x + STEM, top - 8), (x + STEM, tip + neck), (x + end, tip)]
    left = [(2 * x - px, py) for px, py in reversed(right)]
    pen.area([*right, *left], CURED)


def supports(pen: Pen, places: Iterable[float], top: float, tip: float, *, cut: bool = False) -> None:
    """Draw supports side by side."""
    for x in places:
        support(pen, x, top, tip, cut=cut)


def part_outline(left: float, right: float, top: float, tall: float) -> list[Point]:
    """Return the outline of a part: a bracket with a step."""
    step = (right - left) * 0.3
    low = top - tall
    return [
        (left, top),
        (right, top),
        (right, low),
        (left + step, low),
        (left + step, low + tall * 0.4),
        (left, low + tall * 0.4),
    ]


def part(pen: Pen, left: float, right: float, top: float, tall: float) -> None:
    """Draw a part that hangs from the tips of its supports."""
    pen.area(part_outline(left, right, top, tall), CURED)
    pen.round(((left + right * 2) / 3, top - tall * 0.5), min(tall * 0.2, 11), PAPER)


def film(pen: Pen, height: float = FILM) -> None:
    """Draw the vat's film from the side, between the vat's walls."""
    pen.line([(10, height), (WIDE - 10, height)], 3.0)
    for x in (4, WIDE - 16):
        pen.box(x, height - 4, 12, 40, METAL)


def vat(pen: Pen, low: float = FILM, level: float = 128.0) -> None:
    """Draw a vat cut through, filled with resin."""
    pen.box(22, low, WIDE - 44, level - low, WET, order=2)
    pen.line([(12, low), (WIDE - 12, low)], 3.0)
    for x in (8, WIDE - 24):
        pen.box(x, low - 4, 16, level - low + 34, METAL)


def face_from_below(pen: Pen, low: float, tall: float, *, hatch: str = "") -> None:
    """Draw a raft's face as it is seen looking up at it."""
    pen.box(44, low, 236, tall, RAFT_FILL, hatch=hatch)


def points(x: np.ndarray, y: np.ndarray) -> list[Point]:
    """Return the points of a curve."""
    return list(zip(x.tolist(), y.tolist(), strict=True))


def rough_line(start: Point, end: Point, teeth: int, depth: float) -> list[Point]:
    """Return a jagged line, for what was torn."""
    length = math.dist(start, end)
    across = ((start[1] - end[1]) / length, (end[0] - start[0]) / length)
    torn = [start]
    for tooth in range(1, 2 * teeth):
        share = tooth / (2 * teeth)
        out = depth if tooth % 2 else -depth * 0.3
        torn.append(
            (
                start[0] + share * (end[0] - start[0]) + out * across[0],
                start[1] + share * (end[1] - start[1]) + out * across[1],
            )
        )
    return [*torn, end]


def glow(pen: Pen, gap: list[Point]) -> None:
    """Fill a gap through which a lamp shines, with strokes towards the eye."""
    pen.area(gap, LIGHT, order=2)


def sparkle(pen: Pen, x: float, y: float, size: float = 12.0) -> None:
    """Draw the glint of something smooth: a star of four thin points."""
    pen.area(_star(x, y, size, points=4, waist=0.22), "white", order=7)


def rays(pen: Pen, x: float, y: float, *, size: float = 13.0) -> None:
    """Draw light that comes through towards the eye: a star."""
    pen.area(_star(x, y, size, points=8, waist=0.45), "white", order=6)


def _star(x: float, y: float, size: float, *, points: int, waist: float) -> list[Point]:
    """Return a star's corners; ``waist`` is how far in it goes between two points, of ``size``."""
    corners = []
    for corner in range(2 * points):
        radius = size if corner % 2 == 0 else size * waist
        turn = math.pi * corner / points
        corners.append((x + radius * math.cos(turn), y + radius * math.sin(turn)))
    return corners
