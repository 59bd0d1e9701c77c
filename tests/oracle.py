"""A slow, independent judge of noisy-OR inference: it enumerates every set of causes.

It shares no code with the engine. ``enumerate_exactly`` works in rational numbers, for networks of a few causes;
``enumerate_all`` in floating point over bit patterns, for up to about twenty-two causes.
"""

from collections.abc import Collection, Mapping
from fractions import Fraction
from itertools import product
from math import prod

import numpy as np

Causes = Mapping[str, Fraction]
Events = Mapping[str, tuple[Fraction, Mapping[str, Fraction]]]


def enumerate_exactly(
    causes: Causes, events: Events, positive: Collection[str], negative: Collection[str]
) -> tuple[Fraction, dict[str, Fraction], dict[frozenset[str], Fraction]]:
    """Return P(evidence), each cause's posterior, and the posterior of each set of causes, all as fractions."""
    weights = {}
    for pattern in product((False, True), repeat=len(causes)):
        present = frozenset(cause for cause, is_on in zip(causes, pattern, strict=True) if is_on)
        weight = prod((p if cause in present else 1 - p for cause, p in causes.items()), start=Fraction(1))
        for event in positive:
            weight *= 1 - _off(events[event], present)
        for event in negative:
            weight *= _off(events[event], present)
        weights[present] = weight
    total = sum(weights.values())
    if not total:
        return Fraction(0), {}, {}
    marginals = {
        cause: sum(weight for present, weight in weights.items() if cause in present) / total for cause in causes
    }
    return total, marginals, {present: weight / total for present, weight in weights.items()}


def _off(event: tuple[Fraction, Mapping[str, Fraction]], present: Collection[str]) -> Fraction:
    leak, links = event
    return prod((1 - links.get(cause, Fraction(0)) for cause in present), start=1 - leak)


def enumerate_all(
    causes: Mapping[str, float],
    events: Mapping[str, tuple[float, Mapping[str, float]]],
    positive: Collection[str],
    negative: Collection[str],
) -> tuple[float, dict[str, float]]:
    """Return P(evidence) and each cause's posterior, in floating point, by growing a table of all 2**n sets."""
    watched = [*positive, *negative]
    weight = np.ones(1)
    off = {event: np.array([1.0 - events[event][0]]) for event in watched}
    for cause, p in causes.items():
        weight = np.concatenate([weight * (1 - p), weight * p])
        for event in watched:
            off[event] = np.concatenate([off[event], off[event] * (1 - events[event][1].get(cause, 0.0))])
    for event in positive:
        weight = weight * (1 - off[event])
    for event in negative:
        weight = weight * off[event]
    sets = np.arange(weight.size)
    total = weight.sum()
    return float(total), {
        cause: float(weight[(sets >> bit) & 1 == 1].sum() / total) for bit, cause in enumerate(causes)
    }
