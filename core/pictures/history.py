"""Attempt after attempt: the spread of the corners and the start height of each set of coupons, as a PNG.

In: the Geometry of each set, oldest first, and norms. Out: a Picture with alt text. Limits are lines with their names,
and values are written, so that nothing hangs on a colour. This file must never know what was done between the sets.
"""

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator

from core.card import Picture
from core.geometry import Estimate, Geometry
from core.knowledge.schema import Knowledge
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, FRAME, INK, PALE, PAPER
from core.pictures.text_map import HALF_STEP_MM
from core.words import Words

WIDTH_PX, HEIGHT_PX, DPI = 720, 900, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
LARGE, SMALL, VALUES = 22, 18, 15
MOST_SHOWN = 6
"""More sets than this leave no room for their values; the latest are shown."""
LINE_PX = 32
"""One line of writing."""


def draw_history(attempts: Sequence[Geometry], knowledge: Knowledge, words: Words) -> Picture:
    """Draw spread over offset for one or more sets of coupons, oldest first; about 0.15 s once warm.

    Raises:
        ValueError: There is no set.
    """
    if not attempts:
        raise ValueError("a history needs at least one set of coupons")
    shown = list(enumerate(attempts, start=1))[-MOST_SHOWN:]
    figure = blank(WIDTH_PX, HEIGHT_PX, DPI)
    figure.text(0.04, 0.955, words.say("pictures.history.title"), fontsize=LARGE, color=INK, weight="bold")
    upper = figure.add_axes((0.13, 0.54, 0.56, 0.36), facecolor=PAPER)
    lower = figure.add_axes((0.13, 0.135, 0.56, 0.315), facecolor=PAPER)
    _spreads(upper, shown, knowledge, words)
    _offsets(lower, shown, knowledge, words)
    lower.set_xlabel(words.say("pictures.history.across"), fontsize=SMALL, color=INK)
    figure.text(0.04, 0.014, words.say("pictures.history.bars"), fontsize=SMALL, color=INK)
    return Picture("history.png", to_png(figure), describe_history(attempts, knowledge, words))


def describe_history(attempts: Sequence[Geometry], knowledge: Knowledge, words: Words) -> str:
    """Return the alt text: both values of every set shown, with their ranges, and the limits."""
    shown = list(enumerate(attempts, start=1))[-MOST_SHOWN:]
    last = words.say("pictures.history.alt_last", shown=len(shown), all=len(attempts))
    return words.say(
        "pictures.history.alt",
        last=last if len(shown) < len(attempts) else "",
        spreads=", ".join(
            words.say(
                "pictures.history.alt_spread",
                number=number,
                value=geometry.spread.value,
                low=max(0.0, geometry.spread.low),
                high=geometry.spread.high,
            )
            for number, geometry in shown
        ),
        offsets=", ".join(_say_offset(number, geometry.offset, words) for number, geometry in shown),
        good=knowledge.norm("spread_good_mm"),
        workable=knowledge.norm("spread_workable_mm"),
        out=knowledge.norm("spread_out_mm"),
        fine=knowledge.norm("offset_ok_mm"),
    )


def _say_offset(number: int, offset: Estimate, words: Words) -> str:
    way = "level" if abs(offset.value) < HALF_STEP_MM else "far" if offset.value > 0 else "close"
    return words.say(
        f"pictures.history.alt_{way}", number=number, value=abs(offset.value), low=offset.low, high=offset.high
    )


def _spreads(axes: Axes, shown: Sequence[tuple[int, Geometry]], knowledge: Knowledge, words: Words) -> None:
    good, workable, out = (knowledge.norm(f"spread_{band}_mm") for band in ("good", "workable", "out"))
    top = 1.16 * max(1.3 * out, *(geometry.spread.high for _, geometry in shown))
    _frame(axes, shown, (0.0, top), words.say("pictures.history.spread"))
    axes.axhspan(0, good, facecolor=PALE, alpha=0.45, zorder=0)
    limits = (("good", good, "-"), ("workable", workable, "--"), ("out", out, ":"))
    _limits(axes, [(limit, style, words.say(f"pictures.history.{name}", limit=limit)) for name, limit, style in limits])
    _values(axes, [(number, geometry.spread) for number, geometry in shown], "{:.2f}")


