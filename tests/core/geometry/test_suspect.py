"""Which reading most likely is wrong."""

import pytest

from core.geometry import measure
from core.report import CORNERS, POSITIONS, Position

BACK_RIGHT = Position.BACK_RIGHT


def test_one_corner_far_off_a_level_plate_is_named(knowledge, coupons):
    suspect = measure(coupons(1.00, 1.01, 0.99, 1.45, 1.00), knowledge).suspect
    assert suspect is not None
    assert (suspect.position, suspect.reason) == (BACK_RIGHT, "twist")
    assert suspect.would_be == pytest.approx(1.01 + 0.99 - 1.00)
    assert suspect.twist_z > 8


@pytest.mark.parametrize("bad", CORNERS)
@pytest.mark.parametrize("by", [-0.40, -0.25, 0.25, 0.40])
@pytest.mark.parametrize("tilts", [(0.0, 0.0), (0.03, -0.02), (-0.02, 0.04)])
def test_whichever_corner_is_off_by_much_on_a_fair_plate_is_named(knowledge, coupons, bad, by, tilts):
    plate = {p: 1.0 + tilts[0] * p.x + tilts[1] * p.y for p in POSITIONS}
    geometry = measure(coupons(*(plate[p] + by * (p is bad) for p in POSITIONS)), knowledge, draws=2000)
    assert geometry.twist_significant
    assert geometry.suspect is not None
    assert geometry.suspect.position is bad
    assert geometry.suspect.would_be == pytest.approx(plate[bad])


def test_the_centre_has_a_say_between_the_diagonals(knowledge, coupons):
    """Corners in two pairs could be wrong either way; the centre agrees with the lower ones."""
    low = measure(coupons(1.0, 1.0, 1.0, 1.4, 1.0), knowledge).suspect
    high = measure(coupons(1.4, 1.4, 1.4, 1.0, 1.4), knowledge).suspect
    assert low is not None
    assert low.position is BACK_RIGHT
    assert high is not None
    assert high.position is BACK_RIGHT


def test_a_thickness_no_coupon_can_have_is_no_explanation(knowledge, coupons):
    """Were the back left wrong it would have to be thinner than nothing."""
    suspect = measure(coupons(0.4, 1.0, 1.0, 2.6, 1.0), knowledge).suspect
    assert suspect is not None
    assert suspect.would_be > 0.05


@pytest.mark.parametrize("five", [(0.98, 1.02, 1.31, 1.28, 1.10), (1.0, 1.0, 1.0, 1.0, 1.2), (1.0, 1.0, 1.4, 1.4, 1.2)])
def test_a_plate_that_only_tilts_or_bows_has_no_suspect(knowledge, coupons, five):
    geometry = measure(coupons(*five), knowledge)
    assert not geometry.twist_significant
    assert geometry.suspect is None


def test_repeats_that_disagree_are_suspect_before_any_twist(knowledge, coupons):
    suspect = measure(coupons((1.0, 1.12), 1.01, 0.99, 1.45, 1.0), knowledge).suspect
    assert suspect is not None
    assert (suspect.position, suspect.reason, suspect.twist_z) == (Position.FRONT_LEFT, "scatter", 0.0)


def test_repeats_up_to_the_limit_are_not_suspect(knowledge, coupons):
    assert measure(coupons((1.0, 1.06), 1.0, 1.0, 1.0, 1.0), knowledge).suspect is None


@pytest.mark.parametrize(
    ("five", "position", "would_be"),
    [
        (((1.0, 1.2), 1.1, 1.2, 1.3, 1.1), Position.FRONT_LEFT, 1.0),
        ((1.0, 1.1, 1.2, 1.3, (1.0, 1.2)), Position.CENTRE, 1.15),
        ((None, 1.1, 1.2, 1.3, (1.0, 1.2)), Position.CENTRE, 1.15),
        ((1.0, 1.1, 1.2, (1.0, 1.2), None), BACK_RIGHT, 1.3),
        # Nothing tells of a fall along the diagonal of the two: the mean of its neighbours.
        ((None, 1.1, 1.2, (1.0, 1.2), 1.15), BACK_RIGHT, 1.15),
        ((None, 1.1, (1.0, 1.2), 1.3, 1.15), Position.BACK_LEFT, 1.2),
    ],
)
def test_the_others_say_what_a_scattered_reading_should_have_been(knowledge, coupons, five, position, would_be):
    suspect = measure(coupons(*five), knowledge).suspect
    assert suspect is not None
    assert (suspect.position, suspect.reason) == (position, "scatter")
    assert suspect.would_be == pytest.approx(would_be)


def test_with_a_lost_corner_the_twist_accuses_nobody(knowledge, coupons):
    geometry = measure(coupons(1.0, 1.0, 1.0, None, 1.4), knowledge)
    assert not geometry.twist_significant
    assert geometry.suspect is None
