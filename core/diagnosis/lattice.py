"""Exact sums over the lattice of explained findings, without a single subtraction of sums.

In: for each cause which positive findings it can switch on and with what chance, and how likely it is present or absent. Out:
the probability of the evidence and, for each cause, of the evidence together with that cause. This file must never know names.

The inclusion-exclusion sum (Heckerman, UAI 1989, 174-181) costs the same but alternates in sign, and at fifteen positive
findings has lost all but three digits. Here a vector over the sets of findings already explained starts from the leaks. A
cause replaces it by ``absent * vector + present * (switch each of its findings on with its link)(vector)``; what has reached
the full set in the end is the probability of the evidence. Going back with the adjoint gives, for each cause, the chance that
the rest is explained afterwards, so one pass each way yields all posteriors. Every term is non-negative: nothing cancels.

A finding takes part in the vector only from its first cause to its last, so the cost is (causes)(links) 2^w for w findings
open at a time, never more than the number of positive findings.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Step:
    """What happens to the vector when one cause is taken in.

    A rank counts the axes behind a finding's own: its two values lie ``2**rank`` apart.

    Attributes:
        cause: Row of the cause in the chances.
        opens: Leaks of the findings that enter, each as a new foremost axis.
        links: (rank, link) of each finding that the cause can switch on.
        closes: Ranks of the findings that no later cause can switch on, in the order of closing.
    """

    cause: int
    opens: tuple[float, ...]
    links: tuple[tuple[int, float], ...]
    closes: tuple[int, ...]


def plan_steps(link: NDArray[np.float64], leak: NDArray[np.float64]) -> tuple[Step, ...]:
    """Order the causes so that few findings are open at a time, and lay out the vector for each.

    Args:
        link: Chance that a cause switches a positive finding on, shape (findings, causes); no empty row, no empty column.
        leak: Shape (findings,).
    """
    touched = {cause: frozenset(np.flatnonzero(column).tolist()) for cause, column in enumerate(link.T)}
    chances: list[list[float]] = link.tolist()
    leaks: list[float] = leak.tolist()
    waiting = [sum(row > 0 for row in rows) for rows in chances]
    open_findings: list[int] = []
    steps: list[Step] = []
    while touched:
        seen = set(open_findings)
        cause = min(touched, key=lambda one: (len(touched[one] - seen), -len(touched[one])))
        findings = touched.pop(cause)
        new = sorted(findings - seen)
        open_findings += new
        links = tuple(
            (rank, chances[one][cause]) for rank, one in enumerate(open_findings) if one in findings
        )
        for one in findings:
            waiting[one] -= 1
        closes: list[int] = []
        for rank in range(len(open_findings) - 1, -1, -1):
            if not waiting[open_findings[rank]]:
                closes.append(rank)
                del open_findings[rank]
        steps.append(Step(cause, tuple(leaks[one] for one in new), links, tuple(closes)))
    return tuple(steps)


def sweep(
    steps: Sequence[Step], present: NDArray[np.float64], absent: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Run forward and back through the steps, for a batch of chances at once.

    Args:
        steps: From ``plan_steps``, k causes.
        present: Chance that a cause is present and leaves every negative finding off, shape (k, batch).
        absent: Chance that it is absent, shape (k,).

    Returns:
        The probability that all findings of the steps are on, shape (batch,), and the same together with each cause being
        present, shape (k, batch).
    """
    batch = present.shape[1]
    vector = np.ones(batch)
    before: list[NDArray[np.float64]] = []
    for step in steps:
        for leak in step.opens:
            wider = np.empty((2, vector.size))
            np.multiply(vector, 1.0 - leak, out=wider[0])
            np.multiply(vector, leak, out=wider[1])
            vector = wider.reshape(-1)
        before.append(vector)
        switched = vector.copy()
        for rank, link in step.links:
            pair = switched.reshape(-1, 2, batch << rank)
            off = pair[:, 0]
            pair[:, 1] += link * off
            off *= 1.0 - link
        vector = _mix(vector, switched, present[step.cause], float(absent[step.cause]))
        for rank in step.closes:
            vector = vector.reshape(-1, 2, batch << rank)[:, 1].reshape(-1)
    evidence = vector
    joint = np.empty_like(present)
    back = np.ones(batch)
    for step, reached in zip(reversed(steps), reversed(before), strict=True):
        for rank in reversed(step.closes):
            halves = back.reshape(-1, batch << rank)
            wider3 = np.zeros((halves.shape[0], 2, halves.shape[1]))
            wider3[:, 1] = halves
            back = wider3.reshape(-1)
        switched = back.copy()
        for rank, link in step.links:
            pair = switched.reshape(-1, 2, batch << rank)
            off = pair[:, 0]
            off *= 1.0 - link
            off += link * pair[:, 1]
        joint[step.cause] = (reached * switched).reshape(-1, batch).sum(axis=0) * present[step.cause]
        back = _mix(back, switched, present[step.cause], float(absent[step.cause]))
        for leak in reversed(step.opens):
            low, high = back.reshape(2, -1)
            back = (1.0 - leak) * low + leak * high
    return evidence, joint


def _mix(
    vector: NDArray[np.float64], switched: NDArray[np.float64], present: NDArray[np.float64], absent: float
) -> NDArray[np.float64]:
    """Return ``absent * vector + present * switched``, in the memory of ``switched``."""
    table = switched.reshape(-1, present.size)
    table *= present
    switched += absent * vector
    return switched
