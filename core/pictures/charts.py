"""Figures over many cases, drawn: shares with intervals, a reliability diagram, lines by period, histograms.

In: labels and numbers. Out: pictures of a phone's double width, with alt text. Told apart by place, label, dash and
marker, never by colour alone; every interval is drawn. This file must never know what was counted.
"""

import textwrap
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator, PercentFormatter

from core.card import Picture
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, FRAME, INK, NEUTRAL, PALE
from core.statistics.calibration import ReliabilityBin
from core.statistics.intervals import Share
from core.words import Words

WIDTH_PX, DPI = 800, 100
_ROW_PX, _LABEL_COLUMNS = 72, 21
_SMALL, _NORMAL, _LARGE = 14, 15, 17
"""Points; at half the width, as a phone shows it, still some ten of its pixels."""
_COUNT_AT = 1.02
"""Where numbers of cases stand beside the axes, as a share of their width."""

Bar = tuple[str, float, float, float, int]
"""Label, share, ends of its interval, number of cases it is a share of."""


def draw_shares(bars: Sequence[Bar], title: str, words: Words, note: str = "") -> Picture:
    """Draw one bar a share, with its interval as a line and its number of cases at its side.

    A ``note``, here and below, stands small at the bottom of the picture.
    """
    figure = blank(WIDTH_PX, 150 + _ROW_PX * max(len(bars), 1), DPI)
    axes = _axes(figure, title, note, left=0.35, right=0.83)
    for at, (_, share, low, high, of) in enumerate(bars):
        axes.barh(at, share, height=0.56, color=PALE, edgecolor=FRAME, linewidth=1.0)
        axes.plot((low, high), (at, at), color=INK, linewidth=2.2, solid_capstyle="butt")
        for end in (low, high):
            axes.plot((end, end), (at - 0.14, at + 0.14), color=INK, linewidth=2.2)
        axes.text(
            _COUNT_AT,
            at,
            f"n = {of}",
            transform=axes.get_yaxis_transform(),
            va="center",
            fontsize=_SMALL,
            color=INK,
        )
    axes.set_yticks(range(len(bars)), [textwrap.fill(bar[0], _LABEL_COLUMNS) for bar in bars], fontsize=_SMALL)
    axes.set_ylim(len(bars) - 0.4, -0.6)
    axes.set_xlim(0, min(1.0, 1.08 * max((bar[3] for bar in bars), default=0.8)))
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    axes.xaxis.set_major_formatter(PercentFormatter(1.0, decimals=None))
    axes.grid(axis="x", color=NEUTRAL, linewidth=1.2)
    alt = words.say(
        "stats.alt.shares",
        title=title,
        bars=", ".join(
            words.say("stats.alt.bar", name=name, share=100 * share, low=100 * low, high=100 * high)
            for name, share, low, high, _ in bars
        ),
    )
    return Picture("shares.png", to_png(figure), alt)


def draw_reliability(bins: Sequence[ReliabilityBin], words: Words, note: str = "") -> Picture:
    """Draw what was stated against what came true, with intervals, and the line on which both agree."""
    figure = blank(WIDTH_PX, 800, DPI)
    axes = _axes(figure, words.say("stats.quality.chart"), note, left=0.16, right=0.95, bottom_px=130)
    axes.plot((0, 1), (0, 1), color=FRAME, linewidth=1.2, linestyle=(0, (6, 4)))
    told = []
    for one in bins:
        stated, came = one.mean_stated, one.came_true
        if stated is None or came.value is None:
            continue
        axes.plot((stated, stated), (came.low, came.high), color=INK, linewidth=2.2)
        axes.plot(stated, came.value, marker="o", markersize=10, color=COOL, markeredgecolor=INK, linestyle="none")
        axes.annotate(
            f"n = {came.of}",
            (stated, came.low),
            xytext=(0, -6),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=_SMALL,
            color=INK,
        )
        told.append(words.say("stats.alt.bin", stated=100 * stated, true=100 * came.value, count=came.of))
    axes.set(xlim=(0, 1.06), ylim=(-0.06, 1.02))
    axes.set_xlabel(words.say("stats.quality.stated"), fontsize=_NORMAL, color=INK)
    axes.set_ylabel(words.say("stats.quality.came_true"), fontsize=_NORMAL, color=INK)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_formatter(PercentFormatter(1.0))
    axes.grid(color=NEUTRAL, linewidth=1.2)
    return Picture("reliability.png", to_png(figure), words.say("stats.alt.reliability", bins="; ".join(told)))


_DASHES = ("solid", (0, (6, 3)), (0, (2, 2)), (0, (8, 3, 2, 3)))
_MARKERS = ("o", "s", "^", "D")
MOST_TRENDS = len(_MARKERS)


