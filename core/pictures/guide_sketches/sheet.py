"""What every drawing for a guide shares: the sheet, its sizes of writing, arrows, signs and the bar at the front.

In: places in px from the sheet's lower left. Out: marks on axes. This file must never know which guide it is for.
"""

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyArrowPatch, FancyBboxPatch, Polygon, Rectangle

from core.card import Picture
from core.geometry.screw_plan import Direction
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, INK, PALE, PAPER, WARM

WIDTH_PX, DPI = 720, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
CENTRE = WIDTH_PX / 2
LARGE, MIDDLE, SMALL = 19, 17, 15
METAL, LIGHT, EDGE = "#e8e4da", WARM, PALE

Point = tuple[float, float]


def open_sheet(height: int) -> tuple[Axes, Figure]:
    """Return axes whose units are px from the lower left."""
    figure = blank(WIDTH_PX, height, DPI)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, WIDTH_PX)
    axes.set_ylim(0, height)
    axes.axis("off")
    return axes, figure


def picture(figure: Figure, name: str, alt: str) -> Picture:
    """Return the finished sheet."""
    return Picture(name, to_png(figure), alt)


def write(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    size: float,
    *,
    colour: str = INK,
    weight: str = "normal",
    align: str = "center",
) -> None:
    """Write one line, or lines, about ``y``."""
    axes.text(
        x,
        # Centred on the letters' bodies, so that a name with a tail stands level with one without.
        y + 0.2 * size,
        text,
        ha=align,
        va="center_baseline",
        fontsize=size,
        color=colour,
        weight=weight,
        zorder=9,
        linespacing=1.35,
    )


def draw_pull(axes: Axes, start: Point, end: Point) -> None:
    """Draw a thick arrow for a motion of the hand."""
    axes.add_patch(
        FancyArrowPatch(
            start,
            end,
            arrowstyle="simple,head_width=22,head_length=20,tail_width=8",
            fc=INK,
            ec=INK,
            shrinkA=0,
            shrinkB=0,
            zorder=8,
        )
    )


def draw_pointer(axes: Axes, start: Point, end: Point) -> None:
    """Draw a thin line from a name to the thing it names, with a dot on the thing."""
    axes.plot((start[0], end[0]), (start[1], end[1]), color=INK, linewidth=1.4, zorder=8)
    axes.add_patch(Circle(end, 4, facecolor=INK, edgecolor=INK, zorder=8))


def draw_number(axes: Axes, x: float, y: float, number: int) -> None:
    """Draw a place in an order."""
    axes.add_patch(Circle((x, y), 19, facecolor=INK, edgecolor=INK, zorder=8))
    write(axes, x, y - 1, str(number), SMALL, colour=PAPER)


def draw_way(axes: Axes, x: float, y: float, direction: Direction) -> None:
    """Draw a block arrow about a point; up is away from the film."""
    way = 1 if direction == "up" else -1
    outline = ((0, 30), (24, 2), (10, 2), (10, -30), (-10, -30), (-10, 2), (-24, 2))
    points = [(x + dx, y + way * dy) for dx, dy in outline]
    fill = WARM if direction == "up" else COOL
    axes.add_patch(Polygon(points, closed=True, facecolor=fill, edgecolor=INK, linewidth=1.5, zorder=7))


def draw_box(axes: Axes, centre: Point, size: Point, *, fill: str = "white", dotted: bool = False) -> None:
    """Draw a box with round corners."""
    axes.add_patch(
        FancyBboxPatch(
            (centre[0] - size[0] / 2, centre[1] - size[1] / 2),
            *size,
            boxstyle="round,pad=0,rounding_size=10",
            facecolor=fill,
            edgecolor=INK,
            linewidth=1.5,
            linestyle=":" if dotted else "-",
            zorder=6,
        )
    )


def draw_front(axes: Axes, left: float, right: float, top: float, text: str) -> None:
    """Draw the dark bar that marks the plate's front, below ``top``."""
    axes.add_patch(Rectangle((left, top - 34), right - left, 34, facecolor=INK, zorder=3))
    write(axes, (left + right) / 2, top - 18, text, MIDDLE, colour=PAPER, weight="bold")
