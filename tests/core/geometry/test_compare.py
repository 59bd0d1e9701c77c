"""Before and after: what really changed."""

import numpy as np
import pytest

from core.geometry import compare, describe, measure
from core.geometry.bands import spread
from core.report import POSITIONS, Readings
from core.words import load_words

BEFORE = (0.98, 1.02, 1.31, 1.28, 1.10)


def test_levelling_that_worked_is_a_real_change_for_the_better(knowledge, coupons):
    comparison = compare(measure(coupons(*BEFORE), knowledge), measure(coupons(1.02, 1.03, 1.05, 1.02, 1.0), knowledge))
    assert comparison.spread.change == pytest.approx(-0.30)
    assert (comparison.spread.real, comparison.spread.direction) == (True, "better")
    assert (comparison.tilt.before, comparison.tilt.after) == (pytest.approx(0.30), pytest.approx(0.02))
    assert comparison.tilt.direction == "better"
    assert comparison.crown.direction == "same"
    assert not comparison.tilt_turned


def test_making_it_worse_is_called_worse(knowledge, coupons):
    comparison = compare(measure(coupons(1.0, 1.0, 1.0, 1.0, 1.0), knowledge), measure(coupons(*BEFORE), knowledge))
    assert {name: change.direction for name, change in comparison.changes()} == {
        "spread": "worse",
        "tilt": "worse",
        "offset": "worse",
        "crown": "same",
        "twist": "same",
    }


def test_the_same_readings_twice_changed_nothing(knowledge, coupons):
    geometry = measure(coupons(*BEFORE), knowledge)
    for _, change in compare(geometry, geometry).changes():
        assert change.change == 0
        assert change.direction == "same"
        assert change.low < 0 < change.high


def test_the_tilt_is_the_spread_of_a_plate_without_twist(knowledge, coupons):
    """Fall of the plane between its extreme corners, whatever the plate's proportions."""
    plane = [1.0 + 0.05 * p.x - 0.08 * p.y for p in POSITIONS]
    geometry = measure(coupons(*plane), knowledge)
    comparison = compare(geometry, geometry)
    assert comparison.tilt.before == pytest.approx(geometry.spread.value)
    assert comparison.tilt.before == pytest.approx(spread(plane[:4]))


def test_the_offset_keeps_what_both_calipers_share(knowledge, coupons):
    """u² of the change is the sum of both u², common parts and all."""
    before, after = measure(coupons(*BEFORE), knowledge), measure(coupons(*[1.0] * 5), knowledge)
    change = compare(before, after).offset
    assert change.u == pytest.approx(np.hypot(before.offset.u, after.offset.u))
    assert change.high - change.low == pytest.approx(2 * 1.959964 * change.u)


def test_few_repeats_make_a_change_harder_to_believe(knowledge, coupons):
    """Student's t by Welch-Satterthwaite: the same u, a wider interval."""
    after = measure(coupons((1.00, 1.02, 1.04), 1.0, 1.0, 1.0, 1.0), knowledge)
    change = compare(measure(coupons(*BEFORE), knowledge), after).crown
    assert change.high - change.low > 2 * 1.97 * change.u


def test_a_lost_corner_makes_a_change_harder_to_believe(knowledge, coupons):
    whole = measure(coupons(*BEFORE), knowledge)
    lost = measure(coupons(None, *BEFORE[1:]), knowledge)
    wide, narrow = compare(whole, lost), compare(whole, whole)
    for (name, change), (_, other) in zip(wide.changes(), narrow.changes(), strict=True):
        assert change.u > 1.2 * other.u, name
    assert wide.twist.u == pytest.approx(np.hypot(whole.twist.u, 0.03))


def test_levelling_too_far_is_told(knowledge, coupons):
    over = compare(
        measure(coupons(1.0, 1.0, 1.3, 1.3, 1.15), knowledge), measure(coupons(1.3, 1.3, 1.0, 1.0, 1.15), knowledge)
    )
    assert over.tilt_turned
    assert over.spread.direction == "same"


def test_a_plate_that_did_not_change_seldom_seems_to(knowledge):
    """Two measurements of one invented plate: a false "real" about 5 times in 100, and never more than 9."""
    rng = np.random.default_rng(11)
    false = dict.fromkeys(("spread", "tilt", "offset", "crown", "twist"), 0)
    trials = 400
    for _ in range(trials):
        plate = 1 + rng.normal(0, 0.1) + np.array([-0.1, -0.06, 0.06, 0.1, 0.0])
        pair = []
        for _ in range(2):
            shared = rng.uniform(-0.02, 0.02) + rng.uniform(-0.01, 0.01)
            values = (
                plate + shared + rng.uniform(-0.02, 0.02, 5) + rng.normal(0, 0.01, 5) + rng.uniform(-0.005, 0.005, 5)
            )
            given = {p.value: (float(v),) for p, v in zip(POSITIONS, values, strict=True)}
            pair.append(measure(Readings(**given), knowledge, draws=1000))
        for name, change in compare(*pair, draws=2000).changes():
            false[name] += change.real
    assert all(count / trials < 0.09 for count in false.values()), false
    assert all(count > 0 for count in false.values()), false


def test_the_sentences_give_the_numbers_and_what_is_real_comes_first(knowledge, coupons):
    comparison = compare(measure(coupons(*BEFORE), knowledge), measure(coupons(1.14, 1.15, 1.13, 1.14, 1.1), knowledge))
    told = describe(comparison, load_words("en"))
    assert told[0] == "The spread of the corners fell from 0.33 mm to 0.02 mm, a real change for the better."
    assert told[1] == "The tilt across the plate fell from 0.30 mm to 0.02 mm, a real change for the better."
    assert told[-1].startswith("No change beyond what the caliper can see: ")
    assert "start height" in told[-1]
    assert "twist" in told[-1]


def test_a_start_height_says_its_way_in_words_and_not_by_a_sign(knowledge, coupons):
    moved = compare(
        measure(coupons(0.7, 0.7, 0.7, 0.7, 0.7), knowledge), measure(coupons(1.1, 1.1, 1.1, 1.1, 1.1), knowledge)
    )
    told = " ".join(describe(moved, load_words("en")))
    assert "went from 0.30 mm too close to 0.10 mm too far" in told
    assert "+" not in told


def test_every_change_has_its_words():
    words = load_words("en")
    for name in ("spread", "tilt", "offset", "crown", "twist"):
        assert words.has(f"compare.better.{name}")
        assert words.has(f"compare.worse.{name}")
        assert words.has(f"compare.names.{name}")
    assert words.has("compare.turned")
    assert words.has("compare.same")


def test_levelling_too_far_is_said_first(knowledge, coupons):
    over = compare(
        measure(coupons(1.0, 1.0, 1.3, 1.3, 1.15), knowledge), measure(coupons(1.3, 1.3, 1.0, 1.0, 1.15), knowledge)
    )
    words = load_words("en")
    assert describe(over, words)[0] == words.say("compare.turned")
