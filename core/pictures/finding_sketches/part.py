"""Scenes of the part itself: split, soft, swollen, burst.

In: a pen, words, and whether the fault is drawn or how it should be. Out: marks. This file must never know a finding.
"""

import numpy as np

from core.pictures.finding_sketches.pen import WIDE, Pen
from core.pictures.finding_sketches.things import (
    CURED,
    FACE,
    PLACES,
    plate,
    points,
    raft,
    rough_line,
    supports,
)
from core.pictures.guide_sketches.sheet import METAL
from core.words import Words

_THIN_RAFT = 12.0


def draw_level_crack(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a part that has split between two of its layers, well away from the plate."""
    plate(pen, words)
    raft(pen, thick=_THIN_RAFT)
    supports(pen, PLACES, FACE - _THIN_RAFT, 148)
    left, right = 58.0, 268.0
    if not fault:
        pen.box(left, 44, right - left, 104, CURED)
        for y in (70, 96, 122):
            pen.line([(left, y), (right, y)], 0.7)
        return
    pen.box(left, 98, right - left, 50, CURED)
    pen.line([(left, 123), (right, 123)], 0.7)
    pen.area([(left, 96), (left + 60, 93), (right, 70), (right, 34), (left, 52)], CURED)
    pen.line([(left, 74), (right, 52)], 0.7)
    pen.mark((248, 86), 304, bend=62)


def draw_pressed_dent(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a gloved fingertip on a cured part: it leaves a dent, and edges and pin have sagged."""
    table, top = 46.0, 122.0
    pen.line([(24, table), (WIDE - 24, table)], 2.4)
    press = 196.0
    x = np.linspace(0.0, 1.0, 41)
    if fault:
        upper_x = 74 + x * 170
        upper = top - 26 * np.exp(-(((upper_x - press) / 24) ** 2)) - 14 * np.exp(-(((x - 0.0) / 0.07) ** 2))
        upper = upper - 12 * np.exp(-(((x - 1.0) / 0.06) ** 2))
        side = [(252.0, 92.0), (258.0, 66.0), (256.0, table)]
        other = [(62.0, table), (60.0, 66.0), (66.0, 92.0)]
        pen.area([*points(upper_x, upper), *side, *other], CURED)
        pen.line([(108, 120), (106, 142), (94, 154), (80, 152)], 9)
        pen.line([(108, 120), (106, 142), (94, 154), (80, 152)], 5.5, colour=CURED, order=5)
        tip = top - 25
    else:
        pen.box(70, table, 180, top - table, CURED)
        pen.line([(108, top + 2), (108, 162)], 9)
        pen.line([(108, top - 2), (108, 162)], 5.5, colour=CURED, order=5)
        tip = top + 2
    _finger(pen, press, tip, words)
    pen.mark((press + 24, 100), 288)


def draw_closed_holes(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a plate with three holes that have grown shut within the dotted circles of its drawing."""
    tooth, low, high, count = 30.0, 52.0, 178.0, 4
    bottom: list[tuple[float, float]] = [(32, low), (292, low), (292, high)]
    spread = 9.0 if fault else 0.0
    for step in range(count):
        right = 276 - step * 66
        bottom += [(right + spread, high), (right + spread, high + tooth), (right - 34 - spread, high + tooth)]
        bottom += [(right - 34 - spread, high)]
    pen.area([*bottom, (32, high)], CURED)
    for x, drawn, real in ((88.0, 36.0, 24.0), (178.0, 27.0, 10.0), (250.0, 17.0, 0.0)):
        if fault:
            if real:
                pen.round((x, 122), real, "white")
            pen.oval((x, 122), (2 * drawn, 2 * drawn), dotted=True, order=6)
        else:
            pen.round((x, 122), drawn, "white")
    if fault:
        pen.name(140, 70, words.say("finding_guide.things.dotted_as_drawn"))
    pen.mark((252, 112), 262)


def draw_blown_wall(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a hollow part cut open, with a hole torn outwards through its wall."""
    plate(pen, words)
    raft(pen, thick=_THIN_RAFT)
    supports(pen, PLACES[1:-1], FACE - _THIN_RAFT, 156)
    left, right, low, high, wall = 76.0, 248.0, 44.0, 156.0, 14.0
    if not fault:
        pen.box(left, low, right - left, high - low, CURED, hatch="///")
        pen.box(left + wall, low + wall, right - left - 2 * wall, high - low - 2 * wall, "white", order=4)
        return
    lower = rough_line((right, 84), (right - wall, 80), 2, 5)
    upper = rough_line((right - wall, 120), (right, 124), 2, -5)
    inner = [(left + wall, low + wall), (right - wall, low + wall)]
    pen.area(
        [
            (left, low),
            (right, low),
            *lower,
            inner[1],
            inner[0],
            (left + wall, high - wall),
            (right - wall, high - wall),
            *upper,
            (right, high),
            (left, high),
        ],
        CURED,
        hatch="///",
    )
    for x, y, turn in ((268, 128, 20), (290, 112, -30), (268, 76, 50)):
        pen.area(_shard(x, y, turn), CURED, order=5)
    pen.mark((244, 102), 304, bend=60)


def _finger(pen: Pen, x: float, tip: float, words: Words) -> None:
    """Draw a fingertip in a glove, pointing down, and the fist behind it."""
    turn = np.linspace(np.pi, 2 * np.pi, 21)
    end = [(float(x + 21 * np.cos(angle)), float(tip + 21 + 21 * np.sin(angle))) for angle in turn]
    pen.area([(x - 21, 214), *end, (x + 21, 214)], METAL, order=6)
    for folded in (1, 2):
        left = x - 21 + folded * 32
        knuckle = [(float(left + 16 + 16 * np.cos(angle)), float(186 + 16 * np.sin(angle))) for angle in turn]
        pen.area([(left, 214), *knuckle, (left + 32, 214)], METAL, order=5)
    pen.area([(x - 21, 196), (x - 21, 222), (x + 75, 222), (x + 75, 204), (x + 21, 200)], METAL, order=5)
    for height in (56, 60):
        pen.line([(x - 11, tip + height), (x + 11, tip + height)], 1.2, order=7)
    pen.name(x - 80, 196, words.say("finding_guide.things.glove"))


def _shard(x: float, y: float, turn: float) -> list[tuple[float, float]]:
    angle = np.radians(turn)
    corners = ((-9, -4), (8, -5), (11, 3), (-4, 6))
    return [
        (float(x + dx * np.cos(angle) - dy * np.sin(angle)), float(y + dx * np.sin(angle) + dy * np.cos(angle)))
        for dx, dy in corners
    ]
