"""The screw sketch: the plate from above as the person faces the printer, with what to turn, how far, in which order.

In: a ScrewPlan and the Geometry it came from. Out: a Picture with alt text. Direction is an arrow's shape and a word,
order a number, so colour only repeats what is written. This file must never know how a plan is made.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from matplotlib.axes import Axes
from matplotlib.patches import Circle, FancyBboxPatch, Polygon, Rectangle

from core.card import Picture
from core.geometry import Geometry
from core.geometry.screw_plan import Direction, ScrewMove, ScrewPlan
from core.geometry.turning import say_turns, say_way
from core.pictures.canvas import blank, to_png
from core.pictures.palette import COOL, FRAME, INK, NEUTRAL, PAPER, WARM
from core.words import Words
from core.words.numbers import mm

WIDTH_PX, HEIGHT_PX, DPI = 720, 660, 100
"""Twice the width of a narrow phone's screen: text below is sized to be read there."""
LARGE, MIDDLE, SMALL = 19, 16, 15
AMOUNT_SIGNS = 13
"""Signs of an amount that fit beside its arrow; a longer one is written smaller."""
_FILLS: dict[Direction, str] = {"up": WARM, "down": COOL, "stay": "#e8e4da"}
_BOX = (148.0, 66.0)
"""Half width and half height of a sign, px."""
_LEFT, _RIGHT, _BOTTOM, _TOP = 29.0, 691.0, 140.0, 594.0
"""The plate's edges, px from the lower left."""


@dataclass(frozen=True, slots=True)
class _Sign:
    """What is written at one place."""

    x: float
    y: float
    name: str
    direction: Direction
    motion: float
    turns: Fraction | None
    order: int | None


def draw_screw_sketch(plan: ScrewPlan, geometry: Geometry, words: Words) -> Picture:
    """Draw the sketch; corners instead of screws where there are none to turn."""
    signs = _signs(plan, words)
    figure = blank(WIDTH_PX, HEIGHT_PX, DPI)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, WIDTH_PX)
    axes.set_ylim(0, HEIGHT_PX)
    axes.axis("off")
    plate = Rectangle((_LEFT, _BOTTOM), _RIGHT - _LEFT, _TOP - _BOTTOM, facecolor=NEUTRAL, edgecolor=FRAME, linewidth=2)
    axes.add_patch(plate)
    _pivots(axes, plan, words)
    for sign in signs:
        _sign(axes, sign, words)
    _now_and_then(axes, plan, geometry, words)
    _margins(axes, plan, words)
    return Picture("screws.png", to_png(figure), describe_screw_sketch(plan, words))


def describe_screw_sketch(plan: ScrewPlan, words: Words) -> str:
    """Return the alt text: for every screw, or corner, in order, which way and how far."""
    return words.say("screw_sketch.alt", moves="; ".join(_said(sign, words) for sign in _signs(plan, words)))


def _said(sign: _Sign, words: Words) -> str:
    if sign.direction == "stay":
        return words.say("screw_sketch.alt_stay", name=sign.name)
    return words.say(
        "screw_sketch.alt_turn" if sign.turns else "screw_sketch.alt_move",
        order=sign.order,
        name=sign.name,
        way=say_way(sign.direction, words),
        distance=mm(abs(sign.motion)),
        turns=say_turns(sign.turns or Fraction(), words),
    )


def _signs(plan: ScrewPlan, words: Words) -> tuple[_Sign, ...]:
    if not plan.screws:
        return tuple(
            _Sign(
                x=corner.position.x,
                y=corner.position.y,
                name=words.say(f"positions.{corner.position.value}"),
                direction=corner.direction,
                motion=corner.motion,
                turns=None,
                order=None,
            )
            for corner in plan.corners
        )
    moving = [move.name for move in plan.screws if move.direction != "stay"]
    return tuple(_screw(plan, move, moving, words) for move in plan.screws)


def _screw(plan: ScrewPlan, move: ScrewMove, moving: Sequence[str], words: Words) -> _Sign:
    turns = Fraction(move.steps, plan.steps_per_turn) if move.steps else None
    return _Sign(
        x=move.x,
        y=move.y,
        name=words.say(f"screws.names.{move.name}"),
        direction=move.direction,
        # What the rounded turn really does, so that both numbers at a screw agree.
        motion=float(turns) * plan.thread.pitch_mm if turns and plan.thread else move.motion,
        turns=turns,
        order=moving.index(move.name) + 1 if move.name in moving else None,
    )


def _spot(x: float, y: float) -> tuple[float, float]:
    """Return where a sign stands, px: its place on the plate, drawn inwards so that the sign stays on it."""
    middle_x, middle_y = (_LEFT + _RIGHT) / 2, (_BOTTOM + _TOP) / 2
    reach_x, reach_y = (_RIGHT - _LEFT) / 2, (_TOP - _BOTTOM) / 2
    margin = 22.0
    return (
        middle_x + max(min(x * reach_x, reach_x - _BOX[0] - margin), -(reach_x - _BOX[0] - margin)),
        middle_y + max(min(y * reach_y, reach_y - _BOX[1] - margin), -(reach_y - _BOX[1] - margin)),
    )