def draw_trend(
    lines: Sequence[tuple[str, Sequence[Share]]], periods: Sequence[str], words: Words, note: str = ""
) -> Picture:
    """Draw up to four shares over the periods, each with its own dash, marker and panel, intervals as lines."""
    shown = lines[:MOST_TRENDS]
    figure = blank(WIDTH_PX, 150 + 200 * len(shown), DPI)
    figure.text(0.04, 1 - 30 / figure.bbox.height, words.say("stats.trend.chart"), fontsize=_LARGE, color=INK)
    _foot(figure, note)
    panel = (figure.bbox.height - 150) / figure.bbox.height / len(shown)
    most = max((share.high for _, shares in shown for share in shares), default=1.0)
    for at, (name, shares) in enumerate(shown):
        bottom = 1 - 55 / figure.bbox.height - panel * (at + 1)
        axes = figure.add_axes((0.12, bottom + 0.2 * panel, 0.82, 0.58 * panel))
        _plain(axes)
        axes.set_title(name, fontsize=_NORMAL, color=INK, loc="left")
        x = range(len(shares))
        axes.plot(
            x,
            [share.value or 0.0 for share in shares],
            color=INK,
            linestyle=_DASHES[at],
            marker=_MARKERS[at],
            markersize=7,
        )
        for place, share in enumerate(shares):
            axes.plot((place, place), (share.low, share.high), color=FRAME, linewidth=1.6)
        axes.set_ylim(0, most * 1.05)
        axes.yaxis.set_major_locator(MaxNLocator(3))
        axes.yaxis.set_major_formatter(PercentFormatter(1.0, decimals=0))
        axes.set_xlim(-0.4, max(len(shares) - 0.6, 0.6))
        last = at == len(shown) - 1
        marks = _few(len(periods))
        axes.set_xticks(marks, [periods[one] if last else "" for one in marks], fontsize=_SMALL)
        axes.grid(axis="y", color=NEUTRAL, linewidth=1.2)
    told = "; ".join(
        words.say(
            "stats.alt.line", name=name, first=100 * (shares[0].value or 0.0), last=100 * (shares[-1].value or 0.0)
        )
        for name, shares in shown
    )
    return Picture("trend.png", to_png(figure), words.say("stats.alt.trend", lines=told))


def draw_distributions(
    shown: Sequence[tuple[str, Sequence[tuple[float, float, int]], int]], words: Words, note: str = ""
) -> Picture:
    """Draw one histogram a panel: label, bins (from, to, count) of any width as areas, and the number of values."""
    figure = blank(WIDTH_PX, 100 + 250 * len(shown), DPI)
    figure.text(0.04, 1 - 32 / figure.bbox.height, words.say("stats.readings.chart"), fontsize=_LARGE, color=INK)
    _foot(figure, note)
    panel = (figure.bbox.height - 90) / figure.bbox.height / len(shown)
    for at, (name, bins, of) in enumerate(shown):
        bottom = 1 - 60 / figure.bbox.height - panel * (at + 1)
        axes = figure.add_axes((0.06, bottom + 0.2 * panel, 0.88, 0.58 * panel))
        _plain(axes)
        axes.set_title(f"{name}   n = {of}", fontsize=_NORMAL, color=INK, loc="left")
        for low, high, count in bins:
            axes.bar(
                (low + high) / 2,
                count / of / (high - low),
                width=high - low,
                color=PALE,
                edgecolor=FRAME,
                linewidth=1.0,
            )
        axes.set_yticks([])
        axes.set_xlim(*_seen(bins))
        axes.xaxis.set_major_locator(MaxNLocator(6))
        axes.tick_params(axis="x", labelsize=_SMALL, colors=INK)
    told = []
    for name, bins, of in shown:
        low, high = _seen(bins)
        told.append(words.say("stats.alt.histogram", name=name, count=of, low=low, high=high))
    return Picture("readings.png", to_png(figure), words.say("stats.alt.distributions", names="; ".join(told)))


def _seen(bins: Sequence[tuple[float, float, int]]) -> tuple[float, float]:
    """Return the range that holds nearly all values."""
    beyond = _BEYOND * sum(count for *_, count in bins)
    sides = []
    for way in (bins, bins[::-1]):
        passed = 0
        for one in way:
            passed += one[2]
            if passed > beyond:
                sides.append(one)
                break
    return (sides[0][0], sides[1][1]) if sides else (0.0, 1.0)


_BEYOND = 0.02
"""Share of the values that may lie beyond either end of a histogram, where they would be too low to be seen."""


def _axes(figure: Figure, title: str, note: str, *, left: float, right: float, bottom_px: float = 90) -> Axes:
    height = figure.bbox.height
    axes = figure.add_axes((left, bottom_px / height, right - left, 1 - (bottom_px + 65) / height))
    _plain(axes)
    figure.text(0.04, 1 - 38 / height, title, fontsize=_LARGE, color=INK)
    _foot(figure, note)
    return axes


def _foot(figure: Figure, note: str) -> None:
    figure.text(0.97, 10 / figure.bbox.height, note, fontsize=_SMALL, color=INK, ha="right")


def _plain(axes: Axes) -> None:
    axes.set_facecolor("none")
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(FRAME)
    axes.tick_params(labelsize=_SMALL, colors=INK)


def _few(count: int) -> list[int]:
    """Return places for at most three labels: first, middle, last."""
    return sorted({0, count // 2, count - 1}) if count else []
