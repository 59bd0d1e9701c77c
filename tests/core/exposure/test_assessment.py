"""What one report's settings come to, whole."""

import json
from dataclasses import fields, is_dataclass
from itertools import pairwise
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.exposure import Quantity, expose, to_json
from core.exposure.corners import evaluate
from core.report import Machine, Position, Raft, Resin, Settings

RESINS = st.builds(
    Resin,
    penetration_depth_mm=st.none() | st.floats(0.03, 0.4),
    critical_time_s=st.none() | st.floats(0.1, 5.0),
    viscosity_pa_s=st.none() | st.floats(0.05, 3.0),
)
SETTINGS = st.builds(
    Settings,
    layer_height_mm=st.none() | st.floats(0.02, 0.2),
    burn_in_layers=st.none() | st.integers(0, 60),
    burn_in_s=st.none() | st.floats(1.0, 200.0),
    transition_layers=st.none() | st.integers(0, 40),
    exposure_s=st.none() | st.floats(0.5, 20.0),
    rest_s=st.none() | st.floats(0.0, 60.0),
)
RAFTS = st.builds(
    Raft,
    area_mm2=st.none() | st.floats(1.0, 20_000.0),
    style=st.sampled_from(["solid", "open", "unknown"]),
    sliced_mm=st.none() | st.floats(0.1, 3.0),
    measured_mm=st.none() | st.floats(0.1, 3.0),
)
MACHINES = st.builds(
    Machine,
    plate_width_mm=st.none() | st.floats(40.0, 300.0),
    plate_depth_mm=st.none() | st.floats(40.0, 300.0),
)


def quantities(value):
    """Yield every quantity anywhere inside a value."""
    if isinstance(value, Quantity):
        yield value
    elif is_dataclass(value):
        for each in fields(value):
            yield from quantities(getattr(value, each.name))
    elif isinstance(value, tuple):
        for each in value:
            yield from quantities(each)


@given(SETTINGS, RAFTS, MACHINES, RESINS, st.floats(-1.0, 1.0), st.floats(-0.5, 0.5))
def test_every_interval_contains_its_value_and_can_be_told(
    knowledge, words, plate, settings, raft, machine, resin, offset, tilt
):
    """Whatever is given and left out: intervals hold their values, JSON is finite, and every assumption has words."""
    exposure = expose(settings, raft, machine, resin, plate(offset=offset, tilt_x=tilt), knowledge)
    found = list(quantities(exposure))
    assert len(found) >= 4 + 2 * 5
    for quantity in found:
        assert quantity.low <= quantity.value <= quantity.high
    told = to_json(exposure, words)
    assert json.loads(json.dumps(told, allow_nan=False)) == told


@given(st.floats(1.0, 200.0), st.floats(1.0, 200.0), RESINS, st.floats(-0.5, 1.0))
def test_more_time_never_reaches_less(knowledge, plate, one, other, resin, offset):
    """Cure depth is monotone in time, at the value and at both ends, and a place once reached stays reached."""
    order = {"no": 0, "perhaps": 1, "yes": 2}
    shorter, longer = (
        expose(Settings(burn_in_s=time), Raft(), Machine(), resin, plate(offset=offset), knowledge)
        for time in sorted((one, other))
    )
    for end in ("value", "low", "high"):
        assert getattr(shorter.burn_in_depth, end) <= getattr(longer.burn_in_depth, end)
    for before, after in zip(shorter.bridges, longer.bridges, strict=True):
        assert order[before.reached] <= order[after.reached]


@given(st.floats(0.05, 0.18), st.floats(0.4, 1.3), st.floats(5.0, 60.0))
def test_unknown_resin_is_wider_than_known(knowledge, plate, depth, critical, burn_in):
    """Data inside the stated ranges give intervals inside those without data."""
    settings = Settings(burn_in_s=burn_in, exposure_s=2.5, burn_in_layers=5)
    resin = Resin(penetration_depth_mm=depth, critical_time_s=critical)
    known, unknown = (
        expose(settings, Raft(), Machine(), each, plate(tilt_x=0.2), knowledge) for each in (resin, Resin())
    )
    pairs = [(known.burn_in_depth, unknown.burn_in_depth), (known.doubling_gain, unknown.doubling_gain)]
    pairs += [(a.time_needed, b.time_needed) for a, b in zip(known.bridges, unknown.bridges, strict=True)]
    for narrow, wide in pairs:
        assert wide.low <= narrow.low
        assert narrow.high <= wide.high
    assert known.burn_in_depth.high - known.burn_in_depth.low < (unknown.burn_in_depth.high - unknown.burn_in_depth.low)


