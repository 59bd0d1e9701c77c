"""The plate map: the plate from above as the person faces the printer, with readings and contours, as a PNG.

In: Geometry, the plate's size where known. Out: a Picture with alt text. Heights are written on the contours, close
is dashed and far is solid, and every reading says its direction in words, so colour only repeats what is written.
This file must never know what the surface means for a print.
"""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.patches import FancyBboxPatch, Rectangle

from core.card import Picture
from core.geometry import Geometry
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, FRAME, INK, NEUTRAL, PAPER, WARM
from core.pictures.text_map import HALF_STEP_MM, direction
from core.report import POSITIONS, Machine, Position
from core.words import Words

WIDTH_PX, DPI = 720, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
USUAL_ASPECT = 1.6
"""Width over depth where the plate's size is not known."""
GRID = 133
"""Cells of the shaded surface each way: five pixels a cell, finer than the eye sees in so pale a shade."""
CONTOUR_EVERY = 4
"""Contours need only every so many of these cells."""
REACH = 1.25
"""How far beyond the coupons the plate goes on, in units of their distance from the middle."""
LEAST_STEP_MM, MOST_LINES = 0.02, 7
_STEPS_MM = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0)
_CLOSE_TO_FAR = LinearSegmentedColormap.from_list("close_to_far", [COOL, NEUTRAL, WARM])


def draw_plate_map(geometry: Geometry, machine: Machine, words: Words) -> Picture:
    """Draw the map; about 60 ms once warm."""
    aspect = USUAL_ASPECT
    if machine.plate_width_mm and machine.plate_depth_mm:
        # A very long plate is drawn a little less long, so that the writing keeps its room.
        aspect = min(max(machine.plate_width_mm / machine.plate_depth_mm, 1.0), 2.2)
    inner = 0.92 * WIDTH_PX
    height = inner / aspect + 150
    figure = blank(WIDTH_PX, height, DPI)
    axes = figure.add_axes((0.04, 92 / height, 0.92, inner / aspect / height))
    axes.set_xlim(-REACH, REACH)
    axes.set_ylim(-REACH, REACH)
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_edgecolor(FRAME)
        spine.set_linewidth(2)
    _contours(axes, geometry)
    for position in POSITIONS:
        _reading(axes, position, geometry, words)
    _margins(figure, height, words)
    return Picture("plate-map.png", to_png(figure), describe_plate_map(geometry, words))


def describe_plate_map(geometry: Geometry, words: Words) -> str:
    """Return the alt text: every reading with its place and direction, the spread, the closest and furthest corner."""
    readings = [
        words.say(
            "map.alt_reading",
            place=words.say(f"positions.{position.value}"),
            value=_value(position, geometry, words),
            direction=direction(geometry.errors[position], words),
        )
        for position in POSITIONS
    ]
    return words.say(
        "map.alt_even" if geometry.spread.value < HALF_STEP_MM else "map.alt",
        readings=", ".join(readings),
        spread=geometry.spread.value,
        lowest=words.say(f"positions.{geometry.lowest.value}"),
        highest=words.say(f"positions.{geometry.highest.value}"),
    )


def _contours(axes: Axes, geometry: Geometry) -> None:
    line = np.linspace(-REACH, REACH, GRID)
    x, y = np.meshgrid(line, line)
    z = geometry.surface(x, y)
    low, high = float(z.min()), float(z.max())
    reach = max(abs(low), abs(high), 0.2)
    axes.imshow(
        z,
        cmap=_CLOSE_TO_FAR,
        vmin=-reach,
        vmax=reach,
        extent=(-REACH, REACH, -REACH, REACH),
        origin="lower",
        aspect="auto",
        interpolation="nearest",
    )
    if high - low < LEAST_STEP_MM:
        return
    step = next((step for step in _STEPS_MM if (high - low) / step <= MOST_LINES), _STEPS_MM[-1])
    levels = np.arange(np.ceil(low / step), np.floor(high / step) + 1) * step
    if not levels.size:
        return
    few = tuple(values[::CONTOUR_EVERY, ::CONTOUR_EVERY] for values in (x, y, z))
    styles = ["dashed" if level < -step / 2 else "solid" for level in levels]
    widths = [2.6 if abs(level) < step / 2 else 1.4 for level in levels]
    lines = axes.contour(*few, levels=levels, colors=INK, linewidths=widths, linestyles=styles)
    for label in axes.clabel(
        lines,
        fmt=lambda level: f"{level + 0.0:+.2f}" if abs(level) > step / 2 else "0",
        fontsize=14,
        inline=False,
    ):
        # Ink on a scrap of paper, so that the line does not run through the figure.
        label.set_bbox({"boxstyle": "square,pad=0.1", "facecolor": PAPER, "edgecolor": "none"})


def _reading(axes: Axes, position: Position, geometry: Geometry, words: Words) -> None:
    half_width, half_height = 0.36, 0.24
    # Drawn a little inside of where the coupon stood, so that the writing stays on the plate.
    x, y = 0.85 * position.x, 0.97 * position.y
    axes.add_patch(
        FancyBboxPatch(
            (x - half_width, y - half_height),
            2 * half_width,
            2 * half_height,
            boxstyle="round,pad=0,rounding_size=0.06",
            facecolor="white",
            edgecolor=INK,
            linewidth=1.5,
            linestyle="solid" if position in geometry.measured else "dotted",
            zorder=5,
        )
    )
    value = _value(position, geometry, words)
    axes.text(x, y + 0.09, value, ha="center", va="center", fontsize=20, fontweight="bold", color=INK, zorder=6)
    where = direction(geometry.errors[position], words)
    if position not in geometry.measured:
        where = words.say("map.about", direction=where)
    axes.text(x, y - 0.12, where, ha="center", va="center", fontsize=15, color=INK, zorder=6)


def _value(position: Position, geometry: Geometry, words: Words) -> str:
    measured = geometry.measured.get(position)
    return words.say("map.lost") if measured is None else f"{measured:.2f}"


def _margins(figure: Figure, height: float, words: Words) -> None:
    figure.text(0.5, 1 - 20 / height, words.say("map.title"), ha="center", va="center", fontsize=18, color=INK)
    figure.text(0.5, 1 - 45 / height, words.say("map.back"), ha="center", va="center", fontsize=15, color=INK)
    figure.add_artist(Rectangle((0.04, 58 / height), 0.92, 28 / height, facecolor=INK, transform=figure.transFigure))
    front = words.say("map.front")
    figure.text(0.5, 72 / height, front, ha="center", va="center", fontsize=17, fontweight="bold", color=PAPER)
    figure.text(0.5, 26 / height, words.say("map.scale"), ha="center", va="center", fontsize=13, color=INK)
