"""Invented reports with the answer a good helper would give: how often the diagnosis gives it too.

The cases are written from the trade, not from the program; the floors are what was measured when they were written, so
that a change of knowledge or of the reasoning that loses one is noticed. Readings go through the geometry and answers
through the plan, as in the service.
"""

import tomllib
from pathlib import Path

import pytest

from core.diagnosis import diagnose
from core.exposure import expose
from core.geometry import Geometry
from core.knowledge import load_knowledge
from core.plan import make_plan

CASES = tomllib.loads((Path(__file__).parents[2] / "cases" / "trade_cases.toml").read_text("utf-8"))["case"]
NAMED = [case for case in CASES if "first" in case]
PARTS = ("settings", "raft", "machine", "resin")

RIGHT_FIRST_FLOOR = 0.95
RIGHT_IN_THREE_FLOOR = 0.98
MEASURE_FIRST_FLOOR = 0.89
"""Shares of the cases, as measured."""


@pytest.fixture(scope="module")
def judged(tell, gauge):
    """Every case's diagnosis and the first step of its plan, by name."""
    knowledge = load_knowledge()
    answers = {}
    for case in CASES:
        report = tell(
            *case["findings"],
            absent=case.get("absent", ()),
            readings=_readings(case),
            **{part: case[part] for part in PARTS if part in case},
        )
        geometry = gauge(report)
        known = geometry if isinstance(geometry, Geometry) else None
        exposure = expose(report.settings, report.raft, report.machine, report.resin, known, knowledge)
        diagnosis = diagnose(report, geometry, knowledge)
        steps = make_plan(report, geometry, exposure, diagnosis, knowledge).steps
        answers[case["name"]] = diagnosis, steps[0].id if steps else None
    return answers


def _readings(case):
    if "readings" not in case:
        return None
    return tuple({"lost": None, "none": ()}.get(value, value) for value in case["readings"])


def _leading(diagnosis, count):
    return [cause.id for cause in diagnosis.causes[:count]]


def test_the_cases_cover_the_trade():
    """At least sixty, under names of their own, with every cause the only right answer or among the right ones once."""
    knowledge = load_knowledge()
    assert len(CASES) >= 60
    assert len({case["name"] for case in CASES}) == len(CASES)
    assert {cause for case in NAMED for cause in case["first"]} == set(knowledge.causes)
    assert all(case["why"] for case in CASES)


def test_the_right_cause_leads(judged):
    right = [case["name"] for case in NAMED if _leading(judged[case["name"]][0], 1)[0] in case["first"]]
    assert len(right) / len(NAMED) >= RIGHT_FIRST_FLOOR, {case["name"] for case in NAMED} - set(right)


def test_the_right_causes_are_among_the_first_three(judged):
    """Where two hold at once, both are."""
    right = [
        case["name"]
        for case in NAMED
        if set(case.get("among", ())) <= set(leading := _leading(judged[case["name"]][0], 3))
        and not set(case["first"]).isdisjoint(leading)
    ]
    assert len(right) / len(NAMED) >= RIGHT_IN_THREE_FLOOR, {case["name"] for case in NAMED} - set(right)


def test_measuring_comes_first_where_it_should_and_only_there(judged):
    asked = [case for case in CASES if "measure_first" in case]
    right = [case["name"] for case in asked if (judged[case["name"]][1] == "measure_coupons") == case["measure_first"]]
    assert len(right) / len(asked) >= MEASURE_FIRST_FLOOR, {case["name"] for case in asked} - set(right)


@pytest.mark.parametrize("case", [case for case in CASES if "status" in case], ids=lambda case: case["name"])
def test_the_status_is_the_helper_s(case, judged):
    assert judged[case["name"]][0].status in case["status"]


@pytest.mark.parametrize("case", [case for case in CASES if "question" in case], ids=lambda case: case["name"])
def test_the_helper_s_question_is_asked(case, judged):
    assert case["question"] in {question.code for question in judged[case["name"]][0].questions}
