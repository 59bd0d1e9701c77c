"""Scenes of the plate: a print that holds on to it, one print beside the next, the checks with straightedge and paper.

In: a pen, words, and whether the fault is drawn or how it should be. Out: marks. This file must never know a finding.
"""

from collections.abc import Mapping

import numpy as np

from core.pictures.finding_sketches.pen import WIDE, Pen
from core.pictures.finding_sketches.things import CURED, MIDDLE, RAFT_FILL, glow, points, rays
from core.pictures.guide_sketches.sheet import EDGE, LIGHT, METAL, Point
from core.pictures.palette import INK, PAPER
from core.words import Words

_PRINTS: tuple[Mapping[Point, str], ...] = (
    {(-1, -1): "o", (1, -1): "s", (-1, 1): "s", (1, 1): "o"},
    {(-1, -1): "s", (1, -1): "o", (-1, 1): "o", (1, 1): "s"},
    {(-1, -1): "o", (1, -1): "o", (-1, 1): "s", (1, 1): "s"},
)
"""Three prints with something different in each corner, so that place and shape can be told apart."""
_STOP: Point = (1, -1)


def draw_same_place(pen: Pen, _words: Words, *, fault: bool) -> None:
    """Draw three prints from above, of which the same corner fails each time."""
    _three_prints(pen, (_STOP,) * 3 if fault else ())
    pen.mark((MIDDLE + 23, 78), MIDDLE + 23)


def draw_changing_place(pen: Pen, _words: Words, *, fault: bool) -> None:
    """Draw three prints from above, of which another corner fails each time."""
    _three_prints(pen, ((-1, 1), (1, -1), (-1, -1)) if fault else ())
    pen.mark((MIDDLE + 23, 78), MIDDLE + 23)


