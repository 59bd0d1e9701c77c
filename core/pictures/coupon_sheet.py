"""The coupon sheet: where the five coupons lie, what one looks like, and how to tell which stood where, as a PNG.

In: a coupon set. Out: a Picture with alt text. The plan is the file's, as a slicer shows it; heights differ by outline
and writing, so colour only repeats them. This file must never know file formats or readings.
"""

from collections.abc import Iterator
from itertools import pairwise

from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from core.card import Picture
from core.coupons import Coupon, CouponSet
from core.coupons.note import order_line
from core.coupons.solid import Patch, height_at
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, FRAME, INK, NEUTRAL, PALE, PAPER
from core.report import CORNERS
from core.words import Words

WIDTH_PX, DPI = 720, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
MOST_PLATE_PX = (600.0, 400.0)
LEAST_COUPON_PX = 118.0
"""A coupon narrower than this shows no dots on a phone; it is then drawn larger than it is."""
ASPECTS = (1.0, 2.2)
"""A longer plate is drawn a little less long, so that five enlarged coupons keep apart."""
INSET_PX = 16.0
"""Least distance of an enlarged coupon from the drawn edge."""
SIDE_PX_PER_MM = 30.0
TITLE, LARGE, SMALL = 19, 17, 15


def draw_coupon_sheet(coupon_set: CouponSet, words: Words) -> Picture:
    """Draw the sheet: the plan, a cut through one coupon, and the orders to measure in."""
    width, depth = _plate_px(coupon_set)
    side = SIDE_PX_PER_MM * coupon_set.outer_mm[2]
    height = depth + side + 712
    figure = blank(WIDTH_PX, height, DPI)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, WIDTH_PX)
    axes.set_ylim(0, height)
    axes.axis("off")
    front = height - 104 - depth
    _plan(axes, coupon_set, (width, depth, front), words)
    _cut(axes, coupon_set, front - 206 - side, words)
    _orders(axes, front - 302 - side, words)
    return Picture("coupon-sheet.png", to_png(figure), describe_coupon_sheet(coupon_set, words))


def describe_coupon_sheet(coupon_set: CouponSet, words: Words) -> str:
    """Return the alt text: dots and place of every coupon, the distances, the cut, and the orders to measure in."""
    coupons = [
        words.say(
            "pictures.coupon_sheet.alt_one" if coupon.dots == 1 else "pictures.coupon_sheet.alt_dots",
            dots=coupon.dots,
            place=words.say(f"positions.{coupon.position.value}"),
        )
        for coupon in coupon_set.coupons
    ]
    orders = "; ".join(order_line(dots, words) for dots in range(1, len(CORNERS) + 1))
    return words.say(
        "pictures.coupon_sheet.alt", **coupon_set.note_values, coupons=words.listed(coupons), orders=orders
    )


def _plate_px(coupon_set: CouponSet) -> tuple[float, float]:
    aspect = min(max(coupon_set.plate_width_mm / coupon_set.plate_depth_mm, ASPECTS[0]), ASPECTS[1])
    width = min(MOST_PLATE_PX[0], MOST_PLATE_PX[1] * aspect)
    return width, width / aspect


def _plan(axes: Axes, coupon_set: CouponSet, plate: tuple[float, float, float], words: Words) -> None:
    width, depth, front = plate
    middle = WIDTH_PX / 2
    values = coupon_set.note_values

    def say(key: str) -> str:
        return words.say(f"pictures.coupon_sheet.{key}", **values)

    back = front + depth
    _write(axes, middle, back + 80, say("title"), TITLE, weight="bold")
    _write(axes, middle, back + 48, say("back"), SMALL)
    left, right = middle - width / 2, middle + width / 2
    _measure(axes, (left, back + 18), (right, back + 18), say("width"))
    _measure(axes, (left - 24, front), (left - 24, back), say("depth"))
    axes.add_patch(Rectangle((left, front), width, depth, facecolor="white", edgecolor=FRAME, linewidth=2))
    axes.add_patch(Rectangle((left, front - 34), width, 30, facecolor=INK))
    _write(axes, middle, front - 19, say("front"), LARGE, colour=PAPER, weight="bold")
    drawn = width / coupon_set.plate_width_mm, depth / coupon_set.plate_depth_mm
    scale = max(min(drawn), LEAST_COUPON_PX / coupon_set.shape.width)
    enlarged = scale > min(drawn)
    inset = INSET_PX if enlarged else coupon_set.edge_mm * scale
    outer = coupon_set.shape.width * scale, coupon_set.shape.outer_depth * scale
    for coupon in coupon_set.coupons:
        x = middle + coupon.position.x * ((width - outer[0]) / 2 - inset) - outer[0] / 2
        y = front + depth / 2 + coupon.position.y * ((depth - outer[1]) / 2 - inset) - outer[1] / 2
        _coupon(axes, coupon, x, y, scale)
    _write(axes, middle, front - 58, say("enlarged" if enlarged else "to_scale"), SMALL)
    _write(axes, middle, front - 84, say("apart"), SMALL)


def _coupon(axes: Axes, coupon: Coupon, x: float, y: float, scale: float) -> None:
    patches = coupon.patches()
    fills = dict(zip(sorted({patch.top for patch in patches}), ("white", NEUTRAL, PALE, INK), strict=True))
    for patch in patches:
        corner = (x + patch.left * scale, y + patch.front * scale)
        size = ((patch.right - patch.left) * scale, (patch.back - patch.front) * scale)
        axes.add_patch(Rectangle(corner, *size, facecolor=fills[patch.top], linewidth=0))
    for start, end, rim in _steps(patches):
        axes.plot(
            [x + start[0] * scale, x + end[0] * scale],
            [y + start[1] * scale, y + end[1] * scale],
            color=INK,
            linewidth=2.2 if rim else 1.1,
            solid_capstyle="projecting" if rim else "butt",
        )
    flat = coupon.flat
    centre = ((flat.left + flat.right) / 2 * scale, (flat.front + flat.back) / 2 * scale)
    _write(axes, x + centre[0], y + centre[1], str(coupon.dots), 22, weight="bold")


