"""A network and what was observed in, exact posterior probabilities of the causes out.

Geometry and settings enter as log-likelihood ratios per cause, which shift its prior log-odds; findings are then
explained by the network. This file must never know what a cause is, where a ratio comes from, or what follows from a
posterior.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import inf, log

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from core.diagnosis.lattice import Step, plan_steps, sweep, sweep_forth, widest
from core.diagnosis.network import Network
from core.errors import Fault, UnusableInput

MOST_POSITIVE = 20
"""Positive events that are weighed together."""

MOST_ENTANGLED = 15
"""Positive events that must be weighed at one time because they share causes; the cost doubles with each."""

_LARGEST_TABLE = 2**18
"""Numbers per cause that a batch may hold; larger batches are run in parts."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is known about the causes after the evidence.

    Attributes:
        marginals: Cause to its probability given the evidence, in the network's order.
        log_evidence: Natural logarithm of the probability of the findings under the shifted priors; ``-inf`` when the
            network cannot produce them. The marginals then are the shifted priors: the impossible teaches nothing.
    """

    marginals: Mapping[str, float]
    log_evidence: float


def infer(
    network: Network,
    positive: Collection[str],
    negative: Collection[str],
    log_likelihood_ratio: Mapping[str, float] | None = None,
) -> Posterior:
    """Return the exact posterior of every cause.

    Args:
        network: Causes and events.
        positive: Events that were seen. An event that is both positive and negative is impossible evidence.
        negative: Events that were looked for and not seen. An event in neither is unobserved, which is no evidence.
        log_likelihood_ratio: Cause to ln P(other evidence | present) / P(other evidence | absent), added to its prior
            log-odds. The probability of the findings then is the one under these shifted priors.

    Raises:
        KeyError: An event or cause that is not in the network.
        ValueError: A ratio that is not finite.
        UnusableInput: More than ``MOST_POSITIVE`` positive events (code ``too_many_findings``), or more than
            ``MOST_ENTANGLED`` that share causes so that none can be set aside (code ``entangled_findings``).
    """
    return conclude(pose(network, positive, negative, log_likelihood_ratio))


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A network narrowed to one body of evidence; pose once, ask several questions.

    Attributes:
        network: The network as a whole.
        observed: Rows of the events that were seen or looked for.
        prior: Shifted prior, shape (n,).
        present: Chance that a cause is present and leaves the negative events off, shape (n,).
        absent: Chance that a cause is absent, shape (n,).
        scale: Chance that no leak switches a negative event on, times that of positive events only a leak can explain.
        linked: Columns of the causes that can explain a positive event.
        steps: How to sweep over them.
        explained: Rows of the positive events that some cause can explain, k of them.
        leak: Their leaks, shape (k, 1).
    """

    network: Network
    observed: frozenset[int]
    prior: NDArray[np.float64]
    present: NDArray[np.float64]
    absent: NDArray[np.float64]
    scale: float
    linked: NDArray[np.intp]
    steps: tuple[Step, ...]
    explained: NDArray[np.intp]
    leak: NDArray[np.float64]

    @property
    def width(self) -> int:
        """Positive events that are weighed at one time; the cost doubles with each."""
        return widest(self.steps)


def pose(
    network: Network,
    positive: Collection[str],
    negative: Collection[str],
    log_likelihood_ratio: Mapping[str, float] | None = None,
) -> Problem:
    """Fold negative events and ratios into the chances of each cause; see ``infer`` for arguments and errors."""
    on = np.array([network.event_at[event] for event in dict.fromkeys(positive)], dtype=np.intp)
    off = np.array([network.event_at[event] for event in dict.fromkeys(negative)], dtype=np.intp)
    # In the network's order, so that the order of telling cannot change a digit.
    on.sort()
    off.sort()
    if on.size > MOST_POSITIVE:
        raise UnusableInput((Fault("findings", str(on.size), "too_many_findings", {"most": MOST_POSITIVE}),))
    prior, absent = _shift(network, log_likelihood_ratio or {})
    present = prior * np.prod(1.0 - network.link[off], axis=0)
    link = network.link[on] * (present > 0)
    explained = link.any(axis=1)
    linked = np.flatnonzero(link.any(axis=0))
    possible = set(positive).isdisjoint(negative)
    scale = float(np.prod(1.0 - network.leak[off]) * np.prod(network.leak[on[~explained]])) * possible
    steps = plan_steps(link[explained][:, linked])
    if (width := widest(steps)) > MOST_ENTANGLED:
        raise UnusableInput((Fault("findings", str(width), "entangled_findings", {"most": MOST_ENTANGLED}),))
    return Problem(
        network=network,
        observed=frozenset((*on.tolist(), *off.tolist())),
        prior=prior,
        present=present,
        absent=absent,
        scale=scale,
        linked=linked,
        steps=steps,
        explained=on[explained],
        leak=network.leak[on[explained], None],
    )


