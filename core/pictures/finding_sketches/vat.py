"""Scenes of the vat: its film, what floats in the resin, its colour, and the film that clings at a lift.

In: a pen, words, and whether the fault is drawn or how it should be. Out: marks. This file must never know a finding.
"""

import numpy as np

from core.pictures.finding_sketches.pen import WIDE, Pen
from core.pictures.finding_sketches.things import (
    CURED,
    MIDDLE,
    PLACES,
    plate,
    points,
    raft,
    supports,
    vat,
)
from core.pictures.guide_sketches.sheet import METAL, Point
from core.pictures.palette import PALE
from core.words import Words

_LOW, _LEVEL = 54.0, 160.0


def draw_hazy_film(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw the film from the side, slack below the dotted line, and from above, with clouds and dents."""
    side = 200.0
    for x in (24.0, 280.0):
        pen.box(x, side - 10, 20, 22, METAL, order=5)
    along = np.linspace(44.0, 280.0, 41)
    sag = 22.0 if fault else 0.0
    pen.line(points(along, side - sag * np.sin(np.pi * (along - 44) / 236)), 3.0)
    if fault:
        pen.line([(44, side), (280, side)], 1.6, dotted=True)
    pen.name(MIDDLE, 160, words.say("finding_guide.things.from_above"))
    pen.box(24, 34, 276, 112, METAL)
    pen.box(44, 46, 236, 88, "white", order=4)
    if not fault:
        for start in (100.0, 126.0):
            pen.line([(start, 60), (start + 40, 120)], 1.2, order=5)
        return
    pen.oval((110, 92), (96, 62), PALE, turn=12, order=5, hatch="xxx")
    pen.oval((200, 110), (60, 34), PALE, turn=-10, order=5, hatch="xxx")
    for size in (34, 18):
        pen.oval((236, 76), (size, size * 0.8), "none", order=6)
    for start in (160.0, 170.0, 184.0):
        pen.line([(start, 54), (start + 22, 84)], 1.6, order=6)
    pen.mark((108, 78), 108)


def draw_drifting_bits(pen: Pen, _words: Words, *, fault: bool) -> None:
    """Draw cured bits in the resin and on the film."""
    vat(pen, _LOW, _LEVEL)
    if not fault:
        return
    bits = ((76, 134, 13, 10), (116, 100, 10, 60), (176, 142, 16, 200), (222, 112, 11, 110), (258, 140, 9, 250))
    for x, y, size, turn in (*bits, (196, 66, 18, 20), (92, 64, 12, 300)):
        pen.area(_bit(x, y, size, turn), CURED, order=5)
    pen.mark((196, 58), 196)


def draw_streaked_resin(pen: Pen, _words: Words, *, fault: bool) -> None:
    """Draw resin with darker streaks, and pigment at the bottom."""
    vat(pen, _LOW, _LEVEL)
    if not fault:
        return
    x = np.linspace(34.0, WIDE - 34.0, 61)
    for height, swing, width in ((146, 5, 6), (130, 8, 3), (112, 9, 8), (94, 6, 4)):
        wave = height + swing * np.sin((x + height) / 26.0)
        pen.line(points(x, wave), width, colour=CURED, order=3)
    bed = _LOW + 14 + 5 * np.sin(x / 19.0)
    heap: list[Point] = points(x, bed)
    pen.area(
        [(24, _LOW + 2), (24, _LOW + 14), *heap, (WIDE - 24, _LOW + 14), (WIDE - 24, _LOW + 2)], CURED, hatch="ooo"
    )
    pen.mark((132, 106), 132)


def draw_clinging_film(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw the film pulled up under a part as the plate lifts, and the sound as it lets go."""
    plate(pen, words)
    raft(pen, thick=12)
    supports(pen, PLACES, 178, 150)
    pen.box(80, 116, 168, 34, CURED)
    low = 40.0
    if fault:
        away = np.linspace(0.0, 1.0, 21)
        rise = low + 72 * away**3.2
        smooth = points(10 + 78 * away, rise)
        smooth += points(236 + 78 * (1 - away[::-1]), rise[::-1])
    else:
        smooth = [(10.0, low), (314.0, low)]
    pen.line(smooth, 3.2, order=5)
    for x in (2, WIDE - 14):
        pen.box(x, low - 6, 12, 30, METAL)
    pen.push((24, 120), (24, 172))
    if not fault:
        return
    turn = np.linspace(-0.65, 0.65, 15)
    for radius in (20.0, 32.0, 44.0):
        pen.line(points(MIDDLE + 84 + radius * np.cos(turn), 122 + radius * np.sin(turn)), 2.2, order=6)
    pen.name(MIDDLE, 88, words.say("finding_guide.things.film"))
    pen.mark((262, 62), 262)


def _bit(x: float, y: float, size: float, turn: float) -> list[Point]:
    """Return an angular flake."""
    corners = ((1.0, 0), (0.6, 70), (0.9, 130), (0.5, 190), (1.0, 250), (0.7, 310))
    return [
        (
            x + size * share * float(np.cos(np.radians(at + turn))),
            y + size * share * float(np.sin(np.radians(at + turn))),
        )
        for share, at in corners
    ]
