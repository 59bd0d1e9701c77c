"""A network, what was observed and what could be looked at next in, the expected information of each look out.

Information is in bits (Shannon 1948). This file must never know what a look costs, or what a cause or an event means.
"""

from collections.abc import Collection, Mapping

import numpy as np
from numpy.typing import NDArray

from core.diagnosis.infer import Problem, solve


def entropy_bits(probabilities: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the entropy in bits of the distributions along the last axis, with 0 log 0 = 0."""
    logs = np.log2(probabilities, out=np.zeros_like(probabilities), where=probabilities > 0)
    return np.asarray(-(probabilities * logs).sum(axis=-1))


def information_gain(joint: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return by how many bits an outcome is expected to reduce the entropy of a state: their mutual information.

    Args:
        joint: Joint probabilities, shape (..., states, outcomes), each table summing to one.

    Returns:
        H(state) + H(outcome) - H(state, outcome), shape (...), never negative. Source: MacKay 2003, 8.1.
    """
    together = entropy_bits(joint.reshape(*joint.shape[:-2], -1))
    return np.maximum(entropy_bits(joint.sum(axis=-1)) + entropy_bits(joint.sum(axis=-2)) - together, 0.0)


def expected_gain(problem: Problem, candidates: Mapping[str, Collection[str]]) -> Mapping[str, float]:
    """Return, for each candidate, how many bits about the causes looking at it is expected to give.

    The measure is the expected drop of the sum of the binary entropies of the causes' probabilities. The outcomes
    of a candidate with several events are: none shows; exactly one shows, for each; several show at once, together.

    Args:
        problem: Network and evidence.
        candidates: Name to the events that one look would settle: one for a plain finding, its places for a placed one.

    Returns:
        Bits for each candidate, in the same order. Of a candidate that is observed in part, only the rest counts;
        of one that is observed altogether, nothing is left. 0 for impossible evidence.
    """
    looks: dict[str, NDArray[np.intp]] = {}
    for name, events in candidates.items():
        rows = [problem.network.event_at[event] for event in dict.fromkeys(events)]
        if left := [row for row in rows if row not in problem.observed]:
            looks[name] = np.array(left, dtype=np.intp)
    gains = dict.fromkeys(candidates, 0.0)
    if looks:
        joint = _joint(problem, tuple(looks.values()))
        for name, gain in zip(looks, information_gain(joint).sum(axis=-1).tolist(), strict=True):
            gains[name] = gain
    return gains


def runs_needed(candidates: Mapping[str, Collection[str]]) -> int:
    """Return how many runs over the problem ``expected_gain`` takes at most: none off, all off, and all but one."""
    return 1 + sum(1 + len(events) for events in candidates.values())


def _joint(problem: Problem, looks: tuple[NDArray[np.intp], ...]) -> NDArray[np.float64]:
    """Return P(cause present or absent, outcome | evidence), shape (looks, n, 2, outcomes), padded with zeros.

    Only runs in which some events are off are needed. With N(off) the chance of the evidence and of those events
    being off, "only j shows" is N(all but j) - N(all). Such a difference loses digits relative to itself but not
    relative to the evidence, which is what an expectation needs.
    """
    network = problem.network
    runs = _Runs(len(network.causes))
    plans: list[tuple[tuple[int, float], list[tuple[int, float]]]] = []
    for rows in looks:
        keep = 1.0 - network.link[rows]
        silent = 1.0 - network.leak[rows]
        all_keep = keep.prod(axis=0)
        none = (runs.add(all_keep), float(silent.prod()))
        others = [
            (
                runs.add(all_keep / keep[j] if len(rows) > 1 else np.ones_like(all_keep)),
                float(np.delete(silent, j).prod()),
            )
            for j in range(len(rows))
        ]
        plans.append((none, others))
    evidence, joint = solve(problem, runs.table())
    total, present = float(evidence[0]), joint[:, 0]
    tables = np.zeros((len(looks), len(present), 2, 2 + max(len(rows) for rows in looks)))
    if total <= 0:
        return tables
    # Row 0 of ``chances`` is the outcome alone, the others are the outcome together with each cause.
    chances = np.vstack([evidence, joint]) / total
    whole = np.append(1.0, present / total)
    for table, ((run, scale), others) in zip(tables, plans, strict=True):
        columns = [chances[:, run] * scale]
        columns += [np.maximum(chances[:, one] * silent - columns[0], 0.0) for one, silent in others]
        rest = np.maximum(whole - np.sum(columns, axis=0), 0.0)
        outcomes = np.stack([*columns, rest], axis=-1)
        width = outcomes.shape[-1]
        table[:, 0, :width] = outcomes[1:]
        table[:, 1, :width] = np.maximum(outcomes[0] - outcomes[1:], 0.0)
    return tables


class _Runs:
    """Distinct further negatives to run, the first being none; places that share their links share a run."""

    def __init__(self, causes: int) -> None:
        self._kept: dict[bytes, int] = {}
        self._rows: list[NDArray[np.float64]] = []
        self.add(np.ones(causes))

    def add(self, kept: NDArray[np.float64]) -> int:
        """Return the column of the run in which each cause leaves the events off with these chances."""
        at = self._kept.setdefault(kept.tobytes(), len(self._rows))
        if at == len(self._rows):
            self._rows.append(kept)
        return at

    def table(self) -> NDArray[np.float64]:
        """Return all runs, shape (n, runs)."""
        return np.stack(self._rows, axis=1)
