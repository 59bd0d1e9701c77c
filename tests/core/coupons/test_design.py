"""Five coupons fit every plate they are made for, keep apart, and stand in the pattern of the five on a die."""

from itertools import combinations
from math import inf, nan

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from core.coupons import design_coupons
from core.coupons.design import COMPACT, NOMINAL_MM, PLATE_DEPTH_MM, PLATE_WIDTH_MM, REGULAR
from core.errors import UnusableInput
from core.report import POSITIONS
from core.words import load_words

WORDS = load_words("en")

widths = st.floats(*PLATE_WIDTH_MM)
depths = st.floats(*PLATE_DEPTH_MM)
nominals = st.floats(*NOMINAL_MM)


def sides(coupon):
    return (
        coupon.x_mm,
        coupon.y_mm,
        coupon.x_mm + coupon.shape.width,
        coupon.y_mm + coupon.shape.outer_depth,
    )


def gap(one, other):
    """Return how far two upright rectangles are apart in the direction in which they are apart most."""
    return max(one[0] - other[2], other[0] - one[2], one[1] - other[3], other[1] - one[3])


@given(widths, depths, nominals)
@example(50, 30, 1)
@example(50, 400, 1)
@example(400, 30, 1)
@example(63.9, 40.1, 1)
def test_the_coupons_stay_on_the_plate_and_apart(width, depth, nominal):
    """``edge_mm`` from the plate's edges, and as far from each other as a scraper needs."""
    made = design_coupons(width, depth, nominal)
    boxes = [sides(coupon) for coupon in made.coupons]
    for left, front, right, back in boxes:
        assert min(left + width / 2, width / 2 - right, front + depth / 2, depth / 2 - back) >= made.edge_mm - 1e-9
    assert min(gap(one, other) for one, other in combinations(boxes, 2)) >= made.shape.clear - 1e-9
    assert 2 <= made.edge_mm <= 6


@given(widths, depths)
def test_the_flats_stand_like_the_five_on_a_die(width, depth):
    """Same offset from the middle of the pattern in the signs of the positions: the contrasts stay orthogonal."""
    made = design_coupons(width, depth)
    flats = [coupon.flat.moved(coupon.x_mm, coupon.y_mm) for coupon in made.coupons]
    middles = [((flat.left + flat.right) / 2, (flat.front + flat.back) / 2) for flat in flats]
    centre = middles[-1]
    for position, (x, y) in zip(POSITIONS, middles, strict=True):
        assert x - centre[0] == pytest.approx(position.x * made.span_mm[0] / 2, abs=1e-9)
        assert y - centre[1] == pytest.approx(position.y * made.span_mm[1] / 2, abs=1e-9)


@pytest.mark.parametrize("shape", [REGULAR, COMPACT])
def test_a_calipers_jaw_fits_the_flat(shape):
    """8 mm across for a jaw of 3 to 4 mm (common practice), and open at the back, where the jaw comes in."""
    (coupon, *_) = design_coupons(*((150, 85) if shape is REGULAR else (50, 30))).coupons
    assert coupon.shape is shape
    flat = coupon.flat
    assert flat.right - flat.left >= 8
    assert flat.back - flat.front >= 6
    assert flat.back == shape.outer_depth


@pytest.mark.parametrize(
    ("width", "depth", "shape", "edge"),
    [
        (50, 30, COMPACT, 2.0),
        (68, 34, COMPACT, 2.0),
        (80, 50, REGULAR, 2.0),
        (150, 85, REGULAR, 3.5),
        (218, 123, REGULAR, 5.0),
        (400, 400, REGULAR, 6.0),
    ],
)
def test_small_plates_get_small_coupons_nearer_to_the_edge(width, depth, shape, edge):
    made = design_coupons(width, depth)
    assert made.shape is shape
    assert made.edge_mm == edge


def test_dots_count_in_the_order_of_the_readings():
    made = design_coupons(150, 85)
    assert [(coupon.position, coupon.dots) for coupon in made.coupons] == list(zip(POSITIONS, range(1, 6), strict=True))


def test_the_volume_of_the_usual_set_by_hand():
    """One body (16·13 - 3·3)·1.6 = 318.4, less recess 10·8·0.6 = 48, plus lip 6·2·1 = 12: 282.4; 15 dots of 1.125."""
    assert design_coupons(150, 85).volume_mm3 == pytest.approx(5 * 282.4 + 15 * 1.125, rel=1e-12)


@pytest.mark.parametrize(
    ("width", "depth", "nominal", "fields"),
    [
        (49.9, 85, 1.0, ["plate"]),
        (150, 29.9, 1.0, ["plate"]),
        (401, 85, 1.0, ["plate"]),
        (150, 400.1, 1.0, ["plate"]),
        (150, 85, 0.49, ["nominal"]),
        (150, 85, 2.01, ["nominal"]),
        (nan, 85, 1.0, ["plate"]),
        (150, inf, 1.0, ["plate"]),
        (150, 85, nan, ["nominal"]),
        (-150, 85, 0, ["plate", "nominal"]),
    ],
)
def test_what_does_not_fit_is_refused_with_the_accepted_range(width, depth, nominal, fields):
    with pytest.raises(UnusableInput) as caught:
        design_coupons(width, depth, nominal)
    assert [fault.field for fault in caught.value.faults] == fields
    said = " ".join(WORDS.fault(fault) for fault in caught.value.faults)
    for part in (("50 to 400 mm", "30 to 400 mm") if "plate" in fields else ()) + (
        ("0.5 to 2 mm",) if "nominal" in fields else ()
    ):
        assert part in said
