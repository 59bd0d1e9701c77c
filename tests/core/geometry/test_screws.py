"""Levelling: the advised turns, done on a rigid plate in space and measured again, leave it parallel."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.geometry import TooFew, measure
from core.geometry.screw_plan import NoPlan, ScrewPlan
from core.geometry.screws import plan_turns
from core.knowledge import load_knowledge
from core.knowledge.schema import Adjuster
from core.report import CORNERS, POSITIONS, Machine, Position, Readings

KNOWLEDGE = load_knowledge()
DRAWS = 400
MOST = KNOWLEDGE.norm("turn_most_per_round") * KNOWLEDGE.norm("turn_steps_per_turn")
THREADS = ("M3", "M4", "M5", "M6", "M4x0.5", "M3x0.35")


def read(five, nominal=1.0):
    """Measure five coupons in the stated order: a value, or a tuple of repeats."""
    given_five = [value if isinstance(value, tuple) else (float(value),) for value in five]
    coupons = {place.value: repeats for place, repeats in zip(POSITIONS, given_five, strict=True)}
    return measure(Readings(nominal_mm=nominal, **coupons), KNOWLEDGE, draws=DRAWS)


def plan(five, **machine) -> ScrewPlan | NoPlan:
    return plan_turns(read(five), Machine(**machine), KNOWLEDGE)


TILTED = (0.80, 1.20, 0.84, 1.22, 1.0)
"""Left is close, right is far."""


# ---- the plate in space, judged by exact rotations -----------------------------------------------------


def coupon_spots(width, depth):
    """Coupons stand 11 mm inside the edges (a norm), but never closer to the middle than half-way; mm."""
    x, y = max(width / 2 - 11, width / 4), max(depth / 2 - 11, depth / 4)
    return np.array([(place.x * x, place.y * y, 0.0) for place in POSITIONS])


def frame(normal):
    """Axes of a plate with this normal, as columns: rotated as a rigid body, not sheared."""
    normal = normal / np.linalg.norm(normal)
    along = np.array([1.0, 0.0, 0.0]) - normal[0] * normal
    along /= np.linalg.norm(along)
    return np.column_stack((along, np.cross(normal, along), normal))


def thicknesses(axes, middle, spots):
    """How thick each coupon is cured: from the plate, square to it, down to the film at height 0."""
    return (spots @ axes.T + middle)[:, 2] / axes[2, 2]


def turn(axes, middle, screws, motions):
    """Move each screw's point straight up or down, and return the rigid plate that then hangs on them."""
    there = screws @ axes.T + middle
    there[:, 2] += motions
    design = np.column_stack((np.ones(len(there)), there[:, :2]))
    height, by_x, by_y = np.linalg.lstsq(design, there[:, 2])[0]
    assert design @ (height, by_x, by_y) == pytest.approx(there[:, 2], abs=2e-4)
    return frame(np.array([-by_x, -by_y, 1.0])), np.array([0.0, 0.0, height])


@settings(max_examples=150, deadline=None)
@given(
    fall_x=st.one_of(st.floats(-0.6, -0.35), st.floats(0.35, 0.6)),
    fall_y=st.floats(-0.6, 0.6),
    width=st.floats(60, 320),
    depth=st.floats(40, 200),
    thread=st.sampled_from(THREADS),
    adjusters=st.sampled_from(["four_screws", "three_screws", "two_screws"]),
)
def test_the_advised_turns_leave_the_plate_parallel(fall_x, fall_y, width, depth, thread, adjusters):
    """Falls are over the whole plate, up to 0.6 mm each way; what is left is what rounding the turns leaves."""
    spots = coupon_spots(width, depth)
    axes, middle = frame(np.array([-fall_x / width, -fall_y / depth, 1.0])), np.array([0.0, 0.0, 1.0])
    before = read(thicknesses(axes, middle, spots))
    advised = plan_turns(
        before,
        Machine(adjusters=adjusters, screw_thread=thread, plate_width_mm=width, plate_depth_mm=depth),
        KNOWLEDGE,
    )
    assert isinstance(advised, ScrewPlan)
    layout = KNOWLEDGE.adjusters[adjusters]
    step_mm = advised.thread.pitch_mm / advised.steps_per_turn
    turned = {move.name: step_mm * move.steps for move in advised.screws}
    points = [(*layout.screws[name], 0.0) for name in turned] + [(*pivot, 0.0) for pivot in layout.pivots]
    motions = [*turned.values(), *(0.0 for _ in layout.pivots)]
    axes, middle = turn(axes, middle, np.array(points) * (width / 2, depth / 2, 1.0), motions)
    again = thicknesses(axes, middle, spots)
    left = again[:4].max() - again[:4].min()
    # Half a step at each screw: one step between the corners of four screws, about two where three points hold it.
    assert left <= (1.05 if adjusters == "four_screws" else 2.2) * step_mm + 5e-4
    assert left == pytest.approx(advised.after.spread, abs=5e-4)
    front_left, front_right, back_left, back_right, centre = again
    tilt_x = (front_right + back_right - front_left - back_left) / 4
    tilt_y = (back_left + back_right - front_left - front_right) / 4
    assert (tilt_x, tilt_y) == (
        pytest.approx(advised.after.tilt_x, abs=5e-4),
        pytest.approx(advised.after.tilt_y, abs=5e-4),
    )
    assert centre - 1.0 == pytest.approx(advised.after.middle, abs=5e-4)
    assert all(abs(share) <= MOST for move in advised.screws for share in move.rounds)
    assert all(sum(move.rounds) == move.steps for move in advised.screws)