def draw_blade_stopped(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw the plate off the printer, and a scraper that bends at the raft's edge instead of going under it."""
    low, top = 50.0, 78.0
    pen.box(24, low, WIDE - 48, top - low, METAL)
    pen.name(MIDDLE, (low + top) / 2, words.say("finding_guide.things.plate"))
    lift = 0.0 if fault else 0.16
    base = [(48.0, 0.0), (196.0, 0.0), (190.0, 18.0), (54.0, 18.0)]
    pen.area([(x, top + y + lift * (x - 48)) for x, y in base], RAFT_FILL)
    for x in (70.0, 98.0, 126.0, 154.0, 180.0):
        foot = top + 17 + lift * (x - 48)
        pen.area(
            [
                (x - 7, foot),
                (x + 7, foot),
                (x + 3.5, foot + 8),
                (x + 1, foot + 34),
                (x - 1, foot + 34),
                (x - 3.5, foot + 8),
            ],
            CURED,
        )
    part = [(54.0, 51.0), (192.0, 51.0), (192.0, 96.0), (100.0, 96.0), (100.0, 78.0), (54.0, 78.0)]
    pen.area([(x, top + y + lift * (x - 48)) for x, y in part], CURED)
    if fault:
        bend = [(198.0, top + 2), (222.0, top + 26), (256.0, top + 34), (296.0, top + 36)]
    else:
        bend = [(140.0, top + 5), (190.0, top + 12), (240.0, top + 22), (296.0, top + 36)]
    pen.area([*bend, *[(x, y + 7) for x, y in reversed(bend[1:])]], "white", order=5)
    pen.area([(262, top + 26), (316, top + 32), (316, top + 50), (262, top + 48)], METAL, order=6)
    if fault:
        pen.push((316, 148), (240, 148))
        pen.push((316, 172), (240, 172))
        for x0, y0, x1, y1 in ((204, 96, 210, 110), (199, 100, 200, 114), (208, 90, 220, 96)):
            pen.line([(x0, y0), (x1, y1)], 2.2, order=7)
    else:
        pen.push((300, 158), (240, 158), strong=False)
    pen.mark((201, 74), 201)


def draw_light_middle(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a straightedge on a hollow plate, with light under its middle."""
    _straightedge(pen, -32.0 if fault else 0.0, (0.0,) if fault else (), words)


def draw_light_ends(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a straightedge that rocks on the middle of a plate, with light at its ends."""
    _straightedge(pen, 32.0 if fault else 0.0, (-0.9, 0.9) if fault else (), words)


def draw_pinched_paper(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a plate over the screen with paper at both ends: pinched at one, loose at the other."""
    left, right, low, high = 56.0, 268.0, 66.0, 92.0
    fall = 34.0 if fault else 0.0
    pen.box(24, low, WIDE - 48, high - low, "white")
    pen.name(MIDDLE, (low + high) / 2, words.say("finding_guide.things.screen"))
    base = high + 9
    pen.area([(left, base), (right, base + fall), (right, base + fall + 40), (left, base + 40)], METAL)
    pen.name(MIDDLE, base + 20 + fall / 2, words.say("finding_guide.things.plate"))
    for x, way, slides in ((left, -1, False), (right, 1, fault)):
        inner, outer = x - way * 36, x + way * 24
        pen.area([(inner, high + 1), (outer, high + 1), (outer, high + 8), (inner, high + 8)], LIGHT, order=5)
        pen.push((outer + way * 2, high + 4), (outer + way * (28 if slides else 17), high + 4), strong=slides)
        key = "slides" if slides else "drags"
        pen.name(x + way * 4, 48, words.say(f"finding_guide.things.{key}"))
    pen.mark((240, 107), 216)


def _three_prints(pen: Pen, failed: tuple[Point, ...]) -> None:
    """Draw three plates from above with what stands on them; what failed is dotted and crossed out."""
    half, middle_y = 46.0, 116.0
    for at, things in enumerate(_PRINTS):
        x = MIDDLE + (at - 1) * 104
        pen.box(x - half, middle_y - half, 2 * half, 2 * half, METAL)
        pen.box(x - half, middle_y - half, 2 * half, 5, INK, order=4)
        pen.round((x, middle_y + half + 24), 14, PAPER)
        pen.name(x, middle_y + half + 24, str(at + 1))
        for (way_x, way_y), shape in things.items():
            spot = (x + way_x * 23, middle_y + way_y * 23)
            lost = bool(failed) and failed[at] == (way_x, way_y)
            _thing(pen, spot, shape, lost=lost)


def _thing(pen: Pen, spot: Point, shape: str, *, lost: bool) -> None:
    x, y = spot
    if lost:
        pen.oval(spot, (42, 42), dotted=True, order=5)
        for way in (-1, 1):
            pen.line([(x - 10, y - way * 10), (x + 10, y + way * 10)], 4, order=6)
    elif shape == "o":
        pen.round(spot, 13, CURED)
    else:
        pen.box(x - 12, y - 12, 24, 24, CURED, order=4)


def _straightedge(pen: Pen, bow: float, lit: tuple[float, ...], words: Words) -> None:
    left, right, low = 40.0, 284.0, 44.0
    x = np.linspace(left, right, 61)
    share = 2 * (x - left) / (right - left) - 1
    face = 130 + bow * (1 - share**2)
    rest = float(face.max())
    glow(pen, [*points(x, face), (right, rest), (left, rest)])
    pen.area([*points(x, face), (right, low), (left, low)], METAL)
    pen.name(MIDDLE, low + 26, words.say("finding_guide.things.plate"))
    pen.box(left - 22, rest, right - left + 44, 36, EDGE, order=5)
    pen.name(MIDDLE, rest + 18, words.say("finding_guide.things.straightedge"))
    for place in lit:
        at = MIDDLE + place * (right - left) / 2
        gap = (float(np.interp(at, x, face)) + rest) / 2
        rays(pen, at, gap)
    if lit:
        at = MIDDLE + lit[-1] * (right - left) / 2
        gap = (float(np.interp(at, x, face)) + rest) / 2
        if len(lit) > 1:
            pen.mark((at + 14, gap - 8), 306, bend=gap - 40)
        else:
            pen.mark((at + 44, gap - 4), at + 84)
