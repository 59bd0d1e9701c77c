"""Lessons and the starting knowledge in, learned knowledge out, with the trial that says whether to use it.

Everything is computed afresh from the lessons: the same lessons in any order give the same digits. This file must never
know where lessons come from or who may switch learning off.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.knowledge import Knowledge
from core.learning.chances import Chances, bound, update
from core.learning.lessons import Lesson, Lessons, count_lessons, tabulate
from core.learning.score import MOST_SEEN, score_lessons

_MOST_BATCHES = 60

DECIMALS = 6
"""Learned chances are rounded, so that machines that add in another order agree."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """How learned values would have predicted each case from the cases before it, against the starting values.

    Attributes:
        cases: Confirmed cases that were predicted.
        cases_least: How many are needed.
        gain_nats: Sum over the cases of learned minus starting log score. If the starting values predict truly it
            exceeds m at any time at all with probability at most exp(-m) (Ville 1939).
        margin_nats: How much is needed.
        starting_score, learned_score: Mean log score of a case, nats; 0 is certainty. ``None`` without cases.
        left_out: Cases that could not be used: no known cause, or more findings than are weighed together.
    """

    cases: int
    cases_least: int
    gain_nats: float
    margin_nats: float
    starting_score: float | None
    learned_score: float | None
    left_out: int

    @property
    def state(self) -> Literal["used", "too_few", "not_better"]:
        """Whether the learned values are used, and why not."""
        if self.cases < self.cases_least:
            return "too_few"
        return "used" if self.gain_nats >= self.margin_nats else "not_better"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught:
    """What to diagnose with: the learned knowledge where its trial is passed, the starting one otherwise."""

    knowledge: Knowledge
    trial: Trial


def teach(lessons: Iterable[Lesson], knowledge: Knowledge, community: str | None = None) -> Taught:
    """Learn, try out, and return the knowledge to use. Arguments are those of ``learn``."""
    told = tuple(lessons)
    trial = try_out(told, knowledge, community)
    return Taught(knowledge=learn(told, knowledge, community) if trial.state == "used" else knowledge, trial=trial)


def learn(lessons: Iterable[Lesson], knowledge: Knowledge, community: str | None = None) -> Knowledge:
    """Return the knowledge with learned priors and links, whether or not they have earned their use.

    Common values are learned from all lessons on top of the starting values. A community's values are learned from its
    own lessons on top of common values to which it has not contributed, so that no case counts twice. Either stay
    within a stated factor of the starting odds, whatever is confirmed how often.

    Args:
        lessons: In any order, of all communities.
        knowledge: The starting knowledge.
        community: Whose values; the common ones if not given.

    Returns:
        Knowledge whose version names the starting version, the number of cases learned from, and a digest of the
        values.
    """
    table = tabulate(lessons, knowledge)
    values = _learned(table, np.ones(len(table), dtype=np.bool_), knowledge, community)
    return _with_values(knowledge, values, len(table))


def try_out(lessons: Iterable[Lesson], knowledge: Knowledge, community: str | None = None) -> Trial:
    """Predict each lesson from those before it, with learned and with starting values.

    Values are learned anew before every batch of the community's lessons (norm ``learning_batch_cases``, or one part in
    ``_MOST_BATCHES`` of them where that is more), so a prediction may miss the latest few. Arguments are those of
    ``learn``.

    Source:
        Dawid, Journal of the Royal Statistical Society A 147 (1984) 278 (prequential principle).
    """
    table = tabulate(lessons, knowledge)
    starting = _values_of(knowledge)
    own = _own(table, community)
    judged = own & (table.seen.sum(axis=1) <= MOST_SEEN)
    before = score_lessons(starting, table, judged)
    after: list[NDArray[np.float64]] = []
    rows = np.flatnonzero(judged)
    batch = max(round(knowledge.norm("learning_batch_cases")), ceil(len(rows) / _MOST_BATCHES))
    for start in range(0, len(rows), batch):
        some = np.zeros(len(table), dtype=np.bool_)
        some[rows[start : start + batch]] = True
        earlier = np.arange(len(table)) < rows[start]
        after.append(score_lessons(_learned(table, earlier, knowledge, community), table, some))
    learned = np.concatenate(after) if after else np.empty(0)
    return Trial(
        cases=len(rows),
        cases_least=round(knowledge.norm("learning_cases_least")),
        gain_nats=float((learned - before).sum()),
        margin_nats=knowledge.norm("learning_margin_nats"),
        starting_score=float(before.mean()) if len(rows) else None,
        learned_score=float(learned.mean()) if len(rows) else None,
        left_out=sum(community in {None, one} for one in table.left_out) + int((own & ~judged).sum()),
    )


def _learned(table: Lessons, which: NDArray[np.bool_], knowledge: Knowledge, community: str | None) -> Chances:
    """Return the values that the marked lessons teach; those of a community on top of what the others teach."""
    starting, norm = _values_of(knowledge), knowledge.norm
    factor, prior_weight, link_weight = (
        norm(f"learning_{name}") for name in ("odds_factor", "prior_weight", "link_weight")
    )
    own = _own(table, community)
    shared = count_lessons(table, which if community is None else which & ~own)
    common = bound(update(starting, shared, prior_weight, link_weight), starting, factor)
    if community is None:
        return common
    # What the others taught weighs as many cases as it rests on, and no more than the stated number.
    most = norm("learning_community_weight")
    cases, held = float(shared.cases.sum()), shared.sets.T @ shared.cases
    weights = min(prior_weight + cases, most), np.minimum(link_weight + held, most)
    return bound(update(common, count_lessons(table, which & own), *weights), starting, factor)


def _own(table: Lessons, community: str | None) -> NDArray[np.bool_]:
    return np.array([community in {None, one} for one in table.community], dtype=np.bool_)


# ---- knowledge and arrays -------------------------------------------------------------------------


def _values_of(knowledge: Knowledge) -> Chances:
    return Chances(
        prior=np.array([cause.prior for cause in knowledge.causes.values()]),
        link=np.array(
            [[finding.links.get(cause, 0.0) for cause in knowledge.causes] for finding in knowledge.findings.values()]
        ),
        leak=np.array([finding.leak for finding in knowledge.findings.values()]),
    )


def _with_values(knowledge: Knowledge, values: Chances, cases: int) -> Knowledge:
    prior, link = np.round(values.prior, DECIMALS), np.round(values.link, DECIMALS)
    digest = hashlib.sha256(prior.tobytes() + link.tobytes()).hexdigest()[:8]
    column = {cause: at for at, cause in enumerate(knowledge.causes)}
    return replace(
        knowledge,
        version=f"{knowledge.version}+learned-{cases}-{digest}",
        causes={
            name: cause.model_copy(update={"prior": float(prior[column[name]])})
            for name, cause in knowledge.causes.items()
        },
        findings={
            name: finding.model_copy(update={"links": {cause: float(row[column[cause]]) for cause in finding.links}})
            for (name, finding), row in zip(knowledge.findings.items(), link, strict=True)
        },
    )