def test_an_interval_is_what_a_dense_grid_finds(knowledge, plate):
    """Oracle: the time to bridge, t = Tc exp(gap/Dp), over a fine grid of every input inside its range."""
    norm = knowledge.norm
    exposure = expose(
        Settings(layer_height_mm=0.05, burn_in_s=30), Raft(), Machine(), Resin(), plate(offset=0.2), knowledge
    )
    bridge = next(each for each in exposure.bridges if each.position is Position.FRONT_LEFT)
    half = 1.96 * 0.02 * 2  # g = (1, -1, -1, 1, 0): four independent terms
    gaps = np.linspace(0.25 - half, 0.25 + half, 41)
    depths = np.linspace(norm("penetration_depth_low_mm"), norm("penetration_depth_high_mm"), 41)
    criticals = np.linspace(norm("critical_time_low_s"), norm("critical_time_high_s"), 41)
    times = criticals[None, None, :] * np.exp(gaps[:, None, None] / depths[None, :, None])
    assert bridge.time_needed.low == pytest.approx(times.min(), rel=1e-9)
    assert bridge.time_needed.high == pytest.approx(times.max(), rel=1e-9)


def test_corners_find_the_extremes_where_the_direction_turns():
    """gap/Dp rises with Dp below zero and falls above it: monotone along each edge all the same."""
    gap, depth = Quantity(0.0, -1.0, 2.0, "mm"), Quantity(1.0, 0.5, 2.0, "mm")
    ratio = evaluate(lambda a, b: a / b, gap, depth, unit="1")
    assert (ratio.low, ratio.high) == (-2.0, 4.0)


def test_without_resin_data_nothing_is_said_about_the_normal_exposure(knowledge):
    settings = Settings(exposure_s=2.5, layer_height_mm=0.05)
    half_known = expose(
        settings, Raft(), Machine(), Resin(penetration_depth_mm=0.1), geometry=None, knowledge=knowledge
    )
    assert not half_known.resin_known
    assert half_known.layer_exposure is None


def test_with_resin_data_the_layer_exposure_follows_the_working_curve(knowledge):
    """By t = Tc exp(k h/Dp): from the least k and the most favourable resin to the most and the least."""
    resin = Resin(penetration_depth_mm=0.1, critical_time_s=1.0)
    needed = expose(Settings(layer_height_mm=0.05), Raft(), Machine(), resin, None, knowledge).layer_exposure
    least, most = knowledge.norm("cure_over_layer_low"), knowledge.norm("cure_over_layer_high")
    share = knowledge.norm("resin_data_relative")
    assert needed.low == pytest.approx((1 - share) * exp(least * 0.5 / (1 + share)))
    assert needed.high == pytest.approx((1 + share) * exp(most * 0.5 / (1 - share)))


def test_doubling_buys_the_same_depth_from_any_start(knowledge):
    """Dp ln 2, which is what 60 s instead of 30 s and 120 s instead of 60 s add alike."""
    resin = Resin(penetration_depth_mm=0.15, critical_time_s=1.2)
    reach = [expose(Settings(burn_in_s=time), Raft(), Machine(), resin, None, knowledge) for time in (30, 60, 120)]
    gains = [b.burn_in_depth.value - a.burn_in_depth.value for a, b in pairwise(reach)]
    assert gains == pytest.approx([0.15 * log(2)] * 2)
    assert reach[0].doubling_gain.value == pytest.approx(0.15 * log(2))


def test_what_was_assumed_is_said_and_what_was_given_is_not_called_assumed(knowledge, words):
    told = to_json(expose(Settings(burn_in_s=30), Raft(), Machine(), Resin(), None, knowledge), words)
    assert told["burn_in_depth_mm"]["assumptions"] == [
        "penetration depth taken as 0.04 to 0.2 mm, because you did not give it",
        "critical time taken as 0.3 to 1.5 s, because you did not give it",
    ]
    told = to_json(expose(Settings(layer_height_mm=0.05), Raft(), Machine(), Resin(), None, knowledge), words)
    assert told["layer_height_mm"]["assumptions"] == []
    assert "burn_in_depth_mm" not in told


def test_every_assumption_that_has_words_can_be_met(knowledge, words, plate):
    """No dead text: a few reports together bring out every key under ``assumptions``."""
    given = Resin(penetration_depth_mm=0.1, critical_time_s=1.0, viscosity_pa_s=0.3)
    settings = Settings(burn_in_s=30, burn_in_layers=5, exposure_s=2.5)
    lost = plate(missing=Position.BACK_LEFT)
    cases = [
        (settings, Raft(area_mm2=9000, sliced_mm=1.5), Machine(), Resin(), lost),
        (settings, Raft(area_mm2=9000), Machine(plate_width_mm=50, plate_depth_mm=50), given, None),
    ]
    met = {
        assumption.key
        for case in cases
        for quantity in quantities(expose(*case, knowledge))
        for assumption in quantity.assumptions
    }
    assert met == {key for key, _ in words.under("assumptions")}
