"""From a tilt to turns: Geometry and the machine's adjusters in, a ScrewPlan or the reason for none out.

Only the tilt is levelled. The height is set with the start of the print, the crown cannot be turned out, and the twist
is left alone: a flat plate cannot twist, so it is either a reading or a bend, and screws that follow it bend the plate.
This file must never know which way a screw turns: machines differ, so it says how the corner moves.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from core.geometry.least_squares import Array
from core.geometry.model import Geometry, TooFew
from core.geometry.screw_plan import After, Assumed, CornerMotion, Direction, NoPlan, ScrewMove, ScrewPlan
from core.geometry.threads import Thread, read_thread
from core.knowledge.schema import Adjuster, Knowledge
from core.report import CORNERS, Machine, Position

HALF_STEP_MM = 0.005
"""Half a step of the caliper: less than this is no motion."""
_SAME = 9
"""Decimals to which two ways of rounding count as equally good."""

Point = tuple[float, float]
Plane = tuple[float, float, float]
"""Motion (mm) at the middle, and its growth from the middle to the coupons in x and in y."""


def plan_turns(
    geometry: Geometry | TooFew,
    machine: Machine,
    knowledge: Knowledge,
    *,
    coupon_span_mm: Point | None = None,
) -> ScrewPlan | NoPlan:
    """Work out how each corner must move and how far each screw turns.

    The plate is rigid, so the motions of all its points lie on a plane; the one is taken that leaves the least tilt and
    keeps the middle where it is (which is the least motion of the screws, where they stand evenly about it). Where a
    hinge keeps some points in place, it keeps those instead, and what the hinge prevents is left over and said. Heights
    are linear in places on a rigid plate at any angle; only a coupon, measured square to the plate, is thinner than the
    gap it stood in, by less than 0.2 µm where a plate of 40 mm is tilted by 0.6 mm.

    Screws stand where the knowledge says; coupons where ``_coupon_shares`` says. Only the ratio of the two enters.

    Args:
        geometry: What the coupons tell.
        machine: Adjusters and thread, and the plate's size in mm where known.
        knowledge: Layouts, pitches and norms.
        coupon_span_mm: How far apart the corner coupons stood, left to right and front to back, where that is known; it
            counts only beside the plate's size.

    Returns:
        ``NoPlan`` where turning would be for nothing or do harm. Without a known thread the plan has motions and no
        turns; without known adjusters, or with a ball joint, it has the corners' motions and no screws.
    """
    if isinstance(geometry, TooFew):
        return NoPlan(code="too_few_readings", values={"places": tuple(place.value for place in geometry.missing)})
    refused = _refuse(geometry, knowledge)
    if refused:
        return refused
    kind = knowledge.adjusters.get(machine.adjusters)
    shares = _coupon_shares(machine, knowledge, coupon_span_mm)

    def at_coupons(point: Point) -> Point:
        return point[0] / shares[0], point[1] / shares[1]

    names = tuple(kind.screws) if kind else ()
    plate = _Held(
        screws=tuple(at_coupons(kind.screws[name]) for name in names) if kind else (),
        pivots=tuple(at_coupons(pivot) for pivot in kind.pivots) if kind else (),
    )
    wanted = _wanted_plane(geometry, plate.pivots)
    motions = tuple(_height(wanted, point) for point in plate.screws)
    thread = read_thread(machine.screw_thread, knowledge) if names else None
    per_turn = round(knowledge.norm("turn_steps_per_turn"))
    steps = _round_steps(motions, thread.pitch_mm / per_turn, wanted, plate) if thread else ()
    rounds = _count_rounds(steps, per_turn * knowledge.norm("turn_most_per_round"))
    made = _made_plane([thread.pitch_mm / per_turn * step for step in steps], plate) if thread else (*wanted, 0.0)
    moves = tuple(
        _move(name, kind.screws[name], motion, thread, steps[at] if thread else None, rounds)
        for at, (name, motion) in enumerate(zip(names, motions, strict=True))
        if kind
    )
    return ScrewPlan(
        adjusters=machine.adjusters,
        guide=kind.guide if kind else None,
        thread=thread,
        corners=tuple(_corner(corner, wanted) for corner in CORNERS),
        screws=order_moves(moves),
        pivots=kind.pivots if kind else (),
        rounds=rounds,
        steps_per_turn=per_turn,
        spread=geometry.spread.value,
        twist_left=geometry.contrasts.twist,
        after=_after(geometry, wanted, made),
        estimated=geometry.missing if geometry.missing in CORNERS else None,
        assumed=_assumed(kind, shares, knowledge) if kind and names else None,
    )


@dataclass(frozen=True, slots=True)
class _Held:
    """Where a plate is held, in units of the coupons' distance from the middle."""

    screws: tuple[Point, ...]
    pivots: tuple[Point, ...]

    @property
    def design(self) -> Array:
        """Rows that give the motion of each screw, then of each pivot, from a plane."""
        return np.array([(1.0, x, y) for x, y in (*self.screws, *self.pivots)])


