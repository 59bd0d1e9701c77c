"""What the settings do to the resin, in a few sentences with the person's own numbers.

In: Exposure. Out: sentences, the ones that bear on the plate first. This file must never conclude anything from them.
"""

from collections.abc import Iterator

from core.exposure.model import Exposure, Quantity
from core.words import Words
from core.words.numbers import between

ABRUPT = 1.5
"""A step of dose below this is not worth a sentence: the layers above burn-in are nearly as hard."""


def describe(exposure: Exposure, words: Words) -> tuple[str, ...]:
    """Return what could be computed and matters for the first layers; empty where no settings were given."""
    return tuple(_sentences(exposure, words))


def _sentences(exposure: Exposure, words: Words) -> Iterator[str]:
    depth, furthest = exposure.burn_in_depth, exposure.furthest
    if depth is not None and furthest is not None:
        yield words.say(
            "exposure_summary.reach",
            range=_range(depth, "mm", words),
            place=words.say(f"positions.{furthest.position.value}"),
            gap=furthest.gap.value,
        )
    elif depth is not None:
        yield words.say("exposure_summary.depth", range=_range(depth, "mm", words))
    if exposure.dose is not None and exposure.dose.step.value >= ABRUPT:
        yield words.say(
            "exposure_summary.step", range=_range(exposure.dose.step, "", words), layers=exposure.dose.ramp_layers
        )
    settling = exposure.settling
    if settling is not None and settling.rest_enough is not None:
        yield words.say(
            f"exposure_summary.settling_{settling.rest_enough}",
            solid=_range(settling.solid, "s", words),
            open=_range(settling.open, "s", words),
        )
    if exposure.resin_known or (depth is None and exposure.dose is None):
        return
    yield words.say("exposure_summary.resin_unknown")


def _range(quantity: Quantity, unit: str, words: Words) -> str:
    """Return ``0.12 to 0.92 mm``, with as many digits as a caliper or a stopwatch could tell."""
    low, high = (_shown(value, unit) for value in (quantity.low, quantity.high))
    text = low if low == high else between(low, high, words)
    return f"{text} {unit}".rstrip()


def _shown(value: float, unit: str) -> str:
    if unit == "mm":
        return f"{value:.2f}"
    return f"{value:.2g}" if value < 100 else f"{value:.0f}"  # noqa: PLR2004 - three digits need no exponent
