"""The ``exposure`` part of a verdict: an Exposure in, plain JSON values with the assumptions in words out.

Every number is an object with ``value``, ``low``, ``high``, ``unit`` and ``assumptions``; its key is its name
and unit. What could not be computed is left out. This file must never know a formula.
"""

from core.exposure.model import Assumption, Bridge, DoseProfile, Exposure, Quantity
from core.words import Words

SUFFIX = {"mm": "_mm", "s": "_s", "g": "_g", "ml": "_ml", "Pa·s": "_pa_s", "1": ""}
SIGNIFICANT = 6
"""Digits kept: more than any of these numbers deserves, and few enough to be read."""


def to_json(exposure: Exposure, words: Words) -> dict[str, object]:
    """Return the numbers that could be computed, each with its interval and its assumptions in words.

    Raises
    ------
    UnusableKnowledge
        An assumption has no words, or a template wants a value that the assumption does not have.
    """
    told: dict[str, object] = {"resin_known": exposure.resin_known}
    _add(told, words, exposure, "penetration_depth", "critical_time", "layer_height", "doubling_gain")
    _add(told, words, exposure, "burn_in_depth", "tolerated_error", "normal_depth", "layer_exposure")
    if exposure.bridges:
        told["bridging"] = {bridge.position.value: _bridge(bridge, words) for bridge in exposure.bridges}
    if exposure.dose is not None:
        told["dose"] = _dose(exposure.dose, words)
    if exposure.settling is not None:
        settling: dict[str, object] = {"rest_enough": exposure.settling.rest_enough}
        _add(settling, words, exposure.settling, "solid", "open")
        told["settling"] = settling
    if exposure.wear is not None:
        wear: dict[str, object] = {}
        _add(wear, words, exposure.wear, "burn_in_lit", "equal_normal_layers", "extra_volume", "extra_mass")
        told["wear"] = wear
    return told


def say_assumption(assumption: Assumption, words: Words) -> str:
    """Return one assumption as the clause that stands behind a number, its numbers cut to three digits."""
    values = {
        name: f"{value:.3g}" if isinstance(value, float) else words.say(f"positions.{value}")
        for name, value in assumption.values.items()
    }
    return words.say(f"assumptions.{assumption.key}", **values)


def _add(told: dict[str, object], words: Words, owner: object, *names: str) -> None:
    for name in names:
        quantity = getattr(owner, name)
        if isinstance(quantity, Quantity):
            told[name + SUFFIX[quantity.unit]] = _quantity(quantity, words)


def _quantity(quantity: Quantity, words: Words) -> dict[str, object]:
    return {
        "value": _short(quantity.value),
        "low": _short(quantity.low),
        "high": _short(quantity.high),
        "unit": quantity.unit,
        "assumptions": [say_assumption(each, words) for each in quantity.assumptions],
    }


def _bridge(bridge: Bridge, words: Words) -> dict[str, object]:
    told: dict[str, object] = {"reached": bridge.reached}
    _add(told, words, bridge, "gap", "short_by", "time_needed")
    return told


def _dose(dose: DoseProfile, words: Words) -> dict[str, object]:
    told: dict[str, object] = {
        "exposure_ratio": _short(dose.exposure_ratio),
        "ramp_step": _short(dose.ramp_step),
        "ramp_layers": dose.ramp_layers,
    }
    _add(told, words, dose, "step")
    told["layers"] = [
        {"kind": layer.kind, "exposure_s": _short(layer.exposure_s), "dose_s": _short(layer.dose_s)}
        for layer in dose.layers
    ]
    return told


def _short(number: float) -> float:
    return float(f"{number:.{SIGNIFICANT}g}")
