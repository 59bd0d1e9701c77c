"""Schematic drawings for two checks of the plate, as PNG: the straightedge with a lamp, and the paper at the corners.

In: words. Out: a Picture with alt text. Everything is out of scale and says what it shows in words, so colour only
repeats what is written. This file must never know a reading.
"""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyArrowPatch, FancyBboxPatch, Polygon, Rectangle

from core.card import Picture
from core.pictures.canvas import blank, to_png
from core.pictures.palette import FRAME, INK, PALE, PAPER, WARM
from core.words import Words

WIDTH_PX, DPI = 720, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
LARGE, MIDDLE, SMALL = 19, 17, 15
_METAL, _LIGHT, _EDGE = "#e8e4da", WARM, PALE
_BOW = 20.0
"""How far a bowed plate is drawn out of flat, px; far more than any plate."""


def draw_straightedge(words: Words) -> Picture:
    """Draw where to lay the straightedge, and what flat, hollow and standing out look like from the side."""
    axes, figure = _sheet(850)
    _write(axes, WIDTH_PX / 2, 824, words.say("straightedge_sketch.title"), LARGE)
    _lines_to_lay(axes, words)
    for bottom, bow, key in ((378.0, 0.0, "flat"), (210.0, -_BOW, "hollow"), (30.0, _BOW, "proud")):
        _side_view(axes, bottom, bow, key, words)
    return _picture(figure, "straightedge.png", words.say("straightedge_sketch.alt"))


def draw_paper_drag(words: Words) -> Picture:
    """Draw the paper between plate and screen from the side, and the four pulls from above."""
    axes, figure = _sheet(860)
    _write(axes, WIDTH_PX / 2, 834, words.say("paper_sketch.title"), LARGE)
    _paper_from_the_side(axes, words)
    _paper_from_above(axes, words)
    return _picture(figure, "paper.png", words.say("paper_sketch.alt"))


def _lines_to_lay(axes: Axes, words: Words) -> None:
    """Draw the plate from above with the two middles and the two diagonals."""
    left, right, bottom, top = 205.0, 515.0, 560.0, 745.0
    _write(axes, WIDTH_PX / 2, 782, words.say("straightedge_sketch.lay"), MIDDLE)
    axes.add_patch(Rectangle((left, bottom), right - left, top - bottom, facecolor=_METAL, edgecolor=FRAME, lw=2))
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
        axes.plot((x0, x1), (y0, y1), color=_EDGE, linewidth=4, solid_capstyle="round", zorder=5)


def _side_view(axes: Axes, bottom: float, bow: float, key: str, words: Words) -> None:
    """Draw a plate whose middle stands out by ``bow``, a straightedge on it, and the light that comes through."""
    left, right, thick, tall = 90.0, 630.0, 62.0, 34.0
    x = np.linspace(left, right, 81)
    share = ((x - left) / (right - left) - 0.5) * 2
    face = bottom + thick + bow * (1 - share**2)
    rest = float(face.max())
    axes.fill_between(x, face, rest, color=_LIGHT, zorder=2, linewidth=0)
    outline = [*zip(x.tolist(), face.tolist(), strict=True), (right, bottom), (left, bottom)]
    axes.add_patch(Polygon(outline, closed=True, facecolor=_METAL, edgecolor=INK, linewidth=2, zorder=3))
    axes.add_patch(
        Rectangle((left - 30, rest), right - left + 60, tall, facecolor=_EDGE, edgecolor=INK, linewidth=2, zorder=4)
    )
    _write(axes, WIDTH_PX / 2, rest + tall + 24, words.say(f"straightedge_sketch.{key}"), MIDDLE, weight="bold")
    _write(axes, WIDTH_PX / 2, rest + tall / 2 - 1, words.say("straightedge_sketch.edge"), SMALL)
    _write(axes, WIDTH_PX / 2, bottom + 17, words.say("straightedge_sketch.plate"), SMALL)
    lit = {"hollow": (0.0,), "proud": (-0.93, 0.93)}.get(key, ())
    for place in lit:
        at = (left + right) / 2 + place * (right - left) / 2
        gap = float(np.interp(at, x, face)) / 2 + rest / 2
        _rays(axes, at, gap)


def _rays(axes: Axes, x: float, y: float) -> None:
    """Draw light that comes through towards the eye."""
    axes.plot(x, y, marker=(8, 1, 0), markersize=17, markerfacecolor="white", markeredgecolor=INK, zorder=6)


