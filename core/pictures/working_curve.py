"""The working curve: a person's squares, the fitted line and where it may lie, as a PNG.

In: a WorkingCurve and the squares it was fitted to. Out: a Picture with alt text. Squares in doubt differ by shape and
carry their number, so colour only repeats what is drawn. This file must never know what the curve is used for.
"""

from collections.abc import Sequence
from math import ceil, exp2, floor, log2

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from core.card import Picture
from core.exposure.curve_reading import depth_at
from core.exposure.working_curve_fit import WorkingCurve
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, INK, PALE, PAPER, WARM
from core.words import Words

WIDTH_PX, HEIGHT_PX, DPI = 720, 720, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
LARGE, SMALL = 22, 19
SHOWN_BELOW = 8.0
"""How far below the shortest exposure the line is followed towards the critical time, as a factor."""
MARGIN = 1.35
MOST_TICKS = 7
POINTS = 80
MOST_NAMED = 6
"""Squares in doubt beyond this number are counted under the chart and not named."""
LEAST_SAID_S = 0.001


def draw_working_curve(
    curve: WorkingCurve, times: Sequence[float], thicknesses: Sequence[float], words: Words
) -> Picture:
    """Draw the squares, mm over s on a doubling scale, in the order they were fitted in; about 0.1 s once warm."""
    figure = blank(WIDTH_PX, HEIGHT_PX, DPI)
    axes = figure.add_axes((0.17, 0.235, 0.79, 0.655), facecolor=PAPER)
    left, right = _reach(curve)
    top = 1.2 * max(thicknesses)
    _line(axes, curve, left, right)
    _squares(axes, times, thicknesses, doubted_squares(curve), top)
    _frame(axes, (left, right), top, words)
    axes.text(
        0.03,
        0.96,
        words.say("pictures.working_curve.law", **_law(curve)),
        transform=axes.transAxes,
        fontsize=SMALL,
        color=INK,
        va="top",
        bbox={"facecolor": PAPER, "edgecolor": INK, "boxstyle": "round,pad=0.25"},
        zorder=7,
    )
    figure.text(0.04, 0.94, words.say("pictures.working_curve.title"), fontsize=LARGE, color=INK, weight="bold")
    _legend(figure, doubted_squares(curve), words)
    return Picture("working-curve.png", to_png(figure), describe_working_curve(curve, times, thicknesses, words))


def describe_working_curve(
    curve: WorkingCurve, times: Sequence[float], thicknesses: Sequence[float], words: Words
) -> str:
    """Return the alt text: how many squares, from where to where, the law, its band at both ends, squares in doubt."""
    first, last = (depth_at(curve, time) for time in (curve.shortest_time, curve.longest_time))
    ends = {"shortest": f"{curve.shortest_time:g}", "longest": f"{curve.longest_time:g}"}
    numbers = doubted_squares(curve)
    return words.say(
        "pictures.working_curve.alt",
        count=len(times),
        thinnest=min(thicknesses),
        thickest=max(thicknesses),
        band=words.say(
            "pictures.working_curve.alt_band",
            low_first=max(0.0, first.low),
            high_first=first.high,
            low_last=max(0.0, last.low),
            high_last=last.high,
            **ends,
        ),
        doubted=words.say("pictures.working_curve.alt_doubted", numbers=words.listed([str(each) for each in numbers]))
        if numbers
        else words.say("pictures.working_curve.alt_sound"),
        **ends,
        **_law(curve),
    )


def doubted_squares(curve: WorkingCurve) -> tuple[int, ...]:
    """Return the numbers, from 1, of squares that a doubt names, in order."""
    return tuple(sorted({int(doubt.values["square"]) for doubt in curve.doubts if "square" in doubt.values}))


def _law(curve: WorkingCurve) -> dict[str, str]:
    critical = curve.critical_time.value
    return {
        "depth": f"{curve.penetration_depth.value:.2f}",
        "critical": f"{critical:.2g}" if critical >= LEAST_SAID_S else f"< {LEAST_SAID_S:g}",
    }


def _reach(curve: WorkingCurve) -> tuple[float, float]:
    """Return the exposures between which the line is drawn: from the critical time, if that is near, to the longest."""
    lowest = max(curve.critical_time.value, curve.shortest_time / SHOWN_BELOW)
    return min(lowest, curve.shortest_time / MARGIN), curve.longest_time * MARGIN


def _line(axes: Axes, curve: WorkingCurve, left: float, right: float) -> None:
    exposures = np.geomspace(left, right, POINTS)
    depths = [depth_at(curve, float(time)) for time in exposures]
    low, high = ([getattr(depth, end) for depth in depths] for end in ("low", "high"))
    axes.fill_between(exposures, low, high, facecolor=PALE, alpha=0.6, linewidth=0, zorder=1)
    for edge in (low, high):
        axes.plot(exposures, edge, color=INK, linewidth=1.5, linestyle="--", zorder=2)
    axes.plot(exposures, [depth.value for depth in depths], color=INK, linewidth=3, zorder=3)


def _squares(
    axes: Axes, times: Sequence[float], thicknesses: Sequence[float], doubted: Sequence[int], top: float
) -> None:
    for number, (time, thickness) in enumerate(zip(times, thicknesses, strict=True), start=1):
        odd = number in doubted
        axes.plot(
            time,
            thickness,
            marker="D" if odd else "s",
            markersize=15 if odd else 12,
            markerfacecolor=WARM if odd else COOL,
            markeredgecolor=INK,
            markeredgewidth=2.5 if odd else 1.5,
            zorder=5,
        )
        if odd:
            axes.annotate(
                str(number),
                (time, thickness),
                xytext=(0, -17 if thickness > top / 2 else 17),
                textcoords="offset points",
                ha="center",
                va="top" if thickness > top / 2 else "bottom",
                fontsize=SMALL,
                weight="bold",
                color=INK,
                bbox={"facecolor": PAPER, "edgecolor": "none", "boxstyle": "round,pad=0.1"},
                zorder=6,
            )


def _frame(axes: Axes, reach: tuple[float, float], top: float, words: Words) -> None:
    axes.set_xscale("log", base=2)
    axes.set_xlim(*reach)
    axes.set_ylim(0, top)
    first, last = ceil(log2(reach[0])), floor(log2(reach[1]))
    step = 1 + (last - first) // MOST_TICKS
    axes.xaxis.set_major_locator(FixedLocator([exp2(power) for power in range(first, last + 1, step)]))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:.2g}" if value < 1 else f"{value:g}"))
    axes.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10]))
    axes.grid(color="#d8d3c8", linewidth=1, zorder=0)
    axes.set_axisbelow(True)
    axes.tick_params(labelsize=SMALL, colors=INK, length=6)
    axes.set_xlabel(words.say("pictures.working_curve.across"), fontsize=SMALL, color=INK)
    axes.set_ylabel(words.say("pictures.working_curve.down"), fontsize=SMALL, color=INK)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _legend(figure: Figure, doubted: Sequence[int], words: Words) -> None:
    lines = [words.say("pictures.working_curve.band")]
    if len(doubted) > MOST_NAMED:
        lines.insert(0, words.say("pictures.working_curve.doubted_many", count=len(doubted)))
    elif doubted:
        numbers = words.listed([str(each) for each in doubted])
        lines.insert(0, words.say("pictures.working_curve.doubted", numbers=numbers))
    for height, line in zip((0.025, 0.075) if doubted else (0.05,), reversed(lines), strict=True):
        figure.text(0.04, height, line, fontsize=SMALL, color=INK)
