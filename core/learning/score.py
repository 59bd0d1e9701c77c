"""Values and lessons in, how probable they made the confirmed causes out: the log score of each lesson, in nats.

The same exact network as the diagnosis, many lessons at a time. Findings enter without their places, whose chances are
not learned. This file must never know names or time.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from core.learning.chances import Chances
from core.learning.lessons import Floats, Lessons

MOST_SEEN = 14
"""A lesson with more findings is not scored: the cost doubles with each."""

_LENGTHS = (-1, 3, 6, 9, 12, MOST_SEEN)
"""Lessons with more findings than one of these and at most the next are worked out together."""

_LARGEST_TABLE = 2**15


def score_lessons(chances: Chances, lessons: Lessons, which: NDArray[np.bool_]) -> Floats:
    """Return how well the values predict what was confirmed in each of the marked lessons.

    With m the posterior probabilities of the causes given readings, settings and findings, the chance that somebody who
    names one cause names c is taken to be m_c/Σm; the score is its logarithm, averaged over the confirmed causes. So it
    makes no difference whether helpers name all causes or stop at the first, and 0 is certainty. A logarithmic score is
    proper: in the long run only the true chances get the best mean (Good 1952). ``which`` has shape (L,); the result is
        in
    the order of the lessons.
    """
    rows = np.flatnonzero(which)
    named = lessons.sets[lessons.group[rows]]
    shares = np.log(_shares(chances, lessons.ratios[rows], lessons.seen[rows], lessons.absent[rows]))
    return np.asarray((named * shares).sum(axis=1) / named.sum(axis=1))


def _shares(chances: Chances, ratios: Floats, seen: NDArray[np.bool_], absent: NDArray[np.bool_]) -> Floats:
    """Return each cause's share of the sum of the posterior probabilities, shape (L, C)."""
    prior = expit(logit(chances.prior) + ratios)
    # What is absent multiplies a present cause's chance; no other cause or finding is touched by it.
    present = prior * np.exp(absent @ np.log1p(-chances.link))
    # A row that is always on fills up short lists, so that lessons of several lengths are worked out at once.
    always = len(chances.leak)
    filled = replace(
        chances,
        leak=np.append(chances.leak, 1.0),
        link=np.vstack((chances.link, np.zeros(len(chances.prior)))),
    )
    sizes = seen.sum(axis=1)
    told_first = np.argsort(~seen, axis=1, kind="stable")[:, :MOST_SEEN]
    positives = np.where(np.arange(told_first.shape[1]) < sizes[:, None], told_first, always)
    shares = np.empty_like(prior)
    for shortest, longest in pairwise(_LENGTHS):
        alike = np.flatnonzero((sizes > shortest) & (sizes <= longest))
        part = max(1, _LARGEST_TABLE >> longest)
        for start in range(0, len(alike), part):
            some = alike[start : start + part]
            joint = _joint(filled, positives[some, :longest], present[some], 1.0 - prior[some])
            shares[some] = joint / joint.sum(axis=1, keepdims=True)
    return shares


def _joint(chances: Chances, positive: NDArray[np.intp], present: Floats, missing: Floats) -> Floats:
    """Return the probability that every positive finding is on together with each cause, shape (B, C).

    A table over which of the positive findings are explained so far starts from the leaks; each cause mixes it with
    itself after the cause has switched findings on. Going back with the adjoint gives the chance that the rest is
    explained by the causes that follow. All terms are non-negative, so nothing cancels.

    Args:
        chances: Values of the network.
        positive: Rows of the positive findings of each lesson, shape (B, k).
        present: Chance that a cause holds and leaves the absent findings off, shape (B, C).
        missing: Chance that it does not hold, shape (B, C).
    """
    lessons, findings = positive.shape
    causes = present.shape[1]
    links = [chances.link[positive, cause] for cause in range(causes)]
    table = np.ones((1, lessons))
    for j in range(findings):
        leak = chances.leak[positive[:, j]]
        table = np.concatenate((table * (1.0 - leak), table * leak))
    switched: list[Floats] = []
    for cause in range(causes):
        after = table.copy()
        for j in np.flatnonzero(links[cause].any(axis=0)).tolist():
            pair, link = after.reshape(-1, 2, 2**j, lessons), links[cause][:, j]
            pair[:, 1] += link * pair[:, 0]
            pair[:, 0] *= 1.0 - link
        switched.append(after)
        table = missing[:, cause] * table + present[:, cause] * after
    back = np.zeros_like(table)
    back[-1] = 1.0
    joint = np.empty_like(present)
    for cause in reversed(range(causes)):
        joint[:, cause] = present[:, cause] * (switched[cause] * back).sum(axis=0)
        before = back.copy()
        for j in np.flatnonzero(links[cause].any(axis=0)).tolist():
            pair, link = before.reshape(-1, 2, 2**j, lessons), links[cause][:, j]
            pair[:, 0] *= 1.0 - link
            pair[:, 0] += link * pair[:, 1]
        back = missing[:, cause] * back + present[:, cause] * before
    return joint
