"""The few densities that diagnosis needs, in closed form on plain floats: log likelihood ratios of one contrast.

In: a measured value with its standard uncertainty, and the scales on which sound and faulty machines vary. Out:
natural-log ratios. This file must never know which contrast, cause or unit it is working on.
"""

import math

SMALLEST = 1e-300


def rectified_mean(mean: float, sd: float) -> float:
    """Return the expected positive part E[max(0, X)] of X ~ N(mean, sd²).

    sd·φ(mean/sd) + mean·Φ(mean/sd): half way between 0 and the mean where the sign is unknown, the mean where it is
    certain. ``sd`` must be positive; never negative, even where rounding would have it so.
    """
    z = mean / sd
    density = math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    upper = math.erfc(-z / math.sqrt(2)) / 2
    return max(sd * density + mean * upper, 0.0)


def one_sided_ratio(value: float, u: float, sound_sd: float, faulty_scale: float) -> float:
    """Return the log likelihood ratio for a fault that makes the true value positive.

    Sound: true value ~ N(0, sound_sd²). Faulty: true value ~ Rayleigh(faulty_scale), which starts at zero and so
    calls no value near zero a fault. Both are seen with an error N(0, u²). The Rayleigh density seen through that error
    is √(2π)/s · N(value; 0, s² + u²) · E[max(0, Z)] with Z the product of the two normal densities (own derivation;
    checked in the tests against quadrature).
    """
    return _seen_rayleigh(value, u, faulty_scale) - _log_normal(value, sound_sd**2 + u**2)


def two_sided_ratio(value: float, u: float, sound_sd: float, faulty_scale: float) -> float:
    """Return the log likelihood ratio for a fault that moves the true value away from zero, either way equally."""
    up, down = _seen_rayleigh(value, u, faulty_scale), _seen_rayleigh(-value, u, faulty_scale)
    larger = max(up, down)
    both = larger + math.log(math.exp(up - larger) + math.exp(down - larger)) - math.log(2)
    return both - _log_normal(value, sound_sd**2 + u**2)


def scale_ratio(size: float, u: float, sound_sd: float, faulty_sd: float) -> float:
    """Return the log likelihood ratio of two zero-centred scales for a quantity of two dimensions and the given size.

    Densities proportional to exp(-size²/2σ²)/σ², with σ² = sd² + u²: the two dimensions share one scale, so the
    direction does not matter.
    """
    sound, faulty = sound_sd**2 + u**2, faulty_sd**2 + u**2
    return math.log(sound / faulty) + size**2 / 2 * (1 / sound - 1 / faulty)


def binary_entropy(probability: float) -> float:
    """Return the entropy in bits of a yes-or-no with that probability of yes; 0 at 0 and 1."""
    return sum(-p * math.log2(p) for p in (probability, 1 - probability) if p > 0)


def _seen_rayleigh(value: float, u: float, scale: float) -> float:
    total = scale**2 + u**2
    mean, sd = value * scale**2 / total, scale * u / math.sqrt(total)
    positive = rectified_mean(mean, sd) if sd > 0 else max(mean, 0.0)
    return math.log(max(positive, SMALLEST) * math.sqrt(2 * math.pi) / scale) + _log_normal(value, total)


def _log_normal(value: float, variance: float) -> float:
    return -value * value / (2 * variance) - math.log(2 * math.pi * variance) / 2
