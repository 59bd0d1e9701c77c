"""Invented cases follow the knowledge they are drawn from, and say what truly held."""

from collections import Counter
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.geometry import measure
from core.knowledge import load_knowledge
from core.simulation import Habits, invent_cases

FIRST = datetime(2025, 1, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def knowledge():
    return load_knowledge()


def invent(knowledge, count, seed=1, **habits):
    rng = np.random.default_rng(seed)
    return invent_cases(count, knowledge, rng, first=FIRST, days=365, habits=Habits(**habits))


@pytest.fixture(scope="module")
def cases(knowledge):
    return invent(knowledge, 500)


def test_the_same_seed_invents_the_same_cases(knowledge):
    assert invent(knowledge, 20) == invent(knowledge, 20)
    assert invent(knowledge, 20) != invent(knowledge, 20, seed=2)


def test_every_case_has_a_cause_a_finding_and_its_place_in_time(cases, knowledge):
    assert [one.opened_at for one in cases] == sorted(one.opened_at for one in cases)
    for case in cases:
        assert case.causes
        assert case.causes <= set(knowledge.causes)
        assert case.report.findings
        assert FIRST <= case.opened_at <= FIRST + timedelta(days=365)
        assert (case.ended_at is None) == (case.end == "open")
        assert case.ended_at is None or case.opened_at < case.ended_at <= FIRST + timedelta(days=365)
        assert (case.remedy is not None) == (case.end in {"fixed", "not_fixed"})
        assert len({one.helper for one in case.opinions}) == len(case.opinions)


def test_causes_are_as_frequent_as_their_priors_say(cases, knowledge):
    """Given that something was wrong and showed: the shares rank as the priors do, and the common cause is common."""
    share = Counter(cause for case in cases for cause in case.causes)
    assert 0.14 < share["tilt"] / len(cases) < 0.27
    assert share["tilt"] > share["resin_low"]


def test_readings_agree_with_the_cause(knowledge):
    """Of plates out of parallel by more than .40 mm nearly all have a tilt; of sound ones hardly any measures so."""
    cases = [one for one in invent(knowledge, 250, measures=1.0) if one.report.readings]
    bad = [one for one in cases if measure(one.report.readings, knowledge, draws=400).spread.value > 0.4]
    assert len(bad) > 10
    assert sum("tilt" in one.causes for one in bad) / len(bad) > 0.85


def test_settings_lean_towards_their_cause(knowledge):
    cases = invent(knowledge, 400, tells_settings=1.0)

    def burn_in(*, long):
        told = [one.report.settings for one in cases if ("burn_in_long" in one.causes) == long]
        return float(np.median([one.burn_in_layers * one.burn_in_s for one in told]))

    assert burn_in(long=True) > 1.3 * burn_in(long=False)


def test_helpers_err_as_often_as_stated(knowledge):
    cases = invent(knowledge, 400, errs=0.2, confirms=1.0)
    wrong = [one.cause not in case.causes for case in cases for one in case.opinions]
    assert 0.13 < sum(wrong) / len(wrong) < 0.27


def test_a_fixed_plate_is_measured_again(cases):
    for case in cases:
        fixed = case.end in {"fixed", "fixed_otherwise"}
        assert (case.readings_after is not None) == (fixed and case.report.readings is not None)


def test_the_share_that_had_raised_exposure_is_as_stated(knowledge):
    raised = [one.report.settings.raised_exposure for one in invent(knowledge, 300, raises_exposure=0.6)]
    assert 0.5 < sum(raised) / 300 < 0.7
