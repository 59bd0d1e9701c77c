"""How long trapped resin needs to flow out, and what an open raft and extra raft come to."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.exposure import expose
from core.exposure.squeeze_flow import cells_settling_time, equivalent_radius, settling_time
from core.report import Machine, Raft, Resin, Settings


@given(st.floats(0.05, 2.0), st.floats(1e-3, 0.1), st.floats(1.0, 200.0), st.floats(1e-5, 2e-4))
def test_settling_scales_with_radius_viscosity_force_and_gap(viscosity, radius, force, gap):
    """Twice the radius takes 16 times as long, half the gap 4 times, twice the viscosity or half the force twice."""
    time = settling_time(viscosity, radius, force, gap)
    assert settling_time(viscosity, 2 * radius, force, gap) == pytest.approx(16 * time)
    assert settling_time(viscosity, radius, force, gap / 2) == pytest.approx(4 * time)
    assert settling_time(2 * viscosity, radius, force, gap) == pytest.approx(2 * time)
    assert settling_time(viscosity, radius, force / 2, gap) == pytest.approx(2 * time)


def test_where_it_started_matters_little_and_nearer_takes_less():
    far, near = (settling_time(0.3, 0.05, 30, 50e-6, start) for start in (inf, 500e-6))
    assert near == pytest.approx(0.99 * far)
    assert settling_time(0.3, 0.05, 30, 50e-6, 40e-6) == 0.0


@given(st.floats(1e-4, 1e-2), st.floats(1e-3, 1e-2))
def test_cells_settle_faster_by_the_square_of_their_radius(area, width):
    """Each cell carries its share of the same force, so time falls as (r/R)²; a larger cell is the raft itself."""
    radius = equivalent_radius(area)
    solid = settling_time(0.3, radius, 30, 50e-6)
    expected = solid * min(1.0, (width / 2 / radius) ** 2)
    assert cells_settling_time(0.3, area, width, 30, 50e-6) == pytest.approx(expected)


def settle(knowledge, rest, style, area=9000.0, machine=None):
    settings = Settings(layer_height_mm=0.05, rest_s=rest)
    raft = Raft(area_mm2=area, style=style)
    return expose(settings, raft, machine or Machine(), Resin(viscosity_pa_s=0.3), None, knowledge).settling


@pytest.mark.parametrize(
    ("rest", "style", "enough"),
    [(1.0, "solid", "no"), (1.0, "open", "yes"), (60.0, "solid", "perhaps"), (1.0, "unknown", None),
     (None, "solid", None)],
)  # fmt: skip
def test_a_usual_rest_suits_an_open_raft_and_not_a_large_solid_one(knowledge, rest, style, enough):
    assert settle(knowledge, rest, style).rest_enough == enough


def test_a_raft_cannot_be_larger_than_the_plate(knowledge):
    small = Machine(plate_width_mm=50, plate_depth_mm=40)
    capped, plate = settle(knowledge, 1.0, "solid", 9000.0, small), settle(knowledge, 1.0, "solid", 2000.0)
    assert capped.solid.value == pytest.approx(plate.solid.value)
    assert {each.key for each in capped.solid.assumptions} >= {"raft_as_large_as_plate"}


@pytest.mark.parametrize(
    ("sliced", "measured", "milliliters"),
    [(0.8, 1.3, 4.5), (0.8, 0.6, 0.0), (1.5, None, 4.5), (None, 1.2, 1.8), (0.7, None, 0.0)],
)
def test_extra_raft_is_counted_against_what_was_sliced_or_is_usual(knowledge, sliced, measured, milliliters):
    """9000 mm² × 0.5 mm = 4500 mm³ = 4.5 ml; thinner than intended costs nothing."""
    raft = Raft(area_mm2=9000, style="solid", sliced_mm=sliced, measured_mm=measured)
    wear = expose(Settings(), raft, Machine(), Resin(), None, knowledge).wear
    assert wear.extra_volume.value == pytest.approx(milliliters)
    assert wear.extra_mass.value == pytest.approx(milliliters * knowledge.norm("resin_density_g_per_cm3"))


def test_burn_in_is_told_as_lit_seconds_and_as_normal_layers(knowledge):
    """6 × 35 s = 210 s, as much light as 84 layers of 2.5 s."""
    settings = Settings(burn_in_layers=6, burn_in_s=35, exposure_s=2.5)
    wear = expose(settings, Raft(), Machine(), Resin(), None, knowledge).wear
    assert (wear.burn_in_lit.value, wear.equal_normal_layers.value) == (210, 84)
    assert wear.extra_volume is None


def test_nothing_given_costs_nothing(knowledge):
    exposure = expose(Settings(), Raft(), Machine(), Resin(), None, knowledge)
    assert (exposure.wear, exposure.settling, exposure.dose, exposure.bridges) == (None, None, None, ())