def _offsets(axes: Axes, shown: Sequence[tuple[int, Geometry]], knowledge: Knowledge, words: Words) -> None:
    fine = knowledge.norm("offset_ok_mm")
    reach = 1.25 * max(1.2 * fine, *(max(abs(geometry.offset.low), abs(geometry.offset.high)) for _, geometry in shown))
    _frame(axes, shown, (-reach, reach), words.say("pictures.history.offset"))
    axes.axhspan(-fine, fine, facecolor=PALE, alpha=0.45, zorder=0)
    axes.axhline(0.0, color=FRAME, linewidth=1.2, zorder=1)
    close, far = (words.say(f"pictures.history.{way}", limit=fine) for way in ("close", "far"))
    _limits(axes, [(-fine, "-", close), (fine, "-", far)])
    _values(axes, [(number, geometry.offset) for number, geometry in shown], "{:+.2f}")
    axes.yaxis.set_major_formatter(
        FuncFormatter(lambda value, _: f"{value:+.1f}" if abs(value) > HALF_STEP_MM else "0")
    )


def _frame(axes: Axes, shown: Sequence[tuple[int, Geometry]], reach: tuple[float, float], title: str) -> None:
    first, last = shown[0][0], shown[-1][0]
    axes.set_xlim(first - 0.55, last + 0.55)
    axes.set_ylim(*reach)
    axes.xaxis.set_major_locator(FixedLocator([number for number, _ in shown]))
    axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    axes.tick_params(labelsize=SMALL, colors=INK, length=6)
    axes.set_title(title, fontsize=SMALL, color=INK, loc="left", weight="bold", pad=8)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _limits(axes: Axes, limits: Sequence[tuple[float, str, str]]) -> None:
    """Draw lines at heights that rise, each with its name beside it, names no closer than one line of writing."""
    bottom, top = axes.get_ylim()
    apart = LINE_PX / (axes.get_position().height * HEIGHT_PX)
    below = -1.0
    for height, style, name in limits:
        axes.axhline(height, color=INK, linewidth=2, linestyle=style, zorder=1)
        at = max((height - bottom) / (top - bottom), below + apart)
        axes.text(1.02, at, name, transform=axes.transAxes, ha="left", va="center", fontsize=SMALL, color=INK)
        below = at


def _values(axes: Axes, values: Sequence[tuple[int, Estimate]], form: str) -> None:
    numbers = [number for number, _ in values]
    heights = [estimate.value for _, estimate in values]
    axes.plot(numbers, heights, color=FRAME, linewidth=1.5, zorder=2)
    axes.errorbar(
        numbers,
        heights,
        yerr=[
            [estimate.value - estimate.low for _, estimate in values],
            [estimate.high - estimate.value for _, estimate in values],
        ],
        fmt="o",
        markersize=13,
        markerfacecolor=COOL,
        markeredgecolor=INK,
        markeredgewidth=1.8,
        ecolor=INK,
        elinewidth=2.5,
        capsize=8,
        capthick=2.5,
        zorder=5,
    )
    for number, estimate in values:
        axes.annotate(
            form.format(round(estimate.value, 2) + 0.0),
            (number, estimate.high),
            xytext=(0, 7),
            textcoords="offset points",
            ha="center",
            va="bottom",
            fontsize=VALUES,
            weight="bold",
            color=INK,
            bbox={"facecolor": PAPER, "edgecolor": "none", "boxstyle": "round,pad=0.08", "alpha": 0.85},
            zorder=6,
        )