def _refuse(geometry: Geometry, knowledge: Knowledge) -> NoPlan | None:
    spread = geometry.spread.value
    if geometry.suspect:
        suspect = geometry.suspect
        return NoPlan(
            code="doubtful_repeats" if suspect.reason == "scatter" else "doubtful_reading",
            values={"place": suspect.position.value, "would_be": suspect.would_be},
        )
    if spread > knowledge.norm("levelling_most_mm"):
        return NoPlan(code="beyond_levelling", values={"spread": spread})
    if geometry.band == "good":
        return NoPlan(code="level_enough", values={"spread": spread})
    if all(tilt.low <= 0 <= tilt.high for tilt in (geometry.tilt_x, geometry.tilt_y)):
        return NoPlan(code="no_tilt", values={"spread": spread})
    return None


def _coupon_shares(machine: Machine, knowledge: Knowledge, span: Point | None) -> tuple[float, float, bool]:
    """Return where corner coupons stand in x and y, as shares of half the plate, and whether its size told so.

    With the plate's size known, by the coupons' span or else a stated inset from the edge; a stated share without it.
    Turns are in inverse proportion to these shares.
    """
    usual = knowledge.norm("coupon_share_of_half")
    width, depth = machine.plate_width_mm, machine.plate_depth_mm
    if not (width and depth):
        return usual, usual, False
    if span:
        return span[0] / width, span[1] / depth, True
    inset, least = knowledge.norm("coupon_edge_inset_mm"), knowledge.norm("coupon_share_least")
    return max(1 - 2 * inset / width, least), max(1 - 2 * inset / depth, least), True


def _wanted_plane(geometry: Geometry, pivots: Sequence[Point]) -> Plane:
    """Return the motion that leaves the least tilt while the pivots, or else the middle, stay where they are."""
    fixed = np.array([(1.0, x, y) for x, y in pivots or ((0.0, 0.0),)])
    _, sizes, directions = np.linalg.svd(fixed)
    free = directions[int(np.count_nonzero(sizes > HALF_STEP_MM)) :].T
    against = -np.array([geometry.contrasts.tilt_x, geometry.contrasts.tilt_y])
    plane = free @ np.linalg.lstsq(free[1:], against)[0]
    return float(plane[0]), float(plane[1]), float(plane[2])


def _height(plane: Plane, point: Point) -> float:
    return plane[0] + plane[1] * point[0] + plane[2] * point[1]


def _made_plane(motions: Sequence[float], plate: _Held) -> tuple[float, float, float, float]:
    """Return the plane that a rigid plate takes when its screws move so, and how far they are from lying on one."""
    design = plate.design
    told = np.array([*motions, *(0.0 for _ in plate.pivots)])
    plane = np.linalg.pinv(design) @ told
    bend = float(np.sqrt(np.mean((design @ plane - told) ** 2)))
    return float(plane[0]), float(plane[1]), float(plane[2]), bend


