"""A working curve in sentences, and when it may stand for the person's resin. All squares are invented."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UnusableInput
from core.exposure import fit_working_curve
from core.exposure.curve_reading import time_needed
from core.exposure.curve_summary import describe_curve, describe_layer, describe_unusable, resin_of, why_unusable
from core.exposure.working_curve import cure_depth
from core.knowledge import load_knowledge
from core.words import load_words

KNOWLEDGE, WORDS = load_knowledge(), load_words("en")
TIMES = (2.0, 4.0, 8.0, 16.0, 32.0)
NINE = (2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0)
SOUND = fit_working_curve(TIMES, (0.11, 0.21, 0.30, 0.42, 0.50))
OPEN = fit_working_curve((2.0, 4.0, 8.0), (0.20, 0.10, 0.25))
BENT = fit_working_curve(TIMES, (0.10, 0.26, 0.38, 0.46, 0.50))
ODD = fit_working_curve(NINE, (0.10, 0.142, 0.168, 0.212, 0.239, 0.36, 0.308, 0.351, 0.379))


def test_dp_tc_and_the_worth_of_doubling_are_said_with_their_ranges():
    depth, critical, doubling = describe_curve(SOUND, WORDS)
    assert depth == "Penetration depth Dp: 0.14 mm (0.13 to 0.16 mm, 95 %)."
    assert critical == "Critical time Tc: 0.93 s (0.72 to 1.1 s, 95 %)."
    assert "doubling any exposure buys about 0.10 mm of cured depth (0.09 to 0.11 mm)" in doubling


def test_ends_that_the_squares_leave_open_are_said_in_words():
    lines = describe_curve(OPEN, WORDS)
    assert "do not pin it down" in lines[0]
    assert "leave it open" in lines[1]
    assert "no more than" in lines[2]
    assert "do not yet tell" in describe_layer(OPEN, 0.05, KNOWLEDGE, WORDS)[0]


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.floats(0.5, 60).map(lambda x: round(x, 1)), min_size=3, max_size=8, unique=True),
    st.lists(st.floats(0.02, 3.0).map(lambda x: round(x, 2)), min_size=8, max_size=8),
)
def test_no_sentence_ever_shows_inf_nan_an_exponent_or_a_negative_number(times, thick):
    try:
        curve = fit_working_curve(times, thick[: len(times)])
    except UnusableInput:
        return
    unusable = describe_unusable(curve, KNOWLEDGE, WORDS)
    lines = [
        *describe_curve(curve, WORDS),
        *describe_layer(curve, 0.05, KNOWLEDGE, WORDS),
        *([unusable] if unusable else []),
    ]
    for line in lines:
        assert not {"inf", "nan", "-0.00"} & set(line.replace("(", " ").split())
        assert "e-" not in line
        assert "e+" not in line
        assert " -" not in line
    assert (resin_of(curve, KNOWLEDGE) is None) == (unusable is not None)


def test_a_layers_exposure_comes_with_its_range_and_never_as_advice_to_expose_longer():
    lines = describe_layer(SOUND, 0.05, KNOWLEDGE, WORDS)
    assert "0.05 mm should cure to 1.5 to 3 times its height" in lines[0]
    assert "takes 1.6 to 2.6 s, or 1.3 to 3 s" in lines[0]
    short, long = time_needed(SOUND, 0.075), time_needed(SOUND, 0.15)
    assert [f"{x:.2g}" for x in (short.value, long.value, short.low, long.high)] == ["1.6", "2.6", "1.3", "3"]
    assert "no reason to expose longer" in lines[-1]


def test_a_layer_outside_the_persons_own_exposures_is_called_so():
    assert any("2 to 32 s" in line for line in describe_layer(SOUND, 0.05, KNOWLEDGE, WORDS))
    assert len(describe_layer(SOUND, 0.10, KNOWLEDGE, WORDS)) == 2


def test_one_square_beside_a_perfect_rest_is_an_outlier_and_no_failure():
    """All scatter is that one square's: nothing is left to divide by."""
    curve = fit_working_curve([4.0, 1.0, 2.0, 3.0, 1.2, 5.0, 1.5], [3.0, 3.0, 3.0, 3.0, 1.0, 3.0, 3.0], 0.01)
    assert "outlier" in {doubt.kind for doubt in curve.doubts}


@pytest.mark.parametrize(
    ("curve", "doubt"),
    [(OPEN, "few_squares"), (BENT, "curvature"), (ODD, "outlier")],
)
def test_every_doubt_is_called_out(curve, doubt):
    [found] = [each for each in curve.doubts if each.kind == doubt]
    assert WORDS.say(f"curve.doubts.{doubt}", **found.values) in describe_curve(curve, WORDS)


@pytest.mark.parametrize(
    ("curve", "reason"),
    [
        (SOUND, None),
        (ODD, "squares_disagree"),
        (BENT, "bent"),
        (OPEN, "too_wide"),
        (fit_working_curve((2.0, 4.0, 8.0), (0.1, 0.2, 0.31)), "too_wide"),
        (fit_working_curve((2.0, 4.0, 8.0), (0.1, 0.2, 0.3)), None),
        (fit_working_curve(TIMES, [cure_depth(time, 2.4, 1.0) for time in TIMES]), "not_a_resin"),
        (fit_working_curve((100.0, 200.0, 400.0), [cure_depth(t, 0.1, 70.0) for t in (100, 200, 400)]), "not_a_resin"),
    ],
)
def test_only_a_sound_curve_stands_for_the_resin(curve, reason):
    assert why_unusable(curve, KNOWLEDGE) == reason
    assert (resin_of(curve, KNOWLEDGE) is None) == (reason is not None)
    assert (describe_unusable(curve, KNOWLEDGE, WORDS) is None) == (reason is None)


def test_the_resin_carries_dp_and_tc_of_the_line():
    resin = resin_of(SOUND, KNOWLEDGE)
    assert resin.penetration_depth_mm == pytest.approx(SOUND.penetration_depth.value, rel=1e-3)
    assert resin.critical_time_s == pytest.approx(SOUND.critical_time.value, rel=1e-3)
    assert resin.model_fields_set == {"penetration_depth_mm", "critical_time_s"}


def test_a_curve_that_is_used_deserves_the_belief_it_gets():
    """Within its own times the true depth lies in the range that data given as numbers would get, in 95 of 100.

    400 seeded sets of invented squares; only those that pass count, and most with a caliper's scatter do.
    """
    rng = np.random.default_rng(5)
    share = KNOWLEDGE.norm("resin_data_relative")
    truth = np.array([cure_depth(time, 0.12, 0.9) for time in TIMES])
    used = held = 0
    for _ in range(400):
        resin = resin_of(fit_working_curve(TIMES, truth + rng.normal(0, 0.006, len(TIMES))), KNOWLEDGE)
        if resin is None:
            continue
        used += 1
        depth, critical = resin.penetration_depth_mm, resin.critical_time_s
        held += all(
            cure_depth(time, depth * (1 - share), critical * (1 + share))
            <= real
            <= cure_depth(time, depth * (1 + share), critical * (1 - share))
            for time, real in zip(TIMES, truth, strict=True)
        )
    assert used > 300
    assert held / used > 0.95