# ---- four screws ---------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(
    tilt_x=st.one_of(st.floats(-0.35, -0.12), st.floats(0.12, 0.35)),
    tilt_y=st.floats(-0.3, 0.3),
    twist=st.floats(-0.015, 0.015),
    offset=st.floats(-0.2, 0.3),
    thread=st.sampled_from(THREADS),
)
def test_four_screws_are_never_asked_to_twist_or_lift_the_plate(tilt_x, tilt_y, twist, offset, thread):
    """Whatever the readings, and in every round: opposite screws move by the same amount in opposite directions."""
    corners = [1 + offset + tilt_x * p.x + tilt_y * p.y + twist * p.x * p.y for p in CORNERS]
    advised = plan((*corners, 1 + offset), adjusters="four_screws", screw_thread=thread)
    assert isinstance(advised, ScrewPlan)
    moves = {move.name: move for move in advised.screws}
    for one, other in (("front_left", "back_right"), ("front_right", "back_left")):
        assert moves[one].motion == pytest.approx(-moves[other].motion, abs=1e-12)
        assert moves[one].steps == -moves[other].steps
        assert moves[one].rounds == tuple(-steps for steps in moves[other].rounds)
    assert advised.after.bend == pytest.approx(0, abs=1e-12)


def test_four_screws_take_the_least_motion_that_levels():
    """Oracle: the least-norm solution for no lift, no tilt left and whatever twist; it has no twist of its own."""
    advised = plan(TILTED, adjusters="four_screws")
    geometry = read(TILTED)
    ratio = 0.9 / 0.8
    spots = np.array([(place.x * ratio, place.y * ratio) for place in CORNERS])
    to_plane = np.linalg.pinv(np.column_stack((np.ones(4), spots)))
    least = np.linalg.pinv(to_plane) @ (0.0, -geometry.tilt_x.value, -geometry.tilt_y.value)
    moves = {move.name: move.motion for move in advised.screws}
    assert [moves[place.value] for place in CORNERS] == pytest.approx(least.tolist(), abs=1e-12)
    assert (-1, 1, 1, -1) @ least == pytest.approx(0, abs=1e-12)


def test_the_twist_is_told_and_stays():
    advised = plan((0.80, 1.20, 0.84, 1.20, 1.0), adjusters="four_screws", screw_thread="M4")
    assert advised.twist_left == pytest.approx((0.80 + 1.20 - 1.20 - 0.84) / 4)
    assert advised.after.spread >= 2 * abs(advised.twist_left) - 1e-9


# ---- directions, order, rounds ---------------------------------------------------------------------------


def test_a_close_corner_goes_up_and_a_far_corner_goes_down():
    """A thin coupon means that the plate was too close there: it must go away from the film, which is up."""
    for adjusters in ("four_screws", "three_screws", "two_screws", "ball_joint", "none", "unknown"):
        advised = plan(TILTED, adjusters=adjusters)
        ways = {corner.position: corner.direction for corner in advised.corners}
        assert ways[Position.FRONT_LEFT] == ways[Position.BACK_LEFT] == "up"
        assert ways[Position.FRONT_RIGHT] == ways[Position.BACK_RIGHT] == "down"


