"""A coupon between the jaws of a caliper, cut through: the right way, and the jaw on the rim, which is wrong.

In: words. Out: a Picture with alt text. Lengths of the coupon are its design's, heights are drawn larger. This file
must never know a reading.
"""

from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from core.card import Picture
from core.coupons.design import DOT_MM, REGULAR, RIM_MM
from core.pictures.guide_sketches.sheet import (
    CENTRE,
    EDGE,
    LARGE,
    METAL,
    MIDDLE,
    SMALL,
    Point,
    draw_pointer,
    draw_pull,
    open_sheet,
    picture,
    write,
)
from core.pictures.palette import INK
from core.words import Words

_ALONG, _UP = 22.0, 62.0
"""Drawn px per mm along the coupon and upwards: its steps are too low to be seen otherwise."""
_DRAWN_NOMINAL_MM = 1.0
_LEFT = 90.0
_BLADE = 42.0
_BEAM = 64.0


def draw_coupon_caliper(words: Words) -> Picture:
    """Draw where the jaws go, and where not."""
    axes, figure = open_sheet(960)
    write(axes, CENTRE, 934, words.say("caliper_sketch.title"), LARGE)
    write(axes, CENTRE, 892, words.say("caliper_sketch.right"), MIDDLE, weight="bold")
    _right(axes, 630, words)
    write(axes, CENTRE, 424, words.say("caliper_sketch.wrong"), MIDDLE, weight="bold")
    _wrong(axes, 200, words)
    write(axes, CENTRE, 32, words.say("caliper_sketch.three"), SMALL)
    return picture(figure, "caliper.png", words.say("caliper_sketch.alt"))


def _right(axes: Axes, bottom: float, words: Words) -> None:
    flat, rim, end = _coupon(axes, bottom)
    wall = _LEFT + (REGULAR.lip + REGULAR.bar) * _ALONG
    tip = wall + 30
    _caliper(axes, tip, (bottom, flat), end + 110)
    dot = _LEFT + (REGULAR.lip + REGULAR.bar / 2) * _ALONG
    write(axes, dot - 68, rim + DOT_MM * _UP + 30, words.say("caliper_sketch.dots"), SMALL)
    draw_pull(axes, (dot, rim + DOT_MM * _UP + 6), (dot, rim + DOT_MM * _UP + 48))
    write(axes, 90, bottom - 64, words.say("caliper_sketch.lip"), SMALL)
    draw_pointer(axes, (90, bottom - 48), (_LEFT + 20, bottom + 24))
    write(axes, 270, bottom - 118, words.say("caliper_sketch.flat"), SMALL)
    draw_pointer(axes, (222, bottom - 100), (wall + 16, flat - 2))
    write(axes, 430, flat + _BLADE + 96, words.say("caliper_sketch.in"), SMALL)
    draw_pull(axes, (end + 90, flat + _BLADE + 62), (end - 60, flat + _BLADE + 62))


def _wrong(axes: Axes, bottom: float, words: Words) -> None:
    _, rim, end = _coupon(axes, bottom)
    tip = _LEFT + (REGULAR.lip + (REGULAR.bar + REGULAR.dot) / 2) * _ALONG + 6
    _caliper(axes, tip, (bottom, rim), end + 110)
    for way in (-1, 1):
        axes.plot((34, 74), (bottom + 48 - way * 20, bottom + 48 + way * 20), color=INK, lw=7, solid_capstyle="round")
    write(axes, CENTRE, bottom - 122, words.say("caliper_sketch.why"), SMALL)


def _coupon(axes: Axes, bottom: float) -> tuple[float, float, float]:
    """Draw a coupon cut through the middle of its flat; return its flat's and rim's height, and its open end, px."""
    flat = bottom + _DRAWN_NOMINAL_MM * _UP
    rim = flat + RIM_MM * _UP
    bar = _LEFT + REGULAR.lip * _ALONG
    wall = bar + REGULAR.bar * _ALONG
    end = _LEFT + REGULAR.outer_depth * _ALONG
    # The rail beyond the cut.
    axes.add_patch(Rectangle((wall, flat), end - wall, rim - flat, facecolor="white", edgecolor=INK, lw=1.2, ls=":"))
    dot_left = bar + (REGULAR.bar - REGULAR.dot) / 2 * _ALONG
    axes.add_patch(
        Rectangle((dot_left, rim), REGULAR.dot * _ALONG, DOT_MM * _UP, facecolor=INK, edgecolor=INK, zorder=4)
    )
    outline: list[Point] = [(_LEFT, bottom), (_LEFT, flat), (bar, flat), (bar, rim), (wall, rim), (wall, flat)]
    outline += [(end, flat), (end, bottom)]
    axes.add_patch(Polygon(outline, closed=True, facecolor=EDGE, edgecolor=INK, linewidth=2, zorder=4))
    return flat, rim, end


def _caliper(axes: Axes, tip: float, faces: Point, beam: float) -> None:
    """Draw the jaws about a thing between two heights, and the beam they ride on."""
    low, high = faces
    axes.add_patch(Rectangle((beam, low - 92), _BEAM, high - low + 184, facecolor="white", edgecolor=INK, lw=2))
    for face, way in ((high, 1), (low, -1)):
        blade = [
            (tip, face),
            (beam + _BEAM + 10, face),
            (beam + _BEAM + 10, face + way * 72),
            (beam - 10, face + way * 72),
            (beam - 40, face + way * _BLADE),
            (tip + 10, face + way * 22),
            (tip, face + way * 14),
        ]
        axes.add_patch(Polygon(blade, closed=True, facecolor=METAL, edgecolor=INK, linewidth=2, zorder=5))
