"""Which coupon stood where, judged by carrying the drawn set to the hanging plate with a matrix."""

import numpy as np
import pytest

from core.coupons import design_coupons, prints_mirrored, reading_order
from core.errors import UnusableInput
from core.report import POSITIONS
from core.words import load_words

MADE = design_coupons(150, 85)
MIDDLES = np.array(
    [[c.x_mm + c.shape.width / 2, c.y_mm + c.shape.outer_depth / 2, 0.0] for c in MADE.coupons],
)
WAYS = [np.diag([x, y, -1]) for x in (1, -1) for y in (1, -1)]
"""From the slicer's plate to the printer's (right, back, up): the print hangs down, so z is always turned."""


def dots_at(hanging, position):
    """Return the dots of the coupon that hangs at a position, by distance alone."""
    sought = np.array([position.x * 75, position.y * 42.5, 0])
    return int(np.argmin(np.linalg.norm(hanging - sought, axis=1))) + 1


@pytest.mark.parametrize("way", WAYS, ids=["as drawn", "front-back", "left-right", "both"])
def test_one_glance_at_the_front_left_gives_the_whole_order(way):
    hanging = MIDDLES @ way
    seen = dots_at(hanging, POSITIONS[0])
    assert reading_order(seen) == tuple(dots_at(hanging, position) for position in POSITIONS)


@pytest.mark.parametrize("way", WAYS, ids=["as drawn", "front-back", "left-right", "both"])
def test_a_print_is_mirrored_exactly_where_the_way_to_the_plate_is_no_rotation(way):
    assert prints_mirrored(dots_at(MIDDLES @ way, POSITIONS[0])) == (np.linalg.det(way) < 0)


@pytest.mark.parametrize("dots", [0, 5, -1])
def test_no_corner_has_that_many_dots(dots):
    for ask in (reading_order, prints_mirrored):
        with pytest.raises(UnusableInput) as caught:
            ask(dots)
        assert "Accepted: 1 to 4" in load_words("en").fault(caught.value.faults[0])