def _steps(patches: tuple[Patch, ...]) -> Iterator[tuple[tuple[float, float], tuple[float, float], bool]]:
    """Yield every line of the plan along which the height changes, and whether it is the outline."""
    xs = sorted({x for patch in patches for x in (patch.left, patch.right)})
    ys = sorted({y for patch in patches for y in (patch.front, patch.back)})
    reach = 1.0
    middles_x = [xs[0] - reach, *((a + b) / 2 for a, b in pairwise(xs)), xs[-1] + reach]
    middles_y = [ys[0] - reach, *((a + b) / 2 for a, b in pairwise(ys)), ys[-1] + reach]
    for i, x in enumerate(xs):
        for j, (front, back) in enumerate(pairwise(ys)):
            beside = [height_at(patches, middles_x[i + side], middles_y[j + 1]) for side in (0, 1)]
            if beside[0] != beside[1]:
                yield (x, front), (x, back), min(beside) == 0
    for j, y in enumerate(ys):
        for i, (left, right) in enumerate(pairwise(xs)):
            beside = [height_at(patches, middles_x[i + 1], middles_y[j + side]) for side in (0, 1)]
            if beside[0] != beside[1]:
                yield (left, y), (right, y), min(beside) == 0


def _cut(axes: Axes, coupon_set: CouponSet, bottom: float, words: Words) -> None:
    coupon = coupon_set.coupons[-1]
    patches = coupon.patches()
    # Through the middle dot, which lies over the lip and in line with the flat.
    dot = patches[-3]
    across = (dot.left + dot.right) / 2
    ys = sorted({y for patch in patches if patch.left < across < patch.right for y in (patch.front, patch.back)})
    profile = [
        (y, height_at(patches, across, (front + back) / 2)) for front, back in pairwise(ys) for y in (front, back)
    ]
    scale = SIDE_PX_PER_MM
    left = WIDTH_PX / 2 - 60 - coupon_set.shape.outer_depth * scale / 2
    outline = [(left, bottom), *((left + y * scale, bottom + z * scale) for y, z in profile)]
    outline.append((left + ys[-1] * scale, bottom))
    top = bottom + coupon_set.outer_mm[2] * scale
    _write(axes, WIDTH_PX / 2, top + 66, words.say("pictures.coupon_sheet.side"), LARGE, weight="bold")
    axes.add_patch(Polygon(outline, closed=True, facecolor=PALE, edgecolor=INK, linewidth=2))
    flat_top = bottom + coupon.nominal_mm * scale
    _write(axes, left + dot.front * scale + 22, top + 20, words.say("pictures.coupon_sheet.dots"), SMALL)
    _write(axes, left + coupon.shape.lip * scale / 2, flat_top + 20, words.say("pictures.coupon_sheet.lip"), SMALL)
    x = left + (coupon.flat.front + coupon.flat.back) / 2 * scale
    _write(axes, x + 30, top + 20, words.say("pictures.coupon_sheet.jaws"), SMALL)
    for tip, way in ((flat_top, 1), (bottom, -1)):
        axes.add_patch(Polygon([(x, tip), (x - 11, tip + way * 20), (x + 11, tip + way * 20)], facecolor=COOL))
    flat = words.say("pictures.coupon_sheet.flat", **coupon_set.note_values)
    _write(axes, left + ys[-1] * scale + 12, (bottom + flat_top) / 2, flat, LARGE, align="left", weight="bold")
    _write(axes, WIDTH_PX / 2, bottom - 46, words.say("pictures.coupon_sheet.hand"), SMALL)


def _orders(axes: Axes, top: float, words: Words) -> None:
    middle = WIDTH_PX / 2
    _write(axes, middle, top, words.say("pictures.coupon_sheet.which"), LARGE, weight="bold")
    _write(axes, middle, top - 34, words.say("pictures.coupon_sheet.tape"), SMALL)
    _write(axes, middle, top - 62, words.say("pictures.coupon_sheet.count"), SMALL)
    for dots in range(1, len(CORNERS) + 1):
        line = order_line(dots, words)
        _write(axes, middle, top - 70 - dots * 34, line, LARGE, weight="bold")
    _write(axes, middle, top - 246, words.say("pictures.coupon_sheet.order"), SMALL)
    _write(axes, middle, top - 274, words.say("pictures.coupon_sheet.order_rest"), SMALL)


def _measure(axes: Axes, start: tuple[float, float], end: tuple[float, float], text: str) -> None:
    """Draw a dimension line with its figure on it."""
    axes.annotate("", start, end, arrowprops={"arrowstyle": "<|-|>", "color": FRAME, "shrinkA": 0, "shrinkB": 0})
    upright = start[0] == end[0]
    x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    axes.text(
        x,
        y,
        text,
        ha="center",
        va="center",
        fontsize=SMALL,
        color=INK,
        rotation=90 if upright else 0,
        bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 2},
    )


def _write(
    axes: Axes,
    x: float,
    y: float,
    text: str,
    size: int,
    *,
    align: str = "center",
    colour: str = INK,
    weight: str = "normal",
) -> None:
    axes.text(x, y, text, ha=align, va="center", fontsize=size, color=colour, fontweight=weight)
