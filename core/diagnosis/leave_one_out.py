"""Network and observations in, the causes' log-odds with everything and with each observation left out, in one run.

Leaving out a positive event means not caring whether it is on: it starts as already explained. Leaving out negative
events means not charging a present cause for having left them off. Both are columns of one batch, so that all of
them cost little more than one; beyond ``MOST_TOGETHER`` positive events the batch would grow too large and each is
run by itself. This file must never know what a cause or an event means.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.infer import infer, pose
from core.diagnosis.network import Network

MOST_TOGETHER = 10

_NEAREST_CERTAIN = 1e-12


@dataclass(frozen=True, slots=True)
class Piece:
    """The events that one observation speaks of."""

    positive: tuple[str, ...]
    negative: tuple[str, ...]


def log_odds_without_each(
    network: Network, pieces: Sequence[Piece], log_likelihood_ratio: Mapping[str, float]
) -> NDArray[np.float64]:
    """Return each cause's posterior log-odds, shape (n, 1 + pieces): with everything, then without each piece.

    Probabilities nearer to certainty than 1e-12 count as that near. Arguments otherwise as ``infer``; pieces share
    no event.
    """
    positive = [event for piece in pieces for event in piece.positive]
    if len(positive) > MOST_TOGETHER:
        return _one_by_one(network, pieces, log_likelihood_ratio)
    # Only for the shifted chances: the events differ from column to column.
    shifted = pose(network, [], [], log_likelihood_ratio)
    on = [network.event_at[event] for event in positive]
    at = {event: row for row, event in enumerate(positive)}
    leak = np.repeat(network.leak[on][:, None], 1 + len(pieces), axis=1)
    present = np.repeat(shifted.prior[:, None], 1 + len(pieces), axis=1)
    for column, piece in enumerate(pieces, start=1):
        leak[[at[event] for event in piece.positive], column] = 1.0
        off = np.prod(1.0 - network.link[[network.event_at[event] for event in piece.negative]], axis=0)
        present *= off[:, None]
        present[:, column] /= off
    evidence, joint = _sweep(network.link[on], leak, present, shifted.absent)
    return _log_odds(joint / evidence)


def _one_by_one(
    network: Network, pieces: Sequence[Piece], log_likelihood_ratio: Mapping[str, float]
) -> NDArray[np.float64]:
    columns = []
    for left_out in (None, *pieces):
        kept = [piece for piece in pieces if piece is not left_out]
        positive = [event for piece in kept for event in piece.positive]
        negative = [event for piece in kept for event in piece.negative]
        columns.append(list(infer(network, positive, negative, log_likelihood_ratio).marginals.values()))
    return _log_odds(np.array(columns).T)


def _sweep(
    link: NDArray[np.float64], leak: NDArray[np.float64], present: NDArray[np.float64], absent: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the chance that all events are on, shape (batch,), and that together with each cause, shape (n, batch).

    A vector over the sets of events already explained starts from the leaks; each cause replaces it by absent·vector +
    present·switched, and the adjoint goes back. No term is negative, so nothing cancels.

    Args:
        link: Shape (events, n).
        leak: Shape (events, batch).
        present: Chance that a cause is present and leaves the negative events off, shape (n, batch).
        absent: Shape (n,).
    """
    batch = present.shape[1]
    vector = np.ones((1, batch))
    for row in leak:
        vector = np.concatenate((vector * (1.0 - row), vector * row))
    linked = [cause for cause in range(len(absent)) if link[:, cause].any()]
    switches = {cause: [(row, float(link[row, cause])) for row in np.flatnonzero(link[:, cause])] for cause in linked}
    reached: list[NDArray[np.float64]] = []
    for cause in linked:
        reached.append(vector)
        switched = vector.copy()
        for row, chance in switches[cause]:
            pair = switched.reshape(-1, 2, batch << int(row))
            pair[:, 1] += chance * pair[:, 0]
            pair[:, 0] *= 1.0 - chance
        switched *= present[cause]
        switched += absent[cause] * vector
        vector = switched
    evidence = vector[-1]
    joint = np.empty_like(present)
    back = np.zeros_like(vector)
    back[-1] = 1.0
    for cause, before in zip(reversed(linked), reversed(reached), strict=True):
        switched = back.copy()
        for row, chance in switches[cause]:
            pair = switched.reshape(-1, 2, batch << int(row))
            pair[:, 0] *= 1.0 - chance
            pair[:, 0] += chance * pair[:, 1]
        joint[cause] = np.einsum("sb,sb->b", before, switched) * present[cause]
        switched *= present[cause]
        switched += absent[cause] * back
        back = switched
    others = [cause for cause in range(len(absent)) if cause not in switches]
    either = present[others] + absent[others][:, None]
    joint[others] = present[others] / either * evidence
    return evidence, joint


def _log_odds(probability: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.clip(probability, _NEAREST_CERTAIN, 1 - _NEAREST_CERTAIN)
    return np.asarray(np.log(inside) - np.log1p(-inside))