def conclude(problem: Problem) -> Posterior:
    """Return the exact posterior of every cause."""
    evidence, joint = solve(problem, np.ones((len(problem.network.causes), 1)))
    return read_posterior(problem, float(evidence[0]), joint[:, 0])


def read_posterior(problem: Problem, evidence: float, joint: NDArray[np.float64]) -> Posterior:
    """Return the posterior that one column of ``solve`` says."""
    marginals = joint / evidence if evidence > 0 else problem.prior
    log_evidence = log(evidence) if evidence > 0 else -inf
    return Posterior(dict(zip(problem.network.causes, marginals.tolist(), strict=True)), log_evidence)


def log_evidence_of(problem: Problem) -> float:
    """Return the natural logarithm of the probability of the evidence, ``-inf`` for the impossible: half an answer."""
    either = problem.present + problem.absent
    either[problem.linked] = 1.0
    linked = problem.present[problem.linked, None]
    swept, _ = sweep_forth(problem.steps, linked, problem.absent[problem.linked], problem.leak)
    total = float(swept[0] * (np.prod(either) * problem.scale))
    return log(total) if total > 0 else -inf


def solve(
    problem: Problem, kept: NDArray[np.float64], leak: NDArray[np.float64] | None = None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the probability of the evidence, and of the evidence with each cause, for a batch of changes to it.

    Args:
        problem: Network and evidence.
        kept: Chance that a present cause leaves further negative events off, shape (n, batch); ones for none. A factor
            above one takes negative events of the evidence away.
        leak: Leaks of the explained events, shape (k, batch), where they are not the network's; 1 takes an event away.

    Returns:
        Shapes (batch,) and (n, batch). Leaks of the further events are not included.
    """
    present = problem.present[:, None] * kept
    either = present + problem.absent[:, None]
    either[problem.linked] = 1.0
    linked = present[problem.linked]
    leaks = np.broadcast_to(problem.leak if leak is None else leak, (len(problem.leak), kept.shape[1]))
    part = max(1, _LARGEST_TABLE >> problem.width)
    swept = [
        sweep(
            problem.steps,
            linked[:, start : start + part],
            problem.absent[problem.linked],
            leaks[:, start : start + part],
        )
        for start in range(0, kept.shape[1], part)
    ]
    evidence = np.concatenate([one for one, _ in swept])
    joint_linked = np.concatenate([one for _, one in swept], axis=1)
    evidence = evidence * (np.prod(either, axis=0) * problem.scale)
    joint = present / either * evidence
    joint[problem.linked] = joint_linked * (np.prod(either, axis=0) * problem.scale)
    return evidence, joint


def _shift(
    network: Network, log_likelihood_ratio: Mapping[str, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the shifted chances of presence and absence; both in full relative precision."""
    shift = np.zeros(len(network.causes))
    for cause, ratio in log_likelihood_ratio.items():
        shift[network.cause_at[cause]] = ratio
    if not np.isfinite(shift).all():
        raise ValueError("a log-likelihood ratio must be finite")
    with np.errstate(divide="ignore"):
        odds = np.log(network.prior) - np.log1p(-network.prior) + shift
    # Without a shift the prior is taken as it is, which the logarithm and back would blur in the last digits.
    moved = shift != 0
    return np.where(moved, expit(odds), network.prior), np.where(moved, expit(-odds), 1.0 - network.prior)