def _round_steps(motions: Sequence[float], step_mm: float, wanted: Plane, plate: _Held) -> tuple[int, ...]:
    """Return whole steps near the wanted motions: such as bend and lift nothing, and of these the most level.

    Rounding each screw by itself would twist a plate on four screws by up to a step; so every way of rounding up or
    down is weighed, at most 2⁴ of them. Screws that stand opposite each other keep to the same sum, so that every
    round can be split likewise without a twist.
    """
    exact = [motion / step_mm for motion in motions]
    opposite = [
        (one, other)
        for one, other in itertools.combinations(range(len(exact)), 2)
        if plate.screws[one] == (-plate.screws[other][0], -plate.screws[other][1])
    ]
    choices = itertools.product(*((math.floor(value), math.ceil(value)) for value in exact))

    def how_bad(steps: tuple[int, ...]) -> tuple[float, ...]:
        middle, along_x, along_y, bend = _made_plane([step_mm * step for step in steps], plate)
        off = [step - value for step, value in zip(steps, exact, strict=True)]
        lift = sum(abs(off[one] + off[other]) for one, other in opposite)
        tilt = abs(along_x - wanted[1]) + abs(along_y - wanted[2])
        return tuple(round(badness, _SAME) for badness in (bend, lift, tilt, abs(middle - wanted[0]), math.hypot(*off)))

    return min(dict.fromkeys(choices), key=how_bad)


def _count_rounds(steps: Sequence[int], most: float) -> int:
    return max((math.ceil(abs(step) / most) for step in steps), default=0)


def _share_out(steps: int, rounds: int) -> tuple[int, ...]:
    """Split steps over rounds as evenly as whole steps allow; a motion and its opposite are split alike."""
    reached = [round(Fraction(steps * done, rounds)) for done in range(rounds + 1)]
    return tuple(after - before for before, after in itertools.pairwise(reached))


def _direction(motion: float) -> Direction:
    if abs(motion) < HALF_STEP_MM:
        return "stay"
    return "up" if motion > 0 else "down"


def _corner(corner: Position, plane: Plane) -> CornerMotion:
    motion = _height(plane, (corner.x, corner.y))
    return CornerMotion(corner, motion, _direction(motion))


def _move(name: str, point: Point, motion: float, thread: Thread | None, steps: int | None, rounds: int) -> ScrewMove:
    return ScrewMove(
        name=name,
        x=point[0],
        y=point[1],
        motion=motion,
        direction=_direction(motion) if steps != 0 else "stay",
        turns=abs(motion) / thread.pitch_mm if thread else None,
        steps=steps,
        rounds=_share_out(steps, rounds) if steps is not None else (),
    )


def order_moves(moves: Sequence[ScrewMove]) -> tuple[ScrewMove, ...]:
    """Put the furthest first, each beside the screw opposite; of two, the one that goes up first, off the film."""

    def pair(move: ScrewMove) -> tuple[Point, ...]:
        return tuple(sorted(((move.x, move.y), (-move.x, -move.y))))

    furthest: dict[tuple[Point, ...], float] = {}
    for move in moves:
        furthest[pair(move)] = max(furthest.get(pair(move), 0.0), round(abs(move.motion), _SAME))
    return tuple(sorted(moves, key=lambda move: (-furthest[pair(move)], pair(move), -move.motion)))


def _after(geometry: Geometry, wanted: Plane, made: tuple[float, float, float, float]) -> After:
    plane: Plane = made[:3]
    c = geometry.contrasts
    left = 2 * (abs(c.tilt_x + wanted[1]) + abs(c.tilt_y + wanted[2]))
    corners = [geometry.errors[corner] + _height(plane, (corner.x, corner.y)) for corner in CORNERS]
    return After(
        tilt_x=c.tilt_x + plane[1],
        tilt_y=c.tilt_y + plane[2],
        spread=max(corners) - min(corners),
        tilt_left=left,
        middle=plane[0],
        bend=made[3],
    )


def _assumed(kind: Adjuster, shares: tuple[float, float, bool], knowledge: Knowledge) -> Assumed:
    reach = max(abs(place) for point in kind.screws.values() for place in point)
    closer = knowledge.norm("screw_share_doubt")
    return Assumed(
        coupon_x=shares[0],
        coupon_y=shares[1],
        from_plate_size=shares[2],
        screw_share=reach,
        closer_share=closer,
        closer_factor=closer / reach,
    )
