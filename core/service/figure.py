"""The figures that a moderator is told: frozen values, each with the number of cases it is from."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.statistics.agreement import Agreement
from core.statistics.calibration import Mistaken, ReliabilityBin
from core.statistics.distributions import Quantile
from core.statistics.intervals import Share
from core.statistics.trends import Trend

FALSE_ALARMS = 0.05
"""Largest expected share of false alarms among the trends that are reported."""


@dataclass(frozen=True, slots=True)
class Figure:
    """How many of some cases have something.

    Where a small group was put together with others, it is known between two ends only: ``at_least`` and ``at_most``.
    ``low`` and ``high`` are the ends of Wilson's interval, of the one end and the other.
    """

    name: str
    at_least: int
    at_most: int
    of: int
    low: float
    high: float

    @property
    def exact(self) -> bool:
        """Whether it was shown by itself in every period."""
        return self.at_least == self.at_most

    @property
    def share(self) -> float:
        """The share, or the middle between its ends."""
        return (self.at_least + self.at_most) / 2 / self.of if self.of else 0.0


@dataclass(frozen=True, slots=True)
class CauseTrend:
    """Whether a cause becomes more or less frequent; ``adjusted`` for looking at all of them."""

    name: str
    trend: Trend
    adjusted: float
    shares: tuple[Share, ...]

    @property
    def found(self) -> bool:
        """Whether it is reported."""
        return self.adjusted <= FALSE_ALARMS


@dataclass(frozen=True, slots=True, kw_only=True)
class Distribution:
    """Where readings lie across the community, mm.

    Attributes:
        cases: How many there are; ``exact`` is false where a few without any are among them.
        quantiles: Share to value; the cases of neighbouring bins that were published together count as spread evenly.
        bins: From, to, cases.
    """

    name: str
    cases: int
    exact: bool
    quantiles: Mapping[float, Quantile]
    bins: tuple[tuple[float, float, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quality:
    """How good the triage itself was, where somebody confirmed what was true.

    Attributes:
        first, first_three: How often the confirmed cause had been named first, and among the first three.
        bins: What was stated about the cause named first, and how often it came true.
        calibration_error: Expected calibration error over the bins.
        brier: Mean squared error over all causes of a case; ``None`` without enough cases.
        brier_cases: How many it is of.
        agreement: Of two helpers who judged before seeing each other's answer.
        mistakes: Causes that were not named first when they held, worst first; only what may be shown.
    """

    first: Figure | None
    first_three: Figure | None
    bins: tuple[ReliabilityBin, ...]
    calibration_error: float | None
    brier: float | None
    brier_cases: int
    agreement: Agreement
    mistakes: tuple[Mistaken, ...]
