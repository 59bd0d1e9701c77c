"""Scenes of the raft: its face, its sheets, its thickness, its rim, and the place where nothing grew.

In: a pen, words, and whether the fault is drawn or how it should be. Out: marks. This file must never know a finding.
"""

import numpy as np

from core.pictures.finding_sketches.pen import Pen
from core.pictures.finding_sketches.things import (
    CURED,
    FACE,
    MIDDLE,
    PLACES,
    RAFT,
    RAFT_FILL,
    face_from_below,
    film,
    part,
    part_outline,
    plate,
    points,
    raft,
    slab,
    sparkle,
    support,
    supports,
)
from core.pictures.guide_sketches.sheet import Point
from core.words import Words

_SLICED = 34.0
_SHEEN = "#d5d9e2"
_X = np.linspace(44.0, 280.0, 49)


def draw_shiny_face(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw the raft from the side and, looked up at, its face: matt with supports, or a mirror without any."""
    plate(pen, words)
    raft(pen)
    grown = [x for x in PLACES if not fault or x < MIDDLE]
    supports(pen, grown, FACE - RAFT, 140)
    pen.name(MIDDLE, 122, words.say("finding_guide.things.from_below"))
    face_from_below(pen, 42, 66, hatch="...")
    for x in grown:
        for y in (58, 92):
            pen.round((x, y), 7, CURED, order=5)
    if not fault:
        return
    pen.box(166, 42, 114, 66, "white", order=4)
    for start, wide in ((170.0, 22.0), (202.0, 8.0), (222.0, 14.0)):
        # A mirror shows slanting stripes of whatever is bright.
        pen.area(
            [(start, 44), (start + wide, 44), (start + wide + 34, 106), (start + 34, 106)], _SHEEN, order=5, edge=_SHEEN
        )
    pen.box(166, 42, 114, 66, "none", order=6)
    for x, y in ((262, 90), (190, 62), (250, 171)):
        sparkle(pen, x, y)
    pen.mark((214, 56), 214)


def draw_opened_sheets(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a raft's edge: a hard lower part, and sheets that hang off it and have opened like pages."""
    plate(pen, words)
    if not fault:
        pen.area(slab(44, 280, FACE, 44), RAFT_FILL)
        for depth in (15, 30):
            pen.line([(48, FACE - depth), (276, FACE - depth)], 0.8)
        supports(pen, PLACES, FACE - 44, 60)
        return
    pen.area(slab(44, 280, FACE, 28), CURED)
    pen.name(MIDDLE, FACE - 15, words.say("finding_guide.things.hard"))
    for top, opening, order in ((FACE - 28, 32.0, 5), (FACE - 43, 70.0, 4)):
        pen.area(_sheet(top, opening), RAFT_FILL, order=order)
    for x in PLACES[:3]:
        support(pen, x, FACE - 58, 60)
    pen.mark((261, FACE - 82), 302, bend=70)


def draw_thin(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a raft inside the dotted outline of what was sliced."""
    _thickness(pen, 10.0 if fault else _SLICED, words)


def draw_thick(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a raft beyond the dotted outline of what was sliced."""
    _thickness(pen, 64.0 if fault else _SLICED, words)


def draw_lifted_rim(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a raft that holds in the middle and has left the plate at its rim."""
    drop = 46.0 if fault else 0.0
    plate(pen, words)
    top = FACE - drop * np.abs((_X - MIDDLE) / 118.0) ** 4
    pen.area([*points(_X, top), *points(_X[::-1], top[::-1] - RAFT)], RAFT_FILL)
    for x in PLACES:
        support(
            pen, x, float(np.interp(x, _X, top)) - RAFT + 1, 66 - (drop * 0.3 if x in (PLACES[0], PLACES[-1]) else 0)
        )
    if fault:
        pen.mark((276, FACE - 18), 304, bend=110)


def draw_empty_place(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a place on the plate with nothing on it, and a cured sheet on the film below."""
    plate(pen, words)
    film(pen)
    here, there = (64.0, 97.0, 130.0), (202.0, 235.0, 268.0)
    raft(pen, 44, 150)
    supports(pen, here, FACE - RAFT, 132)
    part(pen, 52, 142, 132, 44)
    if not fault:
        raft(pen, 182, 288)
        supports(pen, there, FACE - RAFT, 132)
        part(pen, 190, 280, 132, 44)
        return
    pen.outline(slab(182, 288, FACE, RAFT))
    pen.outline(part_outline(190, 280, 132, 44))
    x = np.linspace(184.0, 290.0, 31)
    wave = 51 + 3.5 * np.sin((x - 184.0) / 13.0) ** 2
    pen.area([*points(x, wave), *points(x[::-1], wave[::-1] + 9)], CURED, order=5)
    pen.mark((237, 54), 237)


def _thickness(pen: Pen, thick: float, words: Words) -> None:
    plate(pen, words)
    raft(pen, thick=thick)
    supports(pen, (PLACES[0], PLACES[1], PLACES[-1]), FACE - thick, 60)
    pen.outline([(36, FACE), (288, FACE), (288, FACE - _SLICED), (36, FACE - _SLICED)])
    pen.name(184, FACE - _SLICED / 2 - (4 if thick < _SLICED else 0), words.say("finding_guide.things.as_sliced"))
    pen.mark((116, FACE - thick - 1), 116)


def _sheet(top: float, opening: float) -> list[Point]:
    """Return a sheet 15 thick that holds at the left and hangs open to the right."""
    fall = top - opening * np.clip((_X - 128.0) / 152.0, 0.0, None) ** 2
    return [*points(_X, fall), *points(_X[::-1], fall[::-1] - 15.0)]