def _sign(axes: Axes, sign: _Sign, words: Words) -> None:
    x, y = _spot(sign.x, sign.y)
    box = FancyBboxPatch(
        (x - _BOX[0], y - _BOX[1]),
        2 * _BOX[0],
        2 * _BOX[1],
        boxstyle="round,pad=0,rounding_size=14",
        facecolor="white",
        edgecolor=INK,
        linewidth=1.5,
        linestyle="solid" if sign.direction != "stay" else "dotted",
        zorder=5,
    )
    axes.add_patch(box)
    axes.text(x + 36, y + 40, sign.name, ha="center", va="center", fontsize=SMALL, color=INK, zorder=6)
    if sign.direction == "stay":
        leave = words.say("screw_sketch.stay")
        axes.text(x + 36, y - 6, leave, ha="center", va="center", fontsize=MIDDLE, color=INK, zorder=6)
    else:
        amount = words.say(f"screw_sketch.{sign.direction}", distance=f"{abs(sign.motion):.2f}")
        height = y + 8 if sign.turns else y - 12
        fits = MIDDLE * min(1.0, AMOUNT_SIGNS / len(amount))
        axes.text(x + 36, height, amount, ha="center", va="center", fontsize=fits, weight="bold", color=INK, zorder=6)
        _arrow(axes, x - 106, y - 4, sign.direction, 1.15)
    if sign.turns:
        turn = words.say("screw_sketch.turn", turns=_mixed(abs(sign.turns)))
        axes.text(x + 36, y - 32, turn, ha="center", va="center", fontsize=MIDDLE + 1, color=INK, zorder=6)
    if sign.order:
        axes.add_patch(Circle((x - _BOX[0] + 6, y + _BOX[1] - 6), 19, facecolor=INK, edgecolor=INK, zorder=7))
        number = str(sign.order)
        axes.text(
            x - _BOX[0] + 6, y + _BOX[1] - 7, number, ha="center", va="center", fontsize=SMALL, color=PAPER, zorder=8
        )


def _mixed(turns: Fraction) -> str:
    """Return ``1/3`` or, over one turn, ``1 1/12``."""
    whole, rest = divmod(turns, 1)
    return " ".join(str(part) for part in (whole, rest) if part)


def _arrow(axes: Axes, x: float, y: float, direction: Direction, scale: float = 1.0) -> None:
    """Draw a block arrow; up is away from the film."""
    way = scale if direction == "up" else -scale
    outline = ((0, 36), (28, 4), (11, 4), (11, -36), (-11, -36), (-11, 4), (-28, 4))
    points = [(x + scale * dx, y + way * dy) for dx, dy in outline]
    axes.add_patch(Polygon(points, closed=True, facecolor=_FILLS[direction], edgecolor=INK, linewidth=1.5, zorder=6))


def _pivots(axes: Axes, plan: ScrewPlan, words: Words) -> None:
    for x, y in plan.pivots:
        middle_x, middle_y = (_LEFT + _RIGHT) / 2, (_BOTTOM + _TOP) / 2
        at_x = middle_x + x * (_RIGHT - _LEFT) / 2
        at_y = middle_y + y * (_TOP - _BOTTOM) / 2
        if plan.screws:
            length = _RIGHT - _LEFT - 120
            axes.add_patch(
                Rectangle((middle_x - length / 2, at_y - 9), length, 18, facecolor="white", edgecolor=INK, hatch="///")
            )
            axes.text(
                at_x, at_y - 30, words.say("screw_sketch.hinge"), ha="center", va="center", fontsize=SMALL, color=INK
            )
        else:
            axes.add_patch(Circle((at_x, at_y), 26, facecolor="white", edgecolor=INK, linewidth=1.5, hatch="///"))
            axes.text(
                at_x, at_y + 44, words.say("screw_sketch.ball"), ha="center", va="center", fontsize=SMALL, color=INK
            )


def _now_and_then(axes: Axes, plan: ScrewPlan, geometry: Geometry, words: Words) -> None:
    """Write in the middle what the corners differ by now and what they should differ by after."""
    if plan.rounds == 0:
        return
    now = words.say("screw_sketch.now", spread=geometry.spread.value)
    then = words.say("screw_sketch.then", spread=plan.after.spread)
    middle_x, middle_y = (_LEFT + _RIGHT) / 2, (_BOTTOM + _TOP) / 2
    for shift, line in ((15, now), (-15, then)):
        axes.text(middle_x, middle_y + shift, line, ha="center", va="center", fontsize=SMALL, color=INK)


def _margins(axes: Axes, plan: ScrewPlan, words: Words) -> None:
    centre = WIDTH_PX / 2
    title, back, front = (words.say(f"screw_sketch.{key}") for key in ("title", "back", "front"))
    axes.text(centre, HEIGHT_PX - 22, title, ha="center", va="center", fontsize=LARGE, color=INK)
    axes.text(centre, HEIGHT_PX - 50, back, ha="center", va="center", fontsize=SMALL, color=INK)
    axes.add_patch(Rectangle((_LEFT, 104), _RIGHT - _LEFT, 32, facecolor=INK))
    axes.text(centre, 119, front, ha="center", va="center", fontsize=MIDDLE, weight="bold", color=PAPER)
    for x, direction in ((44.0, "up"), (384.0, "down")):
        _arrow(axes, x, 74, "up" if direction == "up" else "down", 0.5)
        key = words.say(f"screw_sketch.key_{direction}")
        axes.text(x + 22, 73, key, ha="left", va="center", fontsize=SMALL, color=INK)
    order = "no_order" if not plan.screws else "order_rounds" if plan.rounds > 1 else "order"
    line = words.say(f"screw_sketch.{order}", rounds=plan.rounds)
    axes.text(centre, 28, line, ha="center", va="center", fontsize=SMALL, color=INK)
