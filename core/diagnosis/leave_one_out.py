"""A posed problem and its observations in, the posterior and the causes' log-odds with each left out, in one run.

Leaving out a positive event means not caring whether it is on: it starts as already explained. Leaving out negative
events means not charging a present cause for having left them off. Both are columns of one batch, so that all of
them cost little more than one. This file must never know what a cause or an event means.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.infer import Posterior, Problem, read_posterior, solve

_NEAREST_CERTAIN = 1e-12


@dataclass(frozen=True, slots=True)
class Piece:
    """The events that one observation speaks of."""

    positive: tuple[str, ...]
    negative: tuple[str, ...]


def conclude_without_each(problem: Problem, pieces: Sequence[Piece]) -> tuple[Posterior, NDArray[np.float64]]:
    """Return the posterior, and each cause's log-odds, shape (n, 1 + pieces): with everything, then without each piece.

    In log-odds, probabilities nearer to certainty than 1e-12 count as that near.

    Args:
        problem: Network and evidence.
        pieces: Parts of that evidence that share no event.
    """
    network = problem.network
    at = {row: place for place, row in enumerate(problem.explained.tolist())}
    kept = np.ones((len(network.causes), 1 + len(pieces)))
    leak = np.repeat(problem.leak, 1 + len(pieces), axis=1)
    for column, piece in enumerate(pieces, start=1):
        rows = [network.event_at[event] for event in piece.positive]
        leak[[at[row] for row in rows if row in at], column] = 1.0
        kept[:, column] /= np.prod(1.0 - network.link[[network.event_at[event] for event in piece.negative]], axis=0)
    evidence, joint = solve(problem, kept, leak)
    return read_posterior(problem, float(evidence[0]), joint[:, 0]), _log_odds(joint / evidence)


def _log_odds(probability: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.clip(probability, _NEAREST_CERTAIN, 1 - _NEAREST_CERTAIN)
    return np.asarray(np.log(inside) - np.log1p(-inside))
