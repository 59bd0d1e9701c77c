"""A chance believed beforehand and what was counted in, the chance believed afterwards with its interval out.

This file must never know what the chance is of.
"""

from dataclasses import dataclass

from scipy.special import betaincinv


@dataclass(frozen=True, slots=True)
class Posterior:
    """A Beta distribution: as if ``yes`` of ``yes + no`` cases had been seen, with the mean and a central interval."""

    yes: float
    no: float
    mean: float
    low: float
    high: float


def learn_chance(before: float, weight: float, count: float, of: float, level: float = 0.95) -> Posterior:
    """Return what is believed of a chance after counting.

    Beta(weight·before, weight·(1 - before)) becomes Beta(weight·before + count, weight·(1 - before) + of - count).

    Args:
        before: The chance believed beforehand, in (0, 1).
        weight: How many cases that belief is worth; 2 at before = ½ is the uniform distribution.
        count: Cases with what is counted; expected counts need not be whole.
        of: All cases counted.
        level: Coverage of the central interval.

    Source:
        Gelman et al., Bayesian Data Analysis, 3rd ed., 2.4.

    Raises:
        ValueError: A chance outside (0, 1), a weight that is not positive, a level outside (0, 1), or not
            0 <= count <= of.
    """
    if not (0 < before < 1 and weight > 0 and 0 <= count <= of and 0 < level < 1):
        raise ValueError(f"{count} of {of} on top of {before} worth {weight} cases is no chance")
    yes, no = weight * before + count, weight * (1 - before) + of - count
    tail = (1 - level) / 2
    return Posterior(yes, no, yes / (yes + no), float(betaincinv(yes, no, tail)), float(betaincinv(yes, no, 1 - tail)))
