"""Invented reports with the answer a good helper would give: how often the diagnosis gives it too.

The cases are written from the trade, not from the program; the floors are what was measured when they were written, so
that a change of knowledge or of the reasoning that loses one is noticed. Readings go through the geometry and answers
through the plan, as in the service.
"""

import pytest
from trade_cases import CASES, NAMED, report_of, score

from core.engine import triage
from core.knowledge import load_knowledge
from core.words import load_words

KNOWLEDGE = load_knowledge()

RIGHT_FIRST_FLOOR = 0.96
RIGHT_IN_THREE_FLOOR = 0.99
FIRST_STEP_FLOOR = 0.90
"""Shares of the cases, as measured."""


@pytest.fixture(scope="module")
def judged():
    words = load_words()
    return {case["name"]: triage(report_of(case), KNOWLEDGE, words) for case in CASES}


@pytest.fixture(scope="module")
def scores(judged):
    return [score(case, judged[case["name"]], KNOWLEDGE) for case in CASES]


def share(scores, aspect):
    """Return the share that is right among the cases that say what is right, and the names of the rest."""
    asked = [one for one in scores if getattr(one, aspect) is not None]
    wrong = {one.name for one in asked if not getattr(one, aspect)}
    return 1 - len(wrong) / len(asked), wrong


def test_the_cases_cover_the_trade():
    """At least sixty, under names of their own, with every cause the only right answer or among the right ones once."""
    assert len(CASES) >= 60
    assert len({case["name"] for case in CASES}) == len(CASES)
    assert {cause for case in NAMED for cause in case["first"]} == set(KNOWLEDGE.causes)
    assert all(case["why"] for case in CASES)


def test_the_right_cause_leads(scores):
    right, wrong = share(scores, "first")
    assert right >= RIGHT_FIRST_FLOOR, wrong


def test_the_right_causes_are_among_the_first_three(scores):
    """Where two hold at once, both are."""
    right, wrong = share(scores, "in_three")
    assert right >= RIGHT_IN_THREE_FLOOR, wrong


def test_the_first_step_is_the_helper_s(scores):
    """Measuring where it should come first, and elsewhere a remedy of a cause that may lead."""
    right, wrong = share(scores, "first_step")
    assert right >= FIRST_STEP_FLOOR, wrong


def test_no_advice_is_harmful(scores):
    assert [one.name for one in scores if one.harmful] == []


@pytest.mark.parametrize("case", [case for case in CASES if "status" in case], ids=lambda case: case["name"])
def test_the_status_is_the_helper_s(case, judged):
    assert judged[case["name"]].verdict.status in case["status"]


@pytest.mark.parametrize("case", [case for case in CASES if "question" in case], ids=lambda case: case["name"])
def test_the_helper_s_question_is_asked(case, judged):
    assert case["question"] in {question.code for question in judged[case["name"]].diagnosis.questions}
