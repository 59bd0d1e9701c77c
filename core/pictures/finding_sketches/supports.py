"""Scenes of supports and of the parts' height and base.

In: a pen, words, and whether the fault is drawn or how it should be. Out: marks. This file must never know a finding.
"""

from core.pictures.finding_sketches.pen import Pen
from core.pictures.finding_sketches.things import (
    CURED,
    FACE,
    FOOT,
    PLACES,
    RAFT,
    STEM,
    film,
    part,
    part_outline,
    plate,
    raft,
    supports,
)
from core.pictures.guide_sketches.sheet import Point
from core.words import Words

_TIP = 112.0


def draw_level_cut(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw supports that all end at one height, with the outline of the part that should hang on them."""
    plate(pen, words)
    raft(pen)
    if not fault:
        supports(pen, PLACES, FACE - RAFT, _TIP)
        part(pen, 54, 270, _TIP, 62)
        return
    cut = 122.0
    supports(pen, PLACES, FACE - RAFT, cut, cut=True)
    pen.line([(30, cut), (294, cut)], 2.4, dotted=True, order=6)
    pen.outline(part_outline(54, 270, 104, 54))
    pen.mark((146.5, cut - 3), 146.5)


def draw_ragged_ends(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw supports broken at different heights, and the part with their tips on the film."""
    plate(pen, words)
    film(pen)
    raft(pen)
    if not fault:
        supports(pen, PLACES, FACE - RAFT, 126)
        part(pen, 54, 270, 126, 58)
        return
    for x, end in zip(PLACES, (108, 138, 118, 148, 126, 144, 122), strict=True):
        _broken(pen, x, end)
    pen.area(_turned(part_outline(100, 292, 96, 44)), CURED, order=4)
    for x in (130, 163, 196, 229, 262):
        tip = 95 + 0.03 * (x - 196)
        pen.area([(x - 5, tip), (x - 6, tip + 11), (x - 1, tip + 5), (x + 3, tip + 14), (x + 5, tip)], CURED, order=3)
    pen.mark((64, 94), 64)


def draw_same_height(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw three different parts that all end at one height, with the outlines of what is missing."""
    plate(pen, words)
    end = 104.0
    for left, right, low in ((34.0, 106.0, 62.0), (128.0, 200.0, 42.0), (222.0, 294.0, 76.0)):
        raft(pen, left, right, thick=10)
        supports(pen, (left + 14, (left + right) / 2, right - 14), FACE - 10, 154)
        slope = (right - left) * 0.3
        drawn = [(left + 4, 154.0), (right - 4, 154.0), (right - slope, low), (left + slope, low)]
        if not fault:
            pen.area(drawn, CURED)
            continue
        share = (154 - end) / (154 - low)
        ends = [(x0 + share * (x1 - x0), end) for (x0, _), (x1, _) in ((drawn[1], drawn[2]), (drawn[0], drawn[3]))]
        pen.area([drawn[0], drawn[1], *ends], CURED)
        pen.outline([ends[1], ends[0], drawn[2], drawn[3]])
    if fault:
        pen.line([(22, end), (306, end)], 2.6, dotted=True, order=6)
        pen.mark((117, end - 3), 117)


def draw_spread_foot(pen: Pen, words: Words, *, fault: bool) -> None:
    """Draw a part whose first layers spread beyond the dotted lines of its drawing."""
    plate(pen, words)
    left, right, low = 102.0, 222.0, 50.0
    if not fault:
        pen.box(left, low, right - left, FACE - low, CURED)
        return
    wide = 34.0
    flare = [(right + wide, FACE), (right + wide, FACE - 12), (right + 12, FACE - 26), (right, FACE - 40)]
    mirrored = [(left + right - x, y) for x, y in reversed(flare)]
    pen.area([*flare, (right, low), (left, low), *mirrored], CURED)
    for x in (left, right):
        pen.line([(x, FACE), (x, FACE - 44)], 1.8, dotted=True, order=6)
    pen.name((left + right) / 2, FACE - 24, words.say("finding_guide.things.as_drawn"))
    pen.mark((right + 22, FACE - 24), right + 44)


def _broken(pen: Pen, x: float, end: float) -> None:
    """Draw a support that was torn off: its end is jagged."""
    top = FACE - RAFT
    torn = [(x + STEM, end + 8), (x + 6.5, end - 3), (x + 1.5, end + 7), (x - 2, end - 7), (x - STEM, end + 6)]
    pen.area([(x - FOOT, top), (x + FOOT, top), (x + STEM, top - 8), *torn, (x - STEM, top - 8)], CURED)


def _turned(points: list[Point]) -> list[Point]:
    """Return the outline a little out of level, as something lies that fell."""
    return [(x, y + 0.03 * (x - 196)) for x, y in points]
