"""Cleaning the plate: the blade pushed away from the hand, the way to wipe, and the water that shows it is clean.

In: words. Out: a Picture with alt text, out of scale. This file must never know a case.
"""

from matplotlib.axes import Axes
from matplotlib.patches import Ellipse, FancyBboxPatch, Polygon, Rectangle

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
    draw_number,
    draw_pointer,
    draw_pull,
    open_sheet,
    picture,
    write,
)
from core.pictures.palette import COOL, INK
from core.words import Words

_LEFT, _RIGHT = 70.0, 650.0


def draw_clean_plate(words: Words) -> Picture:
    """Draw scraping, wiping and the look at the water, one under the other."""
    axes, figure = open_sheet(1000)
    write(axes, CENTRE, 974, words.say("clean_sketch.title"), LARGE)
    for at, sign in ((130, "gloves"), (360, "air"), (590, "flame")):
        draw_box(axes, (at, 924), (218, 50))
        write(axes, at, 923, words.say(f"clean_sketch.{sign}"), SMALL, weight="bold")
    _scrape(axes, 650, words)
    _wipe(axes, 262, words)
    _water(axes, 38, words)
    return picture(figure, "clean-plate.png", words.say("clean_sketch.alt"))


def _head(axes: Axes, y: float, number: int, words: Words) -> None:
    draw_number(axes, 50, y, number)
    write(axes, 84, y - 1, words.say(f"clean_sketch.{number}"), MIDDLE, weight="bold", align="left")


def _scrape(axes: Axes, bottom: float, words: Words) -> None:
    """Draw the blade from the side, held flat, and the hand behind it."""
    _head(axes, bottom + 216, 1, words)
    top = bottom + 50
    axes.add_patch(Rectangle((_LEFT, bottom), _RIGHT - _LEFT, 50, facecolor=METAL, edgecolor=INK, linewidth=2))
    write(axes, CENTRE, bottom + 23, words.say("clean_sketch.plate"), MIDDLE)
    scrap = [(428, top), (432, top + 18), (470, top + 24), (540, top + 20), (548, top)]
    axes.add_patch(Polygon(scrap, closed=True, facecolor=LIGHT, edgecolor=INK, linewidth=2))
    write(axes, 566, top + 76, words.say("clean_sketch.scrap"), SMALL)
    draw_pointer(axes, (540, top + 60), (500, top + 14))
    blade = [(420, top + 2), (250, top + 42), (246, top + 30)]
    axes.add_patch(Polygon(blade, closed=True, facecolor="white", edgecolor=INK, linewidth=2, zorder=4))
    handle = [(262, top + 50), (256, top + 20), (126, top + 55), (132, top + 85)]
    axes.add_patch(Polygon(handle, closed=True, facecolor=COOL, edgecolor=INK, linewidth=2, zorder=5))
    _glove(axes, 150, top + 64)
    draw_pull(axes, (280, top + 88), (400, top + 88))
    write(axes, 330, top + 120, words.say("clean_sketch.away"), SMALL)


def _glove(axes: Axes, x: float, y: float) -> None:
    """Draw a gloved fist, with the cuff behind it."""
    for left, low, width, tall in ((x - 90, y - 26, 46, 52), (x - 46, y - 34, 84, 68)):
        axes.add_patch(
            FancyBboxPatch(
                (left, low),
                width,
                tall,
                boxstyle="round,pad=0,rounding_size=16",
                facecolor=EDGE,
                edgecolor=INK,
                lw=2,
                zorder=6,
            )
        )
    for step in range(3):
        at = y + 12 - step * 17
        axes.plot((x + 2, x + 36), (at, at), color=INK, linewidth=1.5, zorder=7)


def _wipe(axes: Axes, bottom: float, words: Words) -> None:
    """Draw the print face from above with strokes all one way, over its edge."""
    _head(axes, bottom + 330, 2, words)
    low, high, left, right = bottom + 46, bottom + 292, 110.0, 560.0
    axes.add_patch(Rectangle((left, low), right - left, high - low, facecolor=METAL, edgecolor=INK, linewidth=2))
    write(axes, (left + right) / 2 + 30, high - 34, words.say("clean_sketch.face"), SMALL)
    for y in (low + 42, low + 104, low + 166):
        axes.add_patch(
            FancyBboxPatch(
                (left + 18, y - 22),
                74,
                44,
                boxstyle="round,pad=0,rounding_size=8",
                facecolor="white",
                edgecolor=INK,
                lw=1.5,
                hatch="..",
            )
        )
        draw_pull(axes, (left + 100, y), (right + 84, y))
    write(axes, CENTRE, bottom + 18, words.say("clean_sketch.sides"), SMALL)


def _water(axes: Axes, bottom: float, words: Words) -> None:
    """Draw water on the face from the side: spread in a sheet, and standing in beads."""
    _head(axes, bottom + 168, 3, words)
    for left, key in ((40.0, "sheet"), (380.0, "beads")):
        axes.add_patch(Rectangle((left, bottom + 46), 300, 40, facecolor=METAL, edgecolor=INK, linewidth=2, zorder=3))
        if key == "sheet":
            axes.add_patch(
                FancyBboxPatch(
                    (left + 8, bottom + 84),
                    284,
                    12,
                    boxstyle="round,pad=0,rounding_size=6",
                    facecolor=COOL,
                    edgecolor=INK,
                    lw=1.5,
                )
            )
        else:
            for x in (40, 96, 166, 214, 264):
                axes.add_patch(Ellipse((left + x, bottom + 98), 36, 36, facecolor=COOL, edgecolor=INK, lw=1.5))
        write(axes, left + 150, bottom + 16, words.say(f"clean_sketch.{key}"), SMALL, weight="bold")
