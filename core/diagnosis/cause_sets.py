"""A posed problem and its posterior in, the most probable sets of causes out.

This file must never know what a cause is.
"""

from functools import cache
from itertools import combinations
from math import exp

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.infer import Posterior, Problem


def most_probable_sets(
    problem: Problem, posterior: Posterior, *, count: int = 3, largest: int = 3
) -> tuple[tuple[frozenset[str], float], ...]:
    """Return the most probable exact sets of present causes, most probable first, each with its posterior probability.

    Every set of up to ``largest`` causes is weighed; all causes outside the set are absent. The probabilities are
    normalised by the exact evidence, so that those of all sets of any size would sum to one. Empty for impossible
    evidence.
    """
    total = exp(posterior.log_evidence)
    if total <= 0:
        return ()
    causes = problem.network.causes
    n = len(causes)
    members, held = _sets_up_to(largest, n)
    weight = problem.scale * np.where(held, problem.present[:, None], problem.absent[:, None]).prod(axis=0)
    # Chance that each set switches each event on, shape (sets, events), as a sum of what is not negative.
    link = np.zeros((n + 1, len(problem.explained)))
    link[:n] = problem.network.link[problem.explained].T
    shown = problem.leak.T
    for member in members:
        shown = shown + (1.0 - shown) * link.take(member, axis=0)
    weight *= shown.prod(axis=1)
    # Stable, so that of equally probable sets the first in the order of the data comes first.
    least = np.partition(weight, -min(count, len(weight)))[-min(count, len(weight))]
    best = np.flatnonzero(weight >= least)
    best = best[np.argsort(-weight[best], kind="stable")][:count]
    return tuple(
        (frozenset(causes[member] for member in members[:, one] if member < n), float(weight[one] / total))
        for one in best
        if weight[one] > 0
    )


@cache
def _sets_up_to(largest: int, n: int) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Return the members of every set of up to ``largest`` of n, shape (largest, sets), and whether each is one.

    The latter has shape (n, sets). Member n stands for "no further one", so that sets of every size share one table.
    """
    sets = [
        members + (n,) * (largest - size) for size in range(largest + 1) for members in combinations(range(n), size)
    ]
    members = np.array(sets, dtype=np.intp).reshape(-1, largest).T.copy()
    held = (members[:, None] == np.arange(n)[:, None]).any(axis=0)
    for table in (members, held):
        table.setflags(write=False)
    return members, held
