"""The values geometry produces: what five coupons tell about plate and screen, with its uncertainty.

Lengths are mm. Errors are measured minus nominal; thin (negative) means the plate started too close there.
Nothing here computes.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from core.report import Position

Coordinate = TypeVar("Coordinate", float, NDArray[np.float64])

Band = Literal["good", "workable", "marginal", "out_of_parallel"]
BANDS: tuple[Band, ...] = ("good", "workable", "marginal", "out_of_parallel")

CONTRASTS = ("offset", "tilt_x", "tilt_y", "twist", "crown")
"""Order of rows and columns of a ``Contrasts.covariance``."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty and 95 % coverage interval, mm."""

    value: float
    low: float
    high: float
    u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """The uncertainty budget of one set of readings (JCGM 100), mm.

    Attributes:
        common_u: Standard uncertainty of what shifts all five alike (caliper, cure shrinkage).
        individual_u: Standard uncertainty of each measured position on its own (resolution, seating,
            repeatability).
        repeatability_s: Standard deviation of a single reading.
        repeatability_from: ``repeats`` (type A, pooled) or ``practice`` (type B).
        degrees_of_freedom: Of ``repeatability_s``; infinite for type B.
        components: Named standard uncertainties, for whoever wants to check the sum.
        counts: Number of readings at each measured position.
    """

    common_u: float
    individual_u: Mapping[Position, float]
    repeatability_s: float
    repeatability_from: Literal["repeats", "practice"]
    degrees_of_freedom: float
    components: Mapping[str, float]
    counts: Mapping[Position, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrasts:
    """The five contrasts and their 5x5 covariance (mm²), rows in the order of ``CONTRASTS``."""

    offset: float
    tilt_x: float
    tilt_y: float
    twist: float
    crown: float
    covariance: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class StartMove:
    """How far to move the start of the print, and which way, so that the errors are best centred."""

    distance: float
    direction: Literal["closer", "further"]


@dataclass(frozen=True, slots=True)
class Suspect:
    """A reading that most likely is wrong.

    Attributes:
        reason: ``twist`` (a flat plate cannot twist) or ``scatter`` (its repeats disagree).
        twist_z: |twist| over what measuring and an honest plate explain together; 0 for ``scatter``.
        would_be: What the other readings say this one should have been, thickness in mm.
    """

    position: Position
    reason: Literal["twist", "scatter"]
    twist_z: float
    would_be: float


@dataclass(frozen=True, slots=True)
class TooFew:
    """Two or more positions have no value, so nothing can be told; ``missing`` names the coupons to print again."""

    missing: tuple[Position, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """Everything four or five coupons tell.

    Attributes:
        nominal: Nominal thickness.
        errors: Error of each position; estimated from the others where ``missing``.
        measured: Mean thickness of each measured position.
        missing: The one position without a value, if any.
        spread: Highest minus lowest corner.
        band: Band of the estimated spread.
        band_probability: Probability of each band, sums to 1.
        offset_ok_probability: Probability that the offset lies within the norm.
        highest, lowest: Corners with the largest and the smallest error.
        twist_significant: Whether the twist is clearly beyond what measuring can explain.
    """

    nominal: float
    errors: Mapping[Position, float]
    measured: Mapping[Position, float]
    missing: Position | None
    budget: Budget
    contrasts: Contrasts
    offset: Estimate
    tilt_x: Estimate
    tilt_y: Estimate
    twist: Estimate
    crown: Estimate
    spread: Estimate
    band: Band
    band_probability: Mapping[Band, float]
    offset_ok_probability: float
    highest: Position
    lowest: Position
    twist_significant: bool
    suspect: Suspect | None
    move_start: StartMove

    def surface(self, x: Coordinate, y: Coordinate) -> Coordinate:
        """Return the error (mm) at plate coordinates, each from -1 (left, front) to +1 (right, back) at the coupons.

        Bilinear through the four corners plus a crown that is full at the centre and nothing at the coupons'
        rim: z = offset + tilt_x·x + tilt_y·y + twist·x·y + crown·(1 - (x² + y²)/2).
        """
        c = self.contrasts
        return c.offset + c.tilt_x * x + c.tilt_y * y + c.twist * x * y + c.crown * (1 - (x * x + y * y) / 2)
