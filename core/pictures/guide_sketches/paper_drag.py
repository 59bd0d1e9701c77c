"""The paper at the corners: the sheet between plate and screen from the side, and the four pulls from above.

In: words. Out: a Picture with alt text, out of scale. This file must never know a reading.
"""

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from core.card import Picture
from core.pictures.guide_sketches.sheet import (
    CENTRE,
    EDGE,
    LARGE,
    LIGHT,
    METAL,
    MIDDLE,
    SMALL,
    draw_box,
    draw_front,
    draw_pull,
    open_sheet,
    picture,
    write,
)
from core.pictures.palette import FRAME, INK
from core.words import Words


def draw_paper_drag(words: Words) -> Picture:
    """Draw the paper between plate and screen from the side, and the four pulls from above."""
    axes, figure = open_sheet(860)
    write(axes, CENTRE, 834, words.say("paper_sketch.title"), LARGE)
    _paper_from_the_side(axes, words)
    _paper_from_above(axes, words)
    return picture(figure, "paper.png", words.say("paper_sketch.alt"))


def _paper_from_the_side(axes: Axes, words: Words) -> None:
    write(axes, CENTRE, 796, words.say("paper_sketch.side"), SMALL)
    left, right = 130.0, 590.0
    axes.add_patch(Rectangle((335, 728), 50, 44, facecolor=METAL, edgecolor=INK, linewidth=2))
    axes.add_patch(Rectangle((left, 672), right - left, 56, facecolor=METAL, edgecolor=INK, linewidth=2))
    write(axes, CENTRE, 699, words.say("paper_sketch.plate"), MIDDLE)
    axes.add_patch(Rectangle((left - 60, 590), right - left + 120, 50, facecolor="white", edgecolor=INK, linewidth=2))
    write(axes, CENTRE, 614, words.say("paper_sketch.screen"), MIDDLE)
    axes.plot((330, 640), (656, 656), color=INK, linewidth=7, solid_capstyle="butt")
    axes.plot((332, 638), (656, 656), color=LIGHT, linewidth=4, solid_capstyle="butt")
    draw_pull(axes, (640, 656), (706, 656))
    write(axes, 200, 655, words.say("paper_sketch.paper"), SMALL)
    axes.plot((306, 328), (656, 656), color=INK, linewidth=1.2)


def _paper_from_above(axes: Axes, words: Words) -> None:
    left, right, bottom, top = 130.0, 590.0, 120.0, 480.0
    write(axes, CENTRE, 530, words.say("paper_sketch.above"), SMALL)
    for x, way in ((left, -1), (right, 1)):
        for y in (bottom + 75, top - 75):
            _slip(axes, x, y, way)
    axes.add_patch(
        Rectangle((left, bottom), right - left, top - bottom, facecolor=METAL, edgecolor=FRAME, lw=2, zorder=3)
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
    draw_front(axes, left, right, 112, words.say("paper_sketch.front"))
    write(axes, CENTRE, 40, words.say("paper_sketch.example"), SMALL)


def _slip(axes: Axes, x: float, y: float, way: int) -> None:
    """Draw the part of the paper that sticks out at the plate's edge, and the pull on it."""
    axes.add_patch(
        Rectangle((min(x, x + way * 46), y - 34), 46, 68, facecolor=LIGHT, edgecolor=INK, linewidth=1.5, zorder=2)
    )
    draw_pull(axes, (x + way * 48, y), (x + way * 114, y))


def _result(axes: Axes, x: float, y: float, key: str, words: Words) -> None:
    draw_box(axes, (x, y), (152, 48), fill=EDGE if key == "drags" else "white")
    write(axes, x, y - 1, words.say(f"paper_sketch.{key}"), SMALL)
