"""The values that levelling produces: how each corner must move and how far each screw turns, or why nothing is turned.

Lengths are mm. A motion is positive away from the film, which is up: the plate hangs over the film. Nothing here
computes.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from core.geometry.threads import Thread
from core.report import Position

Direction = Literal["up", "down", "stay"]
"""Up is away from the film, down is towards it."""

NoPlanCode = Literal[
    "too_few_readings",
    "doubtful_reading",
    "doubtful_repeats",
    "beyond_levelling",
    "level_enough",
    "no_tilt",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoPlan:
    """Why nothing should be turned now. ``code`` is a key under ``screws.refused`` in the words, ``values`` fill it."""

    code: NoPlanCode
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CornerMotion:
    """What a corner must do, where its coupon stood: its tilt's share alone, never the twist's."""

    position: Position
    motion: float
    direction: Direction


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewMove:
    """What one screw must do.

    Attributes:
        name: Of the place, a key under ``screws.names`` in the words.
        x, y: Where it stands, in halves of the plate.
        motion: Wanted where the screw stands, mm, positive away from the film.
        turns: Exact turns that make this motion, always positive; ``None`` where the thread is not known.
        steps: Turns as a hand can do them, in signed steps of a turn, positive up; ``None`` likewise.
        rounds: The steps of each round; they sum to ``steps``.
    """

    name: str
    x: float
    y: float
    motion: float
    direction: Direction
    turns: float | None
    steps: int | None
    rounds: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """What the coupons should show after the turns as they are rounded.

    Attributes:
        tilt_x, tilt_y: As in Contrasts, mm.
        spread: Highest minus lowest corner, with the twist that stays, mm.
        tilt_left: Fall of the plane that these adjusters cannot take away, 2(|tilt_x| + |tilt_y|) of it, mm.
        middle: How far the middle has moved, mm, positive away from the film.
        bend: How far the rounded turns are from moving the plate as a whole, root mean square over screws, mm.
    """

    tilt_x: float
    tilt_y: float
    spread: float
    tilt_left: float
    middle: float
    bend: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """What was taken for granted about places, and what hangs on it.

    Attributes:
        coupon_x, coupon_y: Where corner coupons stand, share of the way from the middle to the edge.
        from_plate_size: Whether these come from the plate's size; else they are the usual ones.
        screw_share: Where screws stand, likewise.
        closer_share: Where they might stand instead.
        closer_factor: By what factor every turn is then smaller.
    """

    coupon_x: float
    coupon_y: float
    from_plate_size: bool
    screw_share: float
    closer_share: float
    closer_factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrewPlan:
    """How to level the plate.

    Attributes:
        adjusters: As in Machine.
        guide: The guide that goes with them; ``None`` where nothing is known to turn.
        corners: In the order of ``CORNERS``.
        screws: In the order in which to turn them; empty where corners can only be moved as a whole.
        pivots: Points that stay where they are, in halves of the plate.
        rounds: Number of rounds; 0 without a known thread or without screws.
        steps_per_turn: Steps that a hand can tell apart in one turn.
        spread: Highest minus lowest corner now.
        twist_left: Twist that no screw is asked to take, signed as in Contrasts.
        estimated: The corner that is known only from the others, if any.
        assumed: ``None`` where there are no screws.
    """

    adjusters: str
    guide: str | None
    thread: Thread | None
    corners: tuple[CornerMotion, ...]
    screws: tuple[ScrewMove, ...]
    pivots: tuple[tuple[float, float], ...]
    rounds: int
    steps_per_turn: int
    spread: float
    twist_left: float
    after: After
    estimated: Position | None
    assumed: Assumed | None
