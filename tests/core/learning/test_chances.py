"""How counts update priors and links."""

import numpy as np
import pytest

from core.learning.chances import Chances, bound, chance_of_findings, update
from core.learning.lessons import Counts

ONE = Chances(prior=np.array([0.2, 0.3]), link=np.array([[0.5, 0.0]]), leak=np.array([1e-9]))


def counted(sets, cases, seen, absent):
    return Counts(np.array(sets, float), np.array(cases, float), np.array(seen, float), np.array(absent, float))


def test_a_link_whose_findings_are_all_told_is_a_plain_beta_count():
    """One cause, no leak, nothing untold: (20 × .5 + 30)/(20 + 40)."""
    after = update(ONE, counted([[1, 0]], [40], [[30]], [[10]]), prior_weight=10, link_weight=20)
    assert after.link[0, 0] == pytest.approx((20 * 0.5 + 30) / 60, abs=1e-6)


def test_priors_learn_which_causes_are_frequent_and_keep_their_sum():
    after = update(ONE, counted([[1, 0], [0, 1]], [90, 10], [[0], [0]], [[0], [0]]), prior_weight=10, link_weight=20)
    assert after.prior.sum() == pytest.approx(0.5)
    assert after.prior == pytest.approx([(10 * 0.2 + 0.5 * 90) / 110, (10 * 0.3 + 0.5 * 10) / 110])


def test_helpers_who_stop_at_the_first_cause_do_not_make_all_causes_rarer():
    """The same causes, named one a case or two a case, give the same priors."""
    one_each = update(ONE, counted([[1, 0], [0, 1]], [50, 50], [[0], [0]], [[0], [0]]), 10, 20)
    both = update(ONE, counted([[1, 1]], [100], [[0]], [[0]]), 10, 20)
    assert one_each.prior == pytest.approx(both.prior)


def test_a_link_about_which_nothing_was_counted_stays():
    after = update(ONE, counted([[0, 1]], [40], [[0]], [[40]]), prior_weight=10, link_weight=20)
    assert after.link[0, 0] == pytest.approx(0.5)


def test_no_link_appears_where_there_was_none():
    after = update(ONE, counted([[0, 1]], [40], [[40]], [[0]]), prior_weight=10, link_weight=20)
    assert after.link[0, 1] == 0.0


def test_of_two_causes_the_stronger_one_gets_the_credit():
    """Seen always with both: by expected counts each link rises, the strong one to nearly 1."""
    two = Chances(prior=np.array([0.2, 0.3]), link=np.array([[0.8, 0.1]]), leak=np.array([1e-9]))
    after = update(two, counted([[1, 1]], [200], [[200]], [[0]]), prior_weight=10, link_weight=20)
    assert after.link[0, 0] > 0.9
    assert after.link[0, 1] < 0.3


def test_the_chance_of_a_finding_is_noisy_or():
    both = Chances(prior=np.array([0.2, 0.3]), link=np.array([[0.5, 0.4]]), leak=np.array([0.1]))
    assert chance_of_findings(both, np.array([[0.0, 0], [1, 0], [1, 1]]))[:, 0] == pytest.approx(
        [0.1, 1 - 0.9 * 0.5, 1 - 0.9 * 0.5 * 0.6]
    )


def test_odds_stop_at_the_bound():
    far = Chances(prior=np.array([0.9, 0.31]), link=np.array([[0.001, 0.0]]), leak=ONE.leak)
    held = bound(far, ONE, 4)
    assert held.prior == pytest.approx([0.5, 0.31])
    assert held.link[0] == pytest.approx([0.2, 0.0])
