"""The straightedge with a lamp: where to lay it, and what flat, hollow and standing out look like from the side.

In: words. Out: a Picture with alt text, out of scale. This file must never know a reading.
"""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from core.card import Picture
from core.pictures.guide_sketches.sheet import (
    CENTRE,
    EDGE,
    LARGE,
    LIGHT,
    METAL,
    MIDDLE,
    SMALL,
    open_sheet,
    picture,
    write,
)
from core.pictures.palette import FRAME, INK
from core.words import Words

_BOW = 20.0
"""How far a bowed plate is drawn out of flat, px; far more than any plate."""


def draw_straightedge(words: Words) -> Picture:
    """Draw where to lay the straightedge, and what flat, hollow and standing out look like from the side."""
    axes, figure = open_sheet(850)
    write(axes, CENTRE, 824, words.say("straightedge_sketch.title"), LARGE)
    _lines_to_lay(axes, words)
    for bottom, bow, key in ((378.0, 0.0, "flat"), (210.0, -_BOW, "hollow"), (30.0, _BOW, "proud")):
        _side_view(axes, bottom, bow, key, words)
    return picture(figure, "straightedge.png", words.say("straightedge_sketch.alt"))


def _lines_to_lay(axes: Axes, words: Words) -> None:
    """Draw the plate from above with the two middles and the two diagonals."""
    left, right, bottom, top = 205.0, 515.0, 560.0, 745.0
    write(axes, CENTRE, 782, words.say("straightedge_sketch.lay"), MIDDLE)
    axes.add_patch(Rectangle((left, bottom), right - left, top - bottom, facecolor=METAL, edgecolor=FRAME, lw=2))
    middle_x, middle_y = (left + right) / 2, (bottom + top) / 2
    out = 14.0
    ends = (
        ((left - out, middle_y), (right + out, middle_y)),
        ((middle_x, bottom - out), (middle_x, top + out)),
        ((left - out, bottom - out), (right + out, top + out)),
        ((left - out, top + out), (right + out, bottom - out)),
    )
    for (x0, y0), (x1, y1) in ends:
        axes.plot((x0, x1), (y0, y1), color=INK, linewidth=7, solid_capstyle="round", zorder=4)
        axes.plot((x0, x1), (y0, y1), color=EDGE, linewidth=4, solid_capstyle="round", zorder=5)


def _side_view(axes: Axes, bottom: float, bow: float, key: str, words: Words) -> None:
    """Draw a plate whose middle stands out by ``bow``, a straightedge on it, and the light that comes through."""
    left, right, thick, tall = 90.0, 630.0, 62.0, 34.0
    x = np.linspace(left, right, 81)
    share = ((x - left) / (right - left) - 0.5) * 2
    face = bottom + thick + bow * (1 - share**2)
    rest = float(face.max())
    axes.fill_between(x, face, rest, color=LIGHT, zorder=2, linewidth=0)
    outline = [*zip(x.tolist(), face.tolist(), strict=True), (right, bottom), (left, bottom)]
    axes.add_patch(Polygon(outline, closed=True, facecolor=METAL, edgecolor=INK, linewidth=2, zorder=3))
    axes.add_patch(
        Rectangle((left - 30, rest), right - left + 60, tall, facecolor=EDGE, edgecolor=INK, linewidth=2, zorder=4)
    )
    write(axes, CENTRE, rest + tall + 24, words.say(f"straightedge_sketch.{key}"), MIDDLE, weight="bold")
    write(axes, CENTRE, rest + tall / 2 - 1, words.say("straightedge_sketch.edge"), SMALL)
    write(axes, CENTRE, bottom + 17, words.say("straightedge_sketch.plate"), SMALL)
    lit = {"hollow": (0.0,), "proud": (-0.93, 0.93)}.get(key, ())
    for place in lit:
        at = (left + right) / 2 + place * (right - left) / 2
        gap = float(np.interp(at, x, face)) / 2 + rest / 2
        _rays(axes, at, gap)


def _rays(axes: Axes, x: float, y: float) -> None:
    """Draw light that comes through towards the eye."""
    axes.plot(x, y, marker=(8, 1, 0), markersize=17, markerfacecolor="white", markeredgecolor=INK, zorder=6)