def _paper_from_the_side(axes: Axes, words: Words) -> None:
    _write(axes, WIDTH_PX / 2, 796, words.say("paper_sketch.side"), SMALL)
    left, right = 130.0, 590.0
    axes.add_patch(Rectangle((335, 728), 50, 44, facecolor=_METAL, edgecolor=INK, linewidth=2))
    axes.add_patch(Rectangle((left, 672), right - left, 56, facecolor=_METAL, edgecolor=INK, linewidth=2))
    _write(axes, WIDTH_PX / 2, 699, words.say("paper_sketch.plate"), MIDDLE)
    axes.add_patch(Rectangle((left - 60, 590), right - left + 120, 50, facecolor="white", edgecolor=INK, linewidth=2))
    _write(axes, WIDTH_PX / 2, 614, words.say("paper_sketch.screen"), MIDDLE)
    axes.plot((330, 640), (656, 656), color=INK, linewidth=7, solid_capstyle="butt")
    axes.plot((332, 638), (656, 656), color=_LIGHT, linewidth=4, solid_capstyle="butt")
    _pull(axes, (640, 656), (706, 656))
    _write(axes, 200, 655, words.say("paper_sketch.paper"), SMALL)
    axes.plot((306, 328), (656, 656), color=INK, linewidth=1.2)


def _paper_from_above(axes: Axes, words: Words) -> None:
    left, right, bottom, top = 130.0, 590.0, 120.0, 480.0
    _write(axes, WIDTH_PX / 2, 530, words.say("paper_sketch.above"), SMALL)
    for x, way in ((left, -1), (right, 1)):
        for y in (bottom + 75, top - 75):
            _slip(axes, x, y, way)
    axes.add_patch(
        Rectangle((left, bottom), right - left, top - bottom, facecolor=_METAL, edgecolor=FRAME, lw=2, zorder=3)
    )
    for x, way in ((left, -1), (right, 1)):
        for y in (bottom + 75, top - 75):
            # Where the paper lies unseen under the plate.
            axes.plot(
                [x, x - way * 64, x - way * 64, x],
                [y - 34, y - 34, y + 34, y + 34],
                color=INK,
                lw=1.5,
                ls=":",
                zorder=4,
            )
            _result(axes, x - way * 148, y, "drags" if way < 0 else "slides", words)
    axes.add_patch(Rectangle((left, 78), right - left, 34, facecolor=INK))
    _write(axes, WIDTH_PX / 2, 94, words.say("paper_sketch.front"), MIDDLE, colour=PAPER, weight="bold")
    _write(axes, WIDTH_PX / 2, 40, words.say("paper_sketch.example"), SMALL)


def _slip(axes: Axes, x: float, y: float, way: int) -> None:
    """Draw the part of the paper that sticks out at the plate's edge, and the pull on it."""
    axes.add_patch(
        Rectangle((min(x, x + way * 46), y - 34), 46, 68, facecolor=_LIGHT, edgecolor=INK, linewidth=1.5, zorder=2)
    )
    _pull(axes, (x + way * 48, y), (x + way * 114, y))


def _result(axes: Axes, x: float, y: float, key: str, words: Words) -> None:
    axes.add_patch(
        FancyBboxPatch(
            (x - 76, y - 24),
            152,
            48,
            boxstyle="round,pad=0,rounding_size=10",
            facecolor=_EDGE if key == "drags" else "white",
            edgecolor=INK,
            linewidth=1.5,
            zorder=5,
        )
    )
    _write(axes, x, y - 1, words.say(f"paper_sketch.{key}"), SMALL)


def _pull(axes: Axes, start: tuple[float, float], end: tuple[float, float]) -> None:
    axes.add_patch(
        FancyArrowPatch(start, end, arrowstyle="simple,head_width=22,head_length=20,tail_width=8", fc=INK, ec=INK)
    )


def _sheet(height: int) -> tuple[Axes, Figure]:
    """Return axes whose units are px from the lower left."""
    figure = blank(WIDTH_PX, height, DPI)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, WIDTH_PX)
    axes.set_ylim(0, height)
    axes.axis("off")
    return axes, figure


def _write(
    axes: Axes, x: float, y: float, text: str, size: float, *, colour: str = INK, weight: str = "normal"
) -> None:
    axes.text(x, y, text, ha="center", va="center", fontsize=size, color=colour, weight=weight, zorder=7)


def _picture(figure: Figure, name: str, alt: str) -> Picture:
    return Picture(name, to_png(figure), alt)
