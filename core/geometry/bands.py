"""How far from parallel: the spread of the corners, its band, and the probability of each band.

In: corner errors and draws of their deviations. Out: numbers. The bands' limits are norms of common practice;
this file must never hold one.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from core.geometry.model import BANDS, Band, Estimate, StartMove
from core.geometry.propagation import Draws, interval_of_sorted
from core.knowledge.schema import Knowledge

DECIMALS = 6
"""A spread is judged to the nanometre: 1.10 - 0.90 must be 0.20, whatever binary fractions make of it."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Where the bands end, mm: up to ``good``, up to ``workable``, below ``out``; at ``out`` it is out of parallel."""

    good: float
    workable: float
    out: float

    @classmethod
    def of(cls, knowledge: Knowledge) -> "Limits":
        """Read the limits from the norms."""
        return cls(
            knowledge.norm("spread_good_mm"),
            knowledge.norm("spread_workable_mm"),
            knowledge.norm("spread_out_mm"),
        )

    def band(self, spread: float) -> Band:
        """Return the band of a spread, mm."""
        if spread <= self.good:
            return "good"
        if spread <= self.workable:
            return "workable"
        return "marginal" if spread < self.out else "out_of_parallel"

    def probabilities(self, ordered: Draws) -> Mapping[Band, float]:
        """Return the share of draws of the spread, which must be in order, in each band; sums to 1."""
        ends = (
            np.searchsorted(ordered, np.float32(self.good), side="right"),
            np.searchsorted(ordered, np.float32(self.workable), side="right"),
            np.searchsorted(ordered, np.float32(self.out), side="left"),
            ordered.size,
        )
        counts = [int(end) for end in (0, *ends)]
        return {band: (to - start) / ordered.size for band, (start, to) in zip(BANDS, pairwise(counts), strict=True)}


def spread(corners: Iterable[float]) -> float:
    """Return highest minus lowest corner, mm."""
    errors = tuple(corners)
    return round(max(errors) - min(errors), DECIMALS)


def spread_draws(corners: Iterable[float], deviations: Draws) -> Draws:
    """Return draws of the spread, mm, shape (2, draws): of the corners plus each deviation, and minus it.

    The deviations are symmetric about zero, so a draw and its mirror image are equally probable, and taking
    both steadies the result for half the random numbers (antithetic variates).

    Args:
        corners: Estimated errors of the four corners, mm.
        deviations: Shape (4, draws), mm.
    """
    values = np.array(list(corners), dtype=np.float32)[:, None]
    drawn = np.empty((2, deviations.shape[1]), dtype=np.float32)
    for half, sign in zip(drawn, (np.add, np.subtract), strict=True):
        errors = sign(values, deviations)
        np.subtract(errors.max(axis=0), errors.min(axis=0), out=half)
    return drawn


def estimate_spread(value: float, ordered: Draws) -> Estimate:
    """Return a spread with the shortest 95 % interval of its draws, extended to hold the value itself.

    A range can only grow by errors that are independent: near zero its draws lie above the value of the
    readings, and the shortest interval may leave that value out. Extending the interval to it can only widen
    it. The standard uncertainty is the draws' standard deviation.
    """
    low, high = interval_of_sorted(ordered)
    mean = float(ordered.mean(dtype=np.float64))
    # In double precision from squares, for which no second array of draws is needed.
    square = float(np.einsum("i,i->", ordered, ordered, dtype=np.float64)) / ordered.size
    return Estimate(value, min(low, value), max(high, value), math.sqrt(max(square - mean**2, 0.0)))


def best_start(errors: Iterable[float]) -> StartMove:
    """Return the move of the start of the print after which the largest error anywhere is as small as it can be.

    That is the midrange of the five errors (minimax). Thin on balance (negative) means the print starts too
    close to the film, so it must start further away.
    """
    values = tuple(errors)
    midrange = round((max(values) + min(values)) / 2, DECIMALS)
    return StartMove(abs(midrange), "further" if midrange < 0 else "closer")
