"""How to level: the plate from above with its screws, numbered in the order of an example; a ball joint from the side.

In: where a kind of plate is adjusted, and words. Out: a Picture with alt text, out of scale. This file must never know
a person's readings.
"""

from matplotlib.axes import Axes
from matplotlib.patches import Circle, Rectangle

from core.card import Picture
from core.geometry.screw_plan import ScrewMove
from core.geometry.screws import order_moves
from core.knowledge.schema import Adjuster
from core.pictures.guide_sketches.ball_joint import draw_ball_joint
from core.pictures.guide_sketches.sheet import (
    CENTRE,
    EDGE,
    LARGE,
    METAL,
    MIDDLE,
    SMALL,
    Point,
    draw_box,
    draw_front,
    draw_number,
    draw_way,
    open_sheet,
    picture,
    write,
)
from core.pictures.palette import FRAME, INK
from core.words import Words

_LEFT, _RIGHT, _BOTTOM, _TOP = 40.0, 680.0, 246.0, 690.0
"""The plate's edges, px from the lower left."""
_SIGN = (216.0, 104.0)
_FALL = (-2.0, -0.5)
"""How far the plate must go up per half plate to the right and to the back in the example; only ways and order show."""


def draw_levelling(adjusters: Adjuster, words: Words) -> Picture:
    """Draw how a plate with these adjusters is levelled."""
    if not adjusters.screws:
        return draw_ball_joint(words)
    moves = _example(adjusters)
    axes, figure = open_sheet(790)
    write(axes, CENTRE, 764, words.say("levelling_sketch.title"), LARGE)
    write(axes, CENTRE, 718, words.say("levelling_sketch.back"), SMALL)
    axes.add_patch(
        Rectangle((_LEFT, _BOTTOM), _RIGHT - _LEFT, _TOP - _BOTTOM, facecolor=METAL, edgecolor=FRAME, linewidth=2)
    )
    draw_front(axes, _LEFT, _RIGHT, _BOTTOM - 6, words.say("levelling_sketch.front"))
    for one, other in _diagonals(moves):
        axes.annotate(
            "",
            _spot(other.x, other.y),
            _spot(one.x, one.y),
            arrowprops={"arrowstyle": "-", "linestyle": (0, (6, 5)), "linewidth": 2, "color": INK, "shrinkA": 0},
            zorder=4,
        )
    if adjusters.pivots:
        _hinge(axes, adjusters.pivots[0], words)
    for number, move in enumerate(moves, 1):
        _screw(axes, number, move, words)
    first = words.say(f"screws.names.{moves[0].name}")
    lines = (
        words.say("levelling_sketch.example", name=first),
        words.say(f"levelling_sketch.{_how(adjusters)}"),
        words.say("levelling_sketch.share"),
        words.say("levelling_sketch.ways"),
    )
    for row, line in enumerate(lines):
        write(axes, CENTRE, 168 - row * 42, line, SMALL)
    return picture(figure, "levelling.png", _describe(adjusters, moves, words))


def _example(adjusters: Adjuster) -> tuple[ScrewMove, ...]:
    """Return an invented tilt's moves in the order to make them; what a hinge holds stays where it is."""
    fixed = adjusters.pivots[0] if adjusters.pivots else (0.0, 0.0)
    moves = []
    for name, (x, y) in adjusters.screws.items():
        motion = _FALL[0] * (x - fixed[0]) + _FALL[1] * (y - fixed[1])
        way = "up" if motion > 0 else "down"
        moves.append(
            ScrewMove(
                name=name,
                x=x,
                y=y,
                motion=motion,
                direction="up" if way == "up" else "down",
                turns=None,
                steps=None,
                rounds=(),
            )
        )
    return order_moves(moves)


def _how(adjusters: Adjuster) -> str:
    if adjusters.pivots:
        return "hinged"
    return "diagonals" if len(tuple(_diagonals(_example(adjusters)))) > 1 else "furthest"


def _diagonals(moves: tuple[ScrewMove, ...]) -> list[tuple[ScrewMove, ScrewMove]]:
    """Return the screws that stand opposite each other, in the order of work."""
    return [
        (one, other)
        for at, one in enumerate(moves)
        for other in moves[at + 1 :]
        if (one.x, one.y) == (-other.x, -other.y)
    ]


def _describe(adjusters: Adjuster, moves: tuple[ScrewMove, ...], words: Words) -> str:
    screws = [
        words.say(f"levelling_sketch.alt_{move.direction}", number=number, name=words.say(f"screws.names.{move.name}"))
        for number, move in enumerate(moves, 1)
    ]
    return words.say(
        "levelling_sketch.alt",
        hinge=words.say("levelling_sketch.alt_hinge") if adjusters.pivots else "",
        first=words.say(f"screws.names.{moves[0].name}"),
        screws=words.listed(screws),
        how=words.say(f"levelling_sketch.{_how(adjusters)}"),
        share=words.say("levelling_sketch.share"),
    )


def _spot(x: float, y: float) -> Point:
    """Return a place on the plate, px."""
    return (_LEFT + _RIGHT) / 2 + x * (_RIGHT - _LEFT) / 2, (_BOTTOM + _TOP) / 2 + y * (_TOP - _BOTTOM) / 2


def _screw(axes: Axes, number: int, move: ScrewMove, words: Words) -> None:
    """Draw a slotted screw head, and beside it, further in, its number, name and way."""
    x, y = _spot(move.x, move.y)
    axes.add_patch(Circle((x, y), 20, facecolor="white", edgecolor=INK, linewidth=2, zorder=5))
    axes.plot((x - 12, x + 12), (y - 7, y + 7), color=INK, linewidth=4, zorder=5)
    way_x, way_y = -(move.x > 0) + (move.x < 0), -(move.y > 0) + (move.y < 0)
    at_x = x + way_x * (_SIGN[0] / 2 + 12)
    at_y = y + way_y * (_SIGN[1] / 2 + 30)
    draw_box(axes, (at_x, at_y), _SIGN, fill="white" if move.direction == "up" else EDGE)
    draw_number(axes, at_x - _SIGN[0] / 2 + 8, at_y + _SIGN[1] / 2 - 8, number)
    draw_way(axes, at_x - 66, at_y - 8, move.direction)
    write(axes, at_x + 32, at_y + 22, words.say(f"screws.names.{move.name}"), SMALL)
    write(axes, at_x + 32, at_y - 18, words.say(f"levelling_sketch.{move.direction}"), MIDDLE, weight="bold")


def _hinge(axes: Axes, place: Point, words: Words) -> None:
    x, y = _spot(*place)
    half = (_RIGHT - _LEFT) / 2 - 50
    axes.add_patch(
        Rectangle((x - half, y - 11), 2 * half, 22, facecolor="white", edgecolor=INK, linewidth=1.5, hatch="///")
    )
    write(axes, x, y - 36, words.say("levelling_sketch.hinge"), SMALL)
