"""Probabilities that were stated and what turned out in, how good they were out.

Everything but the multi-class Brier score is made from counts that add up, so that summaries can be kept and joined.
This file must never know what was predicted.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from core.statistics.intervals import Share, share_of


@dataclass(frozen=True, slots=True)
class ReliabilityBin:
    """Statements of about one probability.

    Attributes:
        low, high: The bin holds low < p <= high; the first also holds 0.
        stated: Sum of the stated probabilities.
        came_true: How many came true, of how many; its interval is Wilson's.
    """

    low: float
    high: float
    stated: float
    came_true: Share

    @property
    def mean_stated(self) -> float | None:
        """Mean stated probability; ``None`` of an empty bin."""
        return self.stated / self.came_true.of if self.came_true.of else None


def score_brier(stated: Sequence[float], true: Sequence[bool]) -> float:
    """Return the mean squared distance of probabilities from what came true: 0 is best, 1 worst, .25 for always .5.

    Source:
        Brier, Monthly Weather Review 78 (1950) 1, in the halved form for a yes-or-no that is usual today.

    Raises:
        ValueError: No statements, or as many outcomes as statements are not given.
    """
    p, y = _paired(stated, true)
    return float(np.mean((p - y) ** 2))


def score_brier_of_many(stated: Sequence[Mapping[str, float]], true: Sequence[str]) -> float:
    """Return Brier's own score for one of several outcomes: mean over cases of the sum over outcomes, 0 to 2.

    What a statement does not name has probability 0.

    Raises:
        ValueError: No statements, or as many outcomes as statements are not given.
    """
    if not stated or len(stated) != len(true):
        raise ValueError("each statement needs its outcome")
    total = sum(
        sum((one.get(name, 0.0) - (name == came)) ** 2 for name in {*one, came})
        for one, came in zip(stated, true, strict=True)
    )
    return total / len(stated)


def bin_by_probability(
    stated: Sequence[float], true: Sequence[bool], bins: int = 10, level: float = 0.95
) -> tuple[ReliabilityBin, ...]:
    """Return all bins of a reliability diagram, equally wide, empty ones included.

    Raises:
        ValueError: No statements, lengths that differ, or a probability outside [0, 1].
    """
    p, y = _paired(stated, true)
    if not ((p >= 0) & (p <= 1)).all():
        raise ValueError("a probability must be between 0 and 1")
    at = np.clip(np.ceil(p * bins).astype(int) - 1, 0, bins - 1)
    sums = np.bincount(at, weights=p, minlength=bins)
    of = np.bincount(at, minlength=bins)
    hits = np.bincount(at, weights=y, minlength=bins).astype(int)
    return tuple(
        ReliabilityBin(k / bins, (k + 1) / bins, float(sums[k]), share_of(int(hits[k]), int(of[k]), level))
        for k in range(bins)
    )


def join_bins(
    first: Sequence[ReliabilityBin], second: Sequence[ReliabilityBin], level: float = 0.95
) -> tuple[ReliabilityBin, ...]:
    """Return the bins of all statements of both. Raises ``ValueError`` where their ends differ."""
    if [(one.low, one.high) for one in first] != [(one.low, one.high) for one in second]:
        raise ValueError("only bins with the same ends can be joined")
    return tuple(
        ReliabilityBin(
            one.low,
            one.high,
            one.stated + other.stated,
            share_of(one.came_true.count + other.came_true.count, one.came_true.of + other.came_true.of, level),
        )
        for one, other in zip(first, second, strict=True)
    )


def calibration_error(bins: Sequence[ReliabilityBin]) -> float | None:
    """Return the expected calibration error: mean over statements of |mean stated - share come true| of their bin.

    It depends on the bins, and is above 0 by chance alone where bins hold few. ``None`` of no statements.

    Source:
        Guo, Pleiss, Sun & Weinberger, On calibration of modern neural networks, ICML 2017, equation 3 (from memory).
    """
    everything = sum(one.came_true.of for one in bins)
    if not everything:
        return None
    return sum(abs(one.stated - one.came_true.count) for one in bins) / everything


# ---- which cause was named ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Ranking:
    """How often what turned out true had been named first, and among the first three."""

    first: Share
    first_three: Share


def judge_ranking(ranks: Mapping[int, int], level: float = 0.95) -> Ranking:
    """Return how good a ranking was.

    Args:
        ranks: Rank at which the true one was named, from 1, to number of cases; where several are true, the best rank.
        level: Coverage of the intervals.
    """
    of = sum(ranks.values())
    three = sum(count for rank, count in ranks.items() if rank <= 3)  # noqa: PLR2004 - the first three
    return Ranking(share_of(ranks.get(1, 0), of, level), share_of(three, of, level))


@dataclass(frozen=True, slots=True)
class Mistaken:
    """How often one true thing was missed, and what was named in its place, the most frequent first."""

    true: str
    missed: Share
    instead: tuple[tuple[str, int], ...]


def rank_mistakes(named: Mapping[tuple[str, str], int], level: float = 0.95) -> tuple[Mistaken, ...]:
    """Return where the first-named was wrong, worst first.

    Worst is by the lower end of the interval of the share missed, so that one miss of one does not lead the list; ties
    by more misses, then by name. What was never missed is left out.

    Args:
        named: (true, named first) to number of cases.
        level: Coverage of the intervals.
    """
    found: list[Mistaken] = []
    for true in sorted({true for true, _ in named}):
        row = {first: count for (one, first), count in named.items() if one == true and count}
        missed = share_of(sum(row.values()) - row.get(true, 0), sum(row.values()), level)
        instead = sorted(((first, count) for first, count in row.items() if first != true), key=lambda x: (-x[1], x[0]))
        if missed.count:
            found.append(Mistaken(true, missed, tuple(instead)))
    return tuple(sorted(found, key=lambda one: (-one.missed.low, -one.missed.count, one.true)))


def _paired(stated: Sequence[float], true: Sequence[bool]) -> tuple[np.ndarray, np.ndarray]:
    if not len(stated) or len(stated) != len(true):
        raise ValueError("each statement needs its outcome")
    return np.array(stated, dtype=np.float64), np.array(true, dtype=np.float64)
