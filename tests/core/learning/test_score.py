"""Log scores of many lessons at once, against the exact engine one by one."""

from dataclasses import replace

import numpy as np
import pytest

from core.diagnosis.infer import infer
from core.diagnosis.network import build_network
from core.learning.lessons import tabulate
from core.learning.score import score_lessons
from core.learning.teach import _values_of


@pytest.mark.parametrize("ratios", [{}, {"tilt": 1.5, "resin_cold": -0.7}], ids=["findings alone", "with readings"])
def test_a_score_is_the_mean_log_share_of_the_confirmed_causes(knowledge, draw_lessons, ratios):
    """The posterior of each confirmed cause over the sum of all posteriors, as the diagnosis works them out."""
    lessons = [replace(one, ratios=ratios) for one in draw_lessons(60, knowledge, 21, tells_absent=0.4)]
    table = tabulate(lessons, knowledge)
    scores = score_lessons(_values_of(knowledge), table, np.ones(len(table), dtype=bool))
    network = build_network(
        {name: one.prior for name, one in knowledge.causes.items()},
        {name: (one.leak, one.links) for name, one in knowledge.findings.items()},
    )
    for lesson, score in zip(lessons, scores.tolist(), strict=True):
        m = infer(network, lesson.seen, lesson.absent, lesson.ratios).marginals
        expected = np.mean([np.log(m[cause] / sum(m.values())) for cause in sorted(lesson.causes)])
        assert score == pytest.approx(expected, abs=1e-10)


def test_only_the_marked_lessons_are_scored_in_their_order(knowledge, draw_lessons):
    table = tabulate(draw_lessons(40, knowledge, 22), knowledge)
    everything = score_lessons(_values_of(knowledge), table, np.ones(40, dtype=bool))
    some = np.arange(40) % 3 == 1
    assert score_lessons(_values_of(knowledge), table, some) == pytest.approx(everything[some])
