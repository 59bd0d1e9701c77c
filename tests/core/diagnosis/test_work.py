"""How much work one report can make at most: numbers held in the tables of all sweeps together."""

from itertools import combinations

import pytest

from core.diagnosis import diagnose
from core.diagnosis.events import compile_network
from core.diagnosis.evidence import gather
from core.diagnosis.gain import runs_needed
from core.diagnosis.infer import MOST_ENTANGLED, pose
from core.diagnosis.lattice import sweep, widest
from core.diagnosis.next_check import _MOST_NUMBERS, candidate_events

MOST_COLUMNS = 32
"""One for each observation and a few more: each finding is one observation."""


@pytest.fixture
def work(monkeypatch):
    """Count the numbers in the widest table of each sweep."""
    counted = []

    def counting(steps, present, absent, leak):
        counted.append(present.shape[1] << widest(steps))
        return sweep(steps, present, absent, leak)

    monkeypatch.setattr("core.diagnosis.infer.sweep", counting)
    return counted


def widest_problem(tell, knowledge, count):
    """Return, of many reports of that many findings, the one whose problem is widest of those that are weighed."""
    reports = []
    names = list(knowledge.findings)
    for left in combinations(range(0, len(names), 2), len(names) - count):
        report = tell(*(name for at, name in enumerate(names) if at not in left))
        evidence = gather(report, knowledge)
        width = pose(compile_network(None, knowledge), evidence.positive, ()).width
        if width <= MOST_ENTANGLED:
            reports.append((width, report))
    return max(reports, key=lambda one: one[0])


@pytest.mark.parametrize("count", [20, 16, 14])
def test_wide_reports_stay_within_their_work(count, tell, knowledge, work):
    width, report = widest_problem(tell, knowledge, count)
    diagnosis = diagnose(report, None, knowledge)
    assert len(diagnosis.causes) == len(knowledge.causes)
    assert sum(work) <= (MOST_COLUMNS << width) + _MOST_NUMBERS
    assert sum(work) <= (MOST_COLUMNS << MOST_ENTANGLED) + _MOST_NUMBERS


@pytest.mark.parametrize("readings", [None, (1.22, 0.78, 1.24, 0.76, 1.0)])
@pytest.mark.parametrize("places", [("left", "right", "front", "back", "centre"), ("left", "right")])
def test_many_places_stay_within_their_work(places, readings, tell, gauge, knowledge, work):
    found = ("glossy_raft", "clipped_supports", "missing_parts", "thick_raft", "delaminated_raft")[: 10 // len(places)]
    report = tell(*(f"{finding}@{place}" for finding in found for place in places), readings=readings)
    diagnose(report, gauge(report), knowledge)
    assert sum(work) <= (MOST_COLUMNS << 10) + _MOST_NUMBERS


def test_the_bound_bites_somewhere(tell, knowledge, work):
    """Else it would bound nothing: over all places the widest report would take more."""
    width, report = widest_problem(tell, knowledge, 16)
    candidates = candidate_events(gather(report, knowledge), frozenset(knowledge.causes), knowledge)
    assert runs_needed(candidates) << width > _MOST_NUMBERS
