"""Whether the burn-in can reach the plate."""

from math import log, sqrt

import pytest

from core.exposure import expose
from core.exposure.bridging import error_at, span_gap
from core.report import POSITIONS, Machine, Position, Raft, Resin, Settings

KNOWN = Resin(penetration_depth_mm=0.15, critical_time_s=1.2)


def bridges(plate, knowledge, resin=KNOWN, **settings):
    exposure = expose(Settings(layer_height_mm=0.05, **settings), Raft(), Machine(), resin, plate, knowledge)
    return exposure, {bridge.position: bridge for bridge in exposure.bridges}


@pytest.mark.parametrize(("error", "gap"), [(0.5, 0.55), (0.0, 0.05), (-0.05, 0.0), (-0.4, 0.0)])
def test_a_gap_is_layer_height_plus_error_and_never_negative(error, gap):
    assert span_gap(0.05, error) == pytest.approx(gap)


def test_the_far_corner_of_a_tilt_is_out_of_reach_and_the_near_one_is_reached(plate, knowledge):
    exposure, at = bridges(plate(offset=0.3, tilt_x=0.25, tilt_y=0.25), knowledge, burn_in_s=25)
    assert at[Position.BACK_RIGHT].reached == "no"
    assert at[Position.FRONT_LEFT].reached == "yes"
    assert exposure.furthest.position is Position.BACK_RIGHT
    assert [bridge.position for bridge in exposure.out_of_reach] == [Position.BACK_RIGHT]


def test_the_time_needed_would_just_reach(plate, knowledge):
    """Dp ln(t/Tc) at the time needed is the gap: the working curve read backwards."""
    _, at = bridges(plate(offset=0.5), knowledge)
    bridge = at[Position.CENTRE]
    assert bridge.reached is None
    assert bridge.short_by is None
    assert 0.15 * log(bridge.time_needed.value / 1.2) == pytest.approx(0.55)


@pytest.mark.parametrize("beyond", [-0.01, 0.0, 0.01])
def test_a_gap_about_as_deep_as_the_cure_is_perhaps_reached(plate, knowledge, beyond):
    """Never more certain than the numbers: on the edge neither yes nor no holds over the interval."""
    cured = 0.15 * log(25 / 1.2)
    _, at = bridges(plate(offset=cured - 0.05 + beyond), knowledge, burn_in_s=25)
    assert at[Position.CENTRE].short_by.value == pytest.approx(beyond, abs=1e-12)
    assert {bridge.reached for bridge in at.values()} == {"perhaps"}


def test_the_uncertainty_of_an_error_propagates_from_the_contrasts(plate):
    """Corner: offset, both tilts and twist, u√4. Centre: offset and crown, u√2. By hand from JCGM 100, 5.2.2."""
    measured = plate(offset=0.1, u=0.02)
    corner, centre = error_at(measured, Position.BACK_LEFT), error_at(measured, Position.CENTRE)
    assert corner.high - corner.value == pytest.approx(1.96 * 0.02 * 2)
    assert centre.high - centre.value == pytest.approx(1.96 * 0.02 * sqrt(2))


def test_an_error_that_was_not_read_says_so(plate, knowledge):
    _, at = bridges(plate(missing=Position.BACK_LEFT), knowledge)
    keys = {position: {each.key for each in at[position].gap.assumptions} for position in POSITIONS}
    assert [position for position in POSITIONS if "error_from_the_others" in keys[position]] == [Position.BACK_LEFT]


def test_an_absurd_gap_needs_an_absurd_but_finite_time(plate, knowledge):
    _, at = bridges(plate(offset=4.0), knowledge, resin=Resin(penetration_depth_mm=0.001))
    assert 1e8 < at[Position.CENTRE].time_needed.high < 1e10