def test_a_motion_is_told_from_half_a_caliper_step_on():
    """Falls from the front left to the back right: the other two move by 0.110 - 0.100 mm, or by 0.110 - 0.108."""
    told = plan((0.79, 1.01, 0.99, 1.21, 1.0)).corners
    assert [corner.direction for corner in told] == ["up", "down", "up", "down"]
    still = plan((0.782, 1.002, 0.998, 1.218, 1.0)).corners
    assert [corner.direction for corner in still] == ["up", "stay", "stay", "down"]


def test_turns_by_hand():
    """Left 0.2 mm close, right 0.2 far, screws at 0.9 and coupons at 0.8: 0.2·0.9/0.8 = 0.225 mm, over 0.7 a turn."""
    advised = plan((0.8, 1.2, 0.8, 1.2, 1.0), adjusters="four_screws", screw_thread="M4")
    for move in advised.screws:
        assert abs(move.motion) == pytest.approx(0.225)
        assert move.turns == pytest.approx(0.225 / 0.7)
        assert abs(move.steps) == 4
    assert advised.after.spread == pytest.approx(abs(0.4 - 2 * (4 / 12 * 0.7) * 0.8 / 0.9))


@pytest.mark.parametrize("adjusters", ["four_screws", "three_screws", "two_screws", "ball_joint", "unknown"])
def test_a_mirrored_plate_gives_the_mirrored_plan(adjusters):
    fl, fr, bl, br, centre = TILTED
    machine = {"adjusters": adjusters, "screw_thread": "M4"}
    one, other = plan(TILTED, **machine), plan((fr, fl, br, bl, centre), **machine)

    def mirror(name):
        return name.replace("left", "*").replace("right", "left").replace("*", "right")

    assert {mirror(move.name): (move.steps, move.rounds) for move in one.screws} == {
        move.name: (move.steps, move.rounds) for move in other.screws
    }
    assert {mirror(corner.position.value): corner.motion for corner in one.corners} == pytest.approx(
        {corner.position.value: corner.motion for corner in other.corners}
    )
    assert [mirror(move.name) for move in one.screws] == [move.name for move in other.screws]


def test_the_furthest_pair_comes_first_and_in_it_the_corner_that_goes_up():
    advised = plan((0.8, 1.2, 0.84, 1.24, 1.02), adjusters="four_screws", screw_thread="M4")
    assert [move.name for move in advised.screws] == ["front_left", "back_right", "back_left", "front_right"]
    assert [move.direction for move in advised.screws] == ["up", "down", "up", "down"]


def test_a_long_way_is_split_into_rounds():
    """1.2 mm between the sides on M3: 0.6·0.9/0.8/0.5 = 1.35 turns, so three rounds of at most half a turn."""
    advised = plan((0.4, 1.6, 0.4, 1.6, 1.0), adjusters="four_screws", screw_thread="M3")
    assert advised.rounds == 3
    for move in advised.screws:
        assert abs(move.steps) == 16
        assert sorted(map(abs, move.rounds)) == [5, 5, 6]


# ---- other plates ----------------------------------------------------------------------------------------


def test_a_hinge_at_the_back_keeps_its_middle_and_says_how_the_plates_middle_moves():
    advised = plan((0.8, 0.8, 1.2, 1.2, 1.0), adjusters="two_screws", screw_thread="M4")
    assert all(move.direction == "up" for move in advised.screws)
    # Level at the height of the hinge: the back is 0.2·0.9/0.8 too far and stays so, hence the middle follows it up.
    assert advised.screws[0].motion == pytest.approx(2 * 0.225)
    assert advised.after.middle == pytest.approx(0.225, abs=0.03)


def test_a_stiff_hinge_leaves_the_tilt_along_it():
    """Two pivots leave one way to turn: what falls along the hinge stays, and is told."""
    stiff = Adjuster(
        screws={"front_left": (-0.9, -0.9), "front_right": (0.9, -0.9)},
        pivots=((-0.9, 0.9), (0.9, 0.9)),
        guide="level_two_screws",
        source="common_practice",
    )
    knowledge = replace(KNOWLEDGE, adjusters={"two_screws": stiff})
    geometry = read((0.8, 1.0, 1.0, 1.2, 1.0))
    advised = plan_turns(geometry, Machine(adjusters="two_screws", screw_thread="M4"), knowledge)
    left, right = advised.screws
    assert left.motion == pytest.approx(right.motion)
    assert advised.after.tilt_left == pytest.approx(2 * abs(geometry.tilt_x.value))
    assert advised.after.tilt_x == pytest.approx(geometry.tilt_x.value)
    assert abs(advised.after.tilt_y) < 0.03


