"""A network and what was observed in, exact posterior probabilities of the causes out.

Geometry and settings enter as log-likelihood ratios per cause, which shift its prior log-odds; findings are then
explained by the network. This file must never know what a cause is, where a ratio comes from, or what follows from a
posterior.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import inf, log

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from core.diagnosis.lattice import Step, plan_steps, sweep, widest
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
    problem = pose(network, positive, negative, log_likelihood_ratio)
    evidence, joint = solve(problem, np.ones((len(network.causes), 1)))
    total = float(evidence[0])
    marginals = joint[:, 0] / total if total > 0 else problem.prior
    return Posterior(dict(zip(network.causes, marginals.tolist(), strict=True)), log(total) if total > 0 else -inf)


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """A network narrowed to one body of evidence.

    Attributes:
        prior: Shifted prior, shape (n,).
        present: Chance that a cause is present and leaves the negative events off, shape (n,).
        absent: Chance that a cause is absent, shape (n,).
        scale: Chance that no leak switches a negative event on, times that of positive events only a leak can explain.
        linked: Columns of the causes that can explain a positive event.
        steps: How to sweep over them.
        explained: Rows of the positive events that some cause can explain.
    """

    prior: NDArray[np.float64]
    present: NDArray[np.float64]
    absent: NDArray[np.float64]
    scale: float
    linked: NDArray[np.intp]
    steps: tuple[Step, ...]
    explained: NDArray[np.intp]


def pose(
    network: Network,
    positive: Collection[str],
    negative: Collection[str],
    log_likelihood_ratio: Mapping[str, float] | None,
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
    steps = plan_steps(link[explained][:, linked], network.leak[on[explained]])
    if (width := widest(steps)) > MOST_ENTANGLED:
        raise UnusableInput((Fault("findings", str(width), "entangled_findings", {"most": MOST_ENTANGLED}),))
    return Problem(prior, present, absent, scale, linked, steps, on[explained])


def solve(problem: Problem, kept: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the probability of the evidence, and of the evidence with each cause, for a batch of further negatives.

    Args:
        problem: Network and evidence.
        kept: Chance that a present cause leaves the further negative events off, shape (n, batch); ones for none.

    Returns:
        Shapes (batch,) and (n, batch). Leaks of the further events are not included.
    """
    present = problem.present[:, None] * kept
    either = present + problem.absent[:, None]
    either[problem.linked] = 1.0
    linked = present[problem.linked]
    part = max(1, _LARGEST_TABLE >> widest(problem.steps))
    swept = [
        sweep(problem.steps, linked[:, start : start + part], problem.absent[problem.linked])
        for start in range(0, kept.shape[1], part)
    ]
    evidence = np.concatenate([one for one, _ in swept])
    joint_linked = np.concatenate([one for _, one in swept], axis=1)
    evidence = evidence * (np.prod(either, axis=0) * problem.scale)
    joint = present / either * evidence
    joint[problem.linked] = joint_linked * (np.prod(either, axis=0) * problem.scale)
    return evidence, joint


def most_probable_sets(
    network: Network,
    positive: Collection[str],
    negative: Collection[str],
    log_likelihood_ratio: Mapping[str, float] | None = None,
    *,
    count: int = 3,
    largest: int = 3,
) -> tuple[tuple[frozenset[str], float], ...]:
    """Return the most probable exact sets of present causes, most probable first, each with its posterior probability.

    Every set of up to ``largest`` causes is weighed; all causes outside the set are absent. The probabilities are
    normalised by the exact evidence, so that those of all sets of any size would sum to one. Empty for impossible
    evidence. Arguments and errors are those of ``infer``.
    """
    problem = pose(network, positive, negative, log_likelihood_ratio)
    total = float(solve(problem, np.ones((len(network.causes), 1)))[0][0])
    if total <= 0:
        return ()
    n = len(network.causes)
    # Column n stands for "no further cause", so that sets of every size share one table.
    sets = np.array(
        [members + (n,) * (largest - size) for size in range(largest + 1) for members in combinations(range(n), size)],
        dtype=np.intp,
    ).reshape(-1, largest)
    held = np.zeros((len(sets), n + 1), dtype=np.bool_)
    held[np.arange(len(sets))[:, None], sets] = True
    weight = problem.scale * np.where(held[:, :n], problem.present, problem.absent).prod(axis=1)
    for row in problem.explained:
        link = np.append(network.link[row], 0.0)
        shown = np.full(len(sets), network.leak[row])
        for member in sets.T:
            shown += (1.0 - shown) * link[member]
        weight *= shown
    best = np.argsort(-weight, kind="stable")[:count]
    return tuple(
        (frozenset(network.causes[member] for member in sets[one] if member < n), float(weight[one] / total))
        for one in best
        if weight[one] > 0
    )


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
