"""Carry stated ranges through a formula: quantities in, one quantity out.

This file must never know what the formula is about.
"""

from collections.abc import Callable
from itertools import product

from core.exposure.model import Assumption, Quantity


def evaluate(
    formula: Callable[..., float], *inputs: Quantity, unit: str, also: tuple[Assumption, ...] = ()
) -> Quantity:
    """Return ``formula`` at the inputs' values, with its least and greatest value over their ranges.

    Evaluates all 2^n corners. This is exact, not an approximation, for a formula that is monotone in each
    argument while the others stand still, whichever way: along any edge the extreme then lies at an end.
    Every formula of this package that is passed here is of that kind; each says so by its equation. No
    distribution is assumed inside a range, so the interval is wider than a probabilistic one would be, never
    narrower.

    Parameters
    ----------
    formula
        Takes one float per input.
    inputs
        In the order of the formula's arguments.
    unit
        Of the result.
    also
        Assumptions of the formula itself, after those of its inputs.
    """
    value = formula(*(each.value for each in inputs))
    corners = [formula(*corner) for corner in product(*({each.low, each.high} for each in inputs))]
    return Quantity(
        value,
        min(value, *corners),
        max(value, *corners),
        unit,
        gather(*(each.assumptions for each in inputs), also),
    )


def exact(value: float, unit: str) -> Quantity:
    """Return a quantity without a range, such as a setting that the machine keeps."""
    return Quantity(value, value, value, unit)


def gather(*groups: tuple[Assumption, ...]) -> tuple[Assumption, ...]:
    """Return the assumptions of all groups, each once, in order."""
    gathered: list[Assumption] = []
    for group in groups:
        gathered.extend(each for each in group if each not in gathered)
    return tuple(gathered)
