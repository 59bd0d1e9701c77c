"""Agreement of two raters, and its interval by simulation."""

import numpy as np
import pytest

from core.statistics.agreement import agree, agree_by_chance


def test_raters_who_always_agree_have_a_kappa_of_one():
    found = agree({("tilt", "tilt"): 7, ("crown", "crown"): 3})
    assert (found.kappa, found.low, found.high) == pytest.approx((1.0, 1.0, 1.0))
    assert found.percent.value == 1.0


def test_raters_who_agree_as_chance_does_have_a_kappa_of_zero():
    assert agree({("a", "a"): 8, ("a", "b"): 32, ("b", "a"): 12, ("b", "b"): 48}).kappa == pytest.approx(0.0)


def test_raters_who_never_agree_are_below_chance():
    found = agree({("a", "b"): 20, ("b", "a"): 20})
    assert found.kappa == pytest.approx(-1.0)
    assert found.percent.value == 0.0


@pytest.mark.parametrize("pairs", [{}, {("tilt", "tilt"): 12}], ids=["no cases", "one name only"])
def test_where_chance_says_all_there_is_no_kappa(pairs):
    assert agree(pairs).kappa is None
    assert agree(pairs).low is None


def test_names_only_one_rater_used_count():
    assert agree({("a", "a"): 10, ("b", "c"): 5}).kappa == pytest.approx(0.4)


def test_the_interval_covers_as_often_as_it_says():
    """In 300 samples of 150 cases 95 % intervals hold the true kappa 92 to 98 % of times."""
    p = np.array([[0.3, 0.06, 0.04], [0.05, 0.25, 0.05], [0.03, 0.02, 0.2]])
    by_chance = float(p.sum(axis=0) @ p.sum(axis=1))
    true = (float(np.trace(p)) - by_chance) / (1 - by_chance)
    rng = np.random.default_rng(3)
    cells = [(a, b) for a in "xyz" for b in "xyz"]
    held = 0
    for counts in rng.multinomial(150, p.ravel(), size=300).tolist():
        found = agree(dict(zip(cells, counts, strict=True)))
        held += found.low <= true <= found.high
    assert 0.92 < held / 300 < 0.98


def test_kappa_from_a_share_and_its_chance_is_kappa_from_the_table():
    """The published example once more: 35 of 50 alike, .5 by chance, kappa .40."""
    table = {("a", "a"): 20, ("a", "b"): 5, ("b", "a"): 10, ("b", "b"): 15}
    known = agree_by_chance(35, 50, 0.5)
    assert known.kappa == pytest.approx(0.4)
    assert known.kappa == pytest.approx(agree(table).kappa)
    # 1.96 √(.7 · .3/50)/(1 - .5) = .2540
    assert (known.low, known.high) == pytest.approx((0.4 - 0.2540, 0.4 + 0.2540), abs=1e-4)
    assert agree_by_chance(0, 0, 0.0).kappa is None
