"""Exact sums over the lattice of explained findings, without a single subtraction of sums.

In: for each cause which positive findings it can switch on and with what chance, and how likely it is present
or absent. Out: the probability of the evidence and, for each cause, of the evidence together with that cause.
This file must never know names.

The inclusion-exclusion sum (Heckerman, UAI 1989, 174-181) costs the same but alternates in sign, and at fifteen
positive findings has lost all but three digits. Here a vector over the sets of findings already explained starts
from the leaks. A cause replaces it by ``absent * vector + present * switched``, where ``switched`` is the vector
after each of the cause's findings was switched on with its link; what has reached the full set in the end is the
probability of the evidence. Going back with the adjoint gives, for each cause, the chance that the rest is
explained afterwards, so one pass each way yields all posteriors. Every term is non-negative: nothing cancels.

A finding takes part in the vector only from its first cause to its last, so the cost is that of the links times
2^w for w findings open at a time, never more than the number of positive findings.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_FEW_BLOCKS = 16
_SHORT = 8192
"""Up to these, one small matrix product costs less than three passes over strided halves; measured."""


@dataclass(frozen=True, slots=True, eq=False)
class Switch:
    """One link of a cause to a finding that is open.

    Attributes:
        rank: Axes behind the finding's own: its two values, off and on, lie ``2**rank`` apart.
        link: Chance that the cause switches it on.
        forth: ``[[1 - link, 0], [link, 1]]``, which takes (off, on) to (off, on).
    """

    rank: int
    link: float
    forth: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """What happens to the vector when one cause is taken in.

    Attributes:
        cause: Row of the cause in the chances.
        opens: Findings that enter, each as a new foremost axis.
        switches: The cause's links.
        closes: Ranks of the findings that no later cause can switch on, in the order of closing.
        width: Findings that are open meanwhile.
    """

    cause: int
    opens: tuple[int, ...]
    switches: tuple[Switch, ...]
    closes: tuple[int, ...]
    width: int


def plan_steps(link: NDArray[np.float64]) -> tuple[Step, ...]:
    """Order the causes so that few findings are open at a time, and lay out the vector for each.

    Args:
        link: Chance that a cause switches a positive finding on, shape (findings, causes); no row and no column
            is all zero.
    """
    chances: list[list[float]] = link.tolist()
    forth = np.zeros((*link.shape, 2, 2))
    forth[..., 0, 0], forth[..., 1, 0], forth[..., 1, 1] = 1.0 - link, link, 1.0
    # Sets of findings are bit patterns here: the order is sought anew for every report.
    touched = {cause: sum(1 << one for one, row in enumerate(chances) if row[cause]) for cause in range(link.shape[1])}
    waiting = [sum(map(bool, row)) for row in chances]
    order: list[int] = []
    steps: list[Step] = []
    while touched:
        shut = ~sum(1 << one for one in order)
        cause = min(touched, key=lambda one: ((touched[one] & shut).bit_count(), -touched[one].bit_count()))
        findings = touched.pop(cause)
        new = [one for one in range(len(chances)) if findings & shut & (1 << one)]
        order += new
        switches: list[Switch] = []
        for rank, one in enumerate(order):
            if findings & (1 << one):
                switches.append(Switch(rank, chances[one][cause], forth[one, cause]))
                waiting[one] -= 1
        width = len(order)
        closes = [rank for rank in range(width - 1, -1, -1) if not waiting[order[rank]]]
        order = [one for one in order if waiting[one]]
        steps.append(Step(cause, tuple(new), tuple(switches), tuple(closes), width))
    return tuple(steps)


def widest(steps: Sequence[Step]) -> int:
    """Return how many findings are open at most; a vector then has two to this power of numbers."""
    return max((step.width for step in steps), default=0)


def sweep(
    steps: Sequence[Step], present: NDArray[np.float64], absent: NDArray[np.float64], leak: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Run forward and back through the steps, for a batch of chances at once.

    Args:
        steps: From ``plan_steps``, k causes.
        present: Chance that a cause is present and leaves every negative finding off, shape (k, batch).
        absent: Chance that it is absent, shape (k,).
        leak: Chance that a finding is on without any cause, shape (findings, batch); 1 for one that may be on or off.

    Returns:
        The probability that all findings of the steps are on, shape (batch,), and the same together with each
        cause being present, shape (k, batch).
    """
    batch = present.shape[1]
    missing: list[float] = absent.tolist()
    evidence, reached = sweep_forth(steps, present, absent, leak)
    joint = np.empty_like(present)
    back = np.ones(batch)
    for step, before in zip(reversed(steps), reversed(reached), strict=True):
        for rank in reversed(step.closes):
            wider = np.zeros((back.size // (batch << rank), 2, batch << rank))
            wider[:, 1] = back.reshape(-1, batch << rank)
            back = wider.reshape(-1)
        after = _look_back(back, step, batch)
        joint[step.cause] = (before * after).reshape(-1, batch).sum(axis=0) * present[step.cause]
        back = _mix(back, after, present[step.cause], missing[step.cause])
        for finding in reversed(step.opens):
            off, on = back.reshape(2, -1, batch)
            back = ((1.0 - leak[finding]) * off + leak[finding] * on).reshape(-1)
    return evidence, joint


def sweep_forth(
    steps: Sequence[Step], present: NDArray[np.float64], absent: NDArray[np.float64], leak: NDArray[np.float64]
) -> tuple[NDArray[np.float64], list[NDArray[np.float64]]]:
    """Run forward only.

    Returns:
        The probability that all findings of the steps are on, shape (batch,), and the vector before each step.
    """
    batch = present.shape[1]
    missing: list[float] = absent.tolist()
    vector = np.ones(batch)
    reached: list[NDArray[np.float64]] = []
    for step in steps:
        for finding in step.opens:
            table = vector.reshape(-1, batch)
            vector = np.concatenate((table * (1.0 - leak[finding]), table * leak[finding])).reshape(-1)
        reached.append(vector)
        vector = _mix(vector, _switch_on(vector, step, batch), present[step.cause], missing[step.cause])
        for rank in step.closes:
            vector = vector.reshape(-1, 2, batch << rank)[:, 1].reshape(-1)
    return vector, reached


def _switch_on(vector: NDArray[np.float64], step: Step, batch: int) -> NDArray[np.float64]:
    """Return the vector after the cause, being present, has switched on what it does: a new array."""
    result = vector.copy()
    for switch in step.switches:
        pair = result.reshape(-1, 2, batch << switch.rank)
        if len(pair) <= _FEW_BLOCKS and result.size <= _SHORT:
            result = (switch.forth @ pair).reshape(-1)
            continue
        off, on = pair[:, 0], pair[:, 1]
        on += switch.link * off
        off *= 1.0 - switch.link
    return result


def _look_back(vector: NDArray[np.float64], step: Step, batch: int) -> NDArray[np.float64]:
    """Return the adjoint of ``_switch_on`` applied to the vector: a new array."""
    result = vector.copy()
    for switch in step.switches:
        pair = result.reshape(-1, 2, batch << switch.rank)
        if len(pair) <= _FEW_BLOCKS and result.size <= _SHORT:
            result = (switch.forth.T @ pair).reshape(-1)
            continue
        off, on = pair[:, 0], pair[:, 1]
        off *= 1.0 - switch.link
        off += switch.link * on
    return result


def _mix(
    vector: NDArray[np.float64], switched: NDArray[np.float64], present: NDArray[np.float64], absent: float
) -> NDArray[np.float64]:
    """Return ``absent * vector + present * switched``, in the memory of ``switched``."""
    if present.size == 1:
        switched *= present[0]
    else:
        table = switched.reshape(-1, present.size)
        table *= present
    switched += absent * vector
    return switched