@pytest.mark.parametrize("adjusters", ["ball_joint", "none", "unknown"])
def test_without_screws_there_are_corner_motions_only(adjusters):
    advised = plan(TILTED, adjusters=adjusters, screw_thread="M4")
    assert advised.screws == ()
    assert (advised.thread, advised.assumed, advised.rounds) == (None, None, 0)
    assert sum(corner.motion for corner in advised.corners) == pytest.approx(0)
    assert advised.corners[0].motion == pytest.approx(0.21)
    assert advised.after.spread < 0.02


def test_without_a_thread_there_are_motions_and_no_turns():
    advised = plan(TILTED, adjusters="four_screws")
    assert [(move.turns, move.steps, move.rounds) for move in advised.screws] == [(None, None, ())] * 4
    assert all(move.direction != "stay" for move in advised.screws)


def test_turns_grow_as_coupons_stand_further_in():
    """A coupon 11 mm inside a small plate's edge sees less of the tilt than the screw must undo."""
    machine = {"adjusters": "four_screws", "screw_thread": "M4"}
    large = plan(TILTED, plate_width_mm=220, plate_depth_mm=220, **machine)
    small = plan(TILTED, plate_width_mm=55, plate_depth_mm=55, **machine)
    assert (large.assumed.coupon_x, small.assumed.coupon_x) == (pytest.approx(0.9), pytest.approx(0.6))
    assert small.screws[0].motion == pytest.approx(large.screws[0].motion * 0.9 / 0.6)
    assert large.assumed.from_plate_size
    assert plan(TILTED, **machine).assumed.coupon_x == 0.8
    assert large.assumed.closer_factor == pytest.approx(0.5 / 0.9)


def test_a_known_span_of_the_coupons_counts_before_the_usual_inset():
    machine = Machine(adjusters="four_screws", screw_thread="M4", plate_width_mm=200, plate_depth_mm=100)
    advised = plan_turns(read(TILTED), machine, KNOWLEDGE, coupon_span_mm=(160, 60))
    assert (advised.assumed.coupon_x, advised.assumed.coupon_y) == (pytest.approx(0.8), pytest.approx(0.6))
    unsized = plan_turns(read(TILTED), Machine(adjusters="four_screws"), KNOWLEDGE, coupon_span_mm=(160, 60))
    assert unsized.assumed.coupon_x == 0.8
    assert not unsized.assumed.from_plate_size


# ---- when nothing should be turned ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("five", "code"),
    [
        ((1.0, 1.02, 1.01, 1.03, 1.0), "level_enough"),
        ((0.8, 1.2, 1.2, 0.8, 1.0), "doubtful_reading"),
        ((0.8, 1.2, (0.8, 1.0, 0.9), 1.2, 1.0), "doubtful_repeats"),
        ((0.2, 2.0, 0.2, 2.0, 1.1), "beyond_levelling"),
    ],
)
def test_nothing_is_turned_on_a_doubtful_reading_or_for_nothing(five, code):
    refused = plan(five, adjusters="four_screws", screw_thread="M4")
    assert isinstance(refused, NoPlan)
    assert refused.code == code


def test_two_lost_coupons_refuse_and_name_them():
    too_few = measure(Readings(front_left=(1.0,), front_right=(1.1,), back_left=(1.3,)), KNOWLEDGE)
    assert isinstance(too_few, TooFew)
    refused = plan_turns(too_few, Machine(), KNOWLEDGE)
    assert refused == NoPlan(code="too_few_readings", values={"places": ("back_right", "centre")})


def test_a_spread_that_does_not_lean_turns_nothing():
    """The intervals of both tilts hold zero: nothing says which way to turn."""
    geometry = read(TILTED)
    flat = replace(geometry.tilt_x, value=0.0, low=-0.02, high=0.02)
    refused = plan_turns(replace(geometry, tilt_x=flat, tilt_y=flat), Machine(), KNOWLEDGE)
    assert refused.code == "no_tilt"


def test_a_lost_corner_is_levelled_by_the_others_and_named():
    coupons = {place.value: (value,) for place, value in zip(POSITIONS, TILTED, strict=True)} | {"back_right": None}
    geometry = measure(Readings(**coupons), KNOWLEDGE, draws=DRAWS)
    advised = plan_turns(geometry, Machine(adjusters="four_screws", screw_thread="M4"), KNOWLEDGE)
    assert advised.estimated is Position.BACK_RIGHT
