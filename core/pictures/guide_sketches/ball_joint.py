"""A ball joint from the side: first loose, so that the plate lies down on the paper, then locked with the plate held.

In: words. Out: a Picture with alt text, out of scale. This file must never know a reading.
"""

import math

from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.transforms import Affine2D

from core.card import Picture
from core.pictures.guide_sketches.sheet import (
    CENTRE,
    EDGE,
    LARGE,
    LIGHT,
    METAL,
    MIDDLE,
    SMALL,
    draw_number,
    draw_pointer,
    draw_pull,
    open_sheet,
    picture,
    write,
)
from core.pictures.palette import INK
from core.words import Words

_LEFT, _RIGHT = 130.0, 590.0
_THICK = 44.0
_LEAN = 5.5
"""How far the loose plate is drawn out of level, degrees; far more than any plate."""


def draw_ball_joint(words: Words) -> Picture:
    """Draw the two stages, one under the other."""
    axes, figure = open_sheet(920)
    write(axes, CENTRE, 894, words.say("ball_sketch.title"), LARGE)
    _stage(axes, 500, 1, words)
    _stage(axes, 96, 2, words)
    write(axes, CENTRE, 32, words.say("ball_sketch.after"), SMALL)
    return picture(figure, "ball-joint.png", words.say("ball_sketch.alt"))


def _stage(axes: Axes, bottom: float, number: int, words: Words) -> None:
    """Draw screen, paper, plate and joint; in the first stage the plate leans still."""
    loose = number == 1
    draw_number(axes, 50, bottom + 344, number)
    write(axes, 84, bottom + 343, words.say(f"ball_sketch.{number}"), MIDDLE, weight="bold", align="left")
    write(axes, 84, bottom + 310, words.say(f"ball_sketch.{number}_how"), SMALL, align="left")
    axes.add_patch(
        Rectangle((_LEFT - 60, bottom), _RIGHT - _LEFT + 120, 46, facecolor="white", edgecolor=INK, linewidth=2)
    )
    write(axes, CENTRE, bottom + 22, words.say("ball_sketch.screen"), MIDDLE)
    paper = bottom + 54
    axes.add_patch(
        Rectangle((_LEFT - 30, paper - 5), _RIGHT - _LEFT + 60, 10, facecolor=LIGHT, edgecolor=INK, linewidth=1.5)
    )
    # A leaning plate rests on one edge, so its middle is that much higher.
    rest = paper + 7 + (math.sin(math.radians(_LEAN)) * (_RIGHT - _LEFT) / 2 if loose else 0.0)
    ball = rest + _THICK + 44
    _joint(axes, ball)
    _plate(axes, rest, ball, _LEAN if loose else 0.0)
    write(axes, CENTRE, rest + _THICK / 2 - 1, words.say("ball_sketch.plate"), MIDDLE)
    write(axes, 200, ball + 62, words.say("ball_sketch.joint"), SMALL)
    draw_pointer(axes, (250, ball + 58), (CENTRE - 18, ball + 10))
    write(axes, 520, ball + 62, words.say("ball_sketch.lock"), SMALL)
    draw_pointer(axes, (490, ball + 56), (CENTRE + 74, ball + 17))
    if loose:
        write(axes, 640, rest + 44, words.say("ball_sketch.settles"), SMALL)
        draw_pull(axes, (_RIGHT - 16, rest + 18), (_RIGHT - 16, paper + 6))
        write(axes, 130, ball + 6, words.say("ball_sketch.paper"), SMALL)
        draw_pointer(axes, (84, ball - 12), (_LEFT - 18, paper + 1))
    else:
        for x, way in ((_LEFT, -1), (_RIGHT, 1)):
            draw_pull(axes, (x + way * 72, paper + 7 + _THICK / 2), (x + way * 4, paper + 7 + _THICK / 2))
            write(axes, (_LEFT + _RIGHT) / 2 + way * 270, rest + _THICK + 22, words.say("ball_sketch.hold"), SMALL)


def _joint(axes: Axes, ball: float) -> None:
    """Draw the arm, the socket cut open and the two lock screws."""
    axes.add_patch(Rectangle((CENTRE - 34, ball + 34), 68, 76, facecolor=METAL, edgecolor=INK, linewidth=2, zorder=3))
    socket = [(-52, 40), (52, 40), (52, -8), (30, -8), (30, 6), (-30, 6), (-30, -8), (-52, -8)]
    outline = [(CENTRE + x, ball + y) for x, y in socket]
    axes.add_patch(Polygon(outline, closed=True, facecolor=EDGE, edgecolor=INK, linewidth=2, zorder=3))
    axes.add_patch(Circle((CENTRE, ball), 29, facecolor="white", edgecolor=INK, linewidth=2, zorder=4))
    for way in (-1, 1):
        axes.add_patch(
            Rectangle(
                (CENTRE + (52 if way > 0 else -82), ball + 8), 30, 18, facecolor="white", edgecolor=INK, lw=2, zorder=3
            )
        )


def _plate(axes: Axes, bottom: float, ball: float, lean: float) -> None:
    """Draw the plate with its stem, turned about the ball and resting on the paper."""
    turned = Affine2D().rotate_deg_around(CENTRE, ball, lean)
    plate = [(_LEFT, bottom), (_RIGHT, bottom), (_RIGHT, bottom + _THICK), (_LEFT, bottom + _THICK)]
    stem = [(CENTRE - 14, bottom + _THICK), (CENTRE + 14, bottom + _THICK), (CENTRE + 14, ball), (CENTRE - 14, ball)]
    for outline, order in ((stem, 3), (plate, 4)):
        points = turned.transform(outline)
        axes.add_patch(Polygon(points, closed=True, facecolor=METAL, edgecolor=INK, linewidth=2, zorder=order))
