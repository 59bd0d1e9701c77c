"""Propagation of distributions by Monte Carlo (JCGM 101): inputs and a model in, draws and coverage intervals out.

Draws are in single precision, whose step is seven digits below the value: far finer than any draw's own
spread here. Give inputs as deviations from the estimate where the values are large beside their
uncertainties. Knows nothing of coupons, and must never make its own generator: randomness is an argument.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Draws = NDArray[np.float32]

BLOCK = 12_500
"""Trials at a time: their arrays stay in the processor's cache and in memory that the process has already, which
halves the cost of a propagation."""

_HALF_OF_INT16 = 2.0**15


class Distribution(Protocol):
    """What is known of one input quantity."""

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        ...

    def draw(self, rng: np.random.Generator, count: int) -> Draws:
        """Return ``count`` independent draws."""
        ...


@dataclass(frozen=True, slots=True)
class Rectangular:
    """All values within ``mean ± half_width`` alike (JCGM 101, 6.4.2); u = half_width/√3 (JCGM 100, 4.3.7)."""

    mean: float
    half_width: float

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        return self.half_width / math.sqrt(3)

    def draw(self, rng: np.random.Generator, count: int) -> Draws:
        """Return draws on a grid of 2¹⁶ points, symmetric about the mean.

        One raw word, of a generator of 64-bit words, gives four draws, at a quarter of the cost of asking for
        fractions of one. A grid of a 65536th of the width is far below what the second digit of an uncertainty
        can show.
        """
        words = rng.bit_generator.random_raw((count + 3) // 4).view(np.int16)[:count]
        step = self.half_width / _HALF_OF_INT16
        drawn = np.multiply(words, np.float32(step), dtype=np.float32)
        drawn += np.float32(self.mean + step / 2)
        return drawn


@dataclass(frozen=True, slots=True)
class Gaussian:
    """Normal with a mean and a standard deviation (JCGM 101, 6.4.7)."""

    mean: float
    sd: float

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        return self.sd

    def draw(self, rng: np.random.Generator, count: int) -> Draws:
        """Return draws."""
        drawn = rng.standard_normal(count, dtype=np.float32)
        drawn *= np.float32(self.sd)
        if self.mean:
            drawn += np.float32(self.mean)
        return drawn


@dataclass(frozen=True, slots=True)
class PooledScale:
    """The factor by which a standard deviation from ν degrees of freedom may be too small: √(ν/χ²_ν).

    A Gaussian of the estimated standard deviation times one draw of this is the scaled and shifted t of JCGM
    101, 6.4.9. Several Gaussians that share the estimate share the draw.
    """

    degrees_of_freedom: float

    @property
    def u(self) -> float:
        """Standard uncertainty; infinite up to two degrees of freedom."""
        nu = self.degrees_of_freedom
        if nu <= 2:  # noqa: PLR2004 - the second moment does not exist
            return math.inf
        mean = math.sqrt(nu / 2) * math.exp(math.lgamma((nu - 1) / 2) - math.lgamma(nu / 2))
        return math.sqrt(nu / (nu - 2) - mean * mean)

    def draw(self, rng: np.random.Generator, count: int) -> Draws:
        """Return draws, all positive."""
        half = self.degrees_of_freedom / 2
        gamma = rng.standard_gamma(half, count, dtype=np.float32)
        return np.sqrt(np.float32(half) / np.maximum(gamma, np.finfo(np.float32).tiny))


def propagate(
    inputs: Sequence[Distribution],
    model: Callable[..., Draws],
    draws: int,
    rng: np.random.Generator,
) -> Draws:
    """Draw every input and return the model of the draws (JCGM 101, 7.2 to 7.4).

    Args:
        inputs: Independent input quantities.
        model: Takes one array of shape (draws,) per input, in their order; may overwrite them. Returns shape
            (..., draws).
        draws: Number of trials.
        rng: Seeded by the caller, so that the same readings always get the same answer.
    """
    sizes = [BLOCK] * (draws // BLOCK) + ([draws % BLOCK] if draws % BLOCK else [])
    first = model(*(quantity.draw(rng, sizes[0]) for quantity in inputs))
    drawn = np.empty((*first.shape[:-1], draws), dtype=np.float32)
    drawn[..., : sizes[0]] = first
    start = sizes[0]
    for size in sizes[1:]:
        drawn[..., start : start + size] = model(*(quantity.draw(rng, size) for quantity in inputs))
        start += size
    return drawn


def coverage_interval(draws: Draws, p: float = 0.95, *, shortest: bool = True) -> tuple[float, float]:
    """Return the ends of an interval that holds a fraction ``p`` of the draws (JCGM 101, 7.7).

    Args:
        draws: Shape (n,).
        p: Coverage probability.
        shortest: The shortest such interval (JCGM 101, 5.3.4), otherwise the probabilistically symmetric one.
    """
    ordered = np.sort(draws)
    return interval_of_sorted(ordered, p, shortest=shortest)


def interval_of_sorted(ordered: Draws, p: float = 0.95, *, shortest: bool = True) -> tuple[float, float]:
    """Return the same as ``coverage_interval`` for draws that are in order already."""
    count = ordered.size
    inside = min(count - 1, math.floor(p * count + 0.5))
    spare = count - inside  # how many places the lower end may take
    low = int(np.argmin(ordered[inside:] - ordered[:spare])) if shortest else (spare - 1) // 2
    return float(ordered[low]), float(ordered[low + inside])


def half_width(deviations: Draws, p: float = 0.95) -> float:
    """Return the half width that holds a fraction ``p`` of deviations that are symmetric about zero.

    Counts each draw and its mirror image, so it equals the interval of twice as many draws.
    """
    place = min(deviations.size - 1, math.ceil(p * deviations.size) - 1)
    sizes = np.abs(deviations)
    sizes.partition(place)
    return float(sizes[place])
