"""Draws of deviations: what is made of the corners block by block is what would be made of them all."""

import numpy as np

from core.geometry.bands import spread_draws
from core.geometry.contrasts import solve
from core.geometry.deviations import draw_deviations
from core.geometry.propagation import BLOCK
from core.geometry.uncertainty import draw_up
from core.report import Position

CORNER_ERRORS = (0.1, 0.0, -0.05, 0.2)


def test_what_is_made_of_the_corners_does_not_depend_on_the_blocks(knowledge, coupons):
    """Also where a coupon is missing, and where the draws do not fill the last block."""
    for readings in (coupons(1.0, 1.1, 1.2, 1.3, 1.1), coupons(1.0, 1.1, 1.2, None, 1.1)):
        budget = draw_up(readings, knowledge)
        observed = {position: group[0] - 1.0 for position, group in readings.measured()}
        stand_ins = {} if Position.BACK_RIGHT in observed else {"twist": 0.05}
        solution = solve(observed, budget.individual_u, budget.common_u, stand_ins)

        def draw(of_corners=None, parts=(budget, solution, stand_ins)):
            return draw_deviations(*parts, np.random.Generator(np.random.SFC64(7)), 2 * BLOCK + 123, of_corners)

        kept = draw()
        made = draw(lambda corners: spread_draws(CORNER_ERRORS, corners))
        assert kept.corners.shape == (4, 2 * BLOCK + 123)
        assert np.array_equal(made.corners, spread_draws(CORNER_ERRORS, kept.corners))
        assert np.array_equal(made.offset, kept.offset)
        assert made.half_widths == kept.half_widths
