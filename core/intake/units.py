"""What units are worth, and which unit a bare number must have been.

In: numbers with the unit that was written, or none. Out: millimetres (or the canonical unit of another
kind), notes on what was
assumed, and faults. This file must never know how units are spelt, nor tokens, forms or JSON.

The inch is 25.4 mm exactly (international yard and pound agreement, 1959); a thou is a thousandth of it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from core.errors import Fault
from core.intake.heard import Note
from core.report import THICKEST_MM, THINNEST_MM

Kind = Literal["length", "time", "speed", "temperature", "area", "viscosity", "layers"]

OVER_NOMINAL_MM = 2.0
"""A coupon thicker than this over nominal is a misreading and not a gap (common practice)."""

SIGNS = ("+", "-", "‐", "‑", "–", "—", "−")
"""A sign belongs to a difference from nominal and not to a thickness."""

PLAIN_UM = (300.0, 3000.0)
PLAIN_INCH = (0.012, 0.12)
PLAIN_THOU = (12.0, 120.0)
"""Where a bare number is plainly in that unit: a coupon of about 0.3 to 3 mm."""

TINIEST_MEANT, HUGEST_MEANT = 1e-6, 1e6
"""Beyond these no slipped point explains a number."""

ROUNDED_TO = 6
"""Decimals kept of a value in millimetres: a nanometre, well below any caliper, so that 1020 µm is exactly
1.02 mm."""


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: canonical value = number * factor + offset.

    Attributes:
        kind: The quantity. Canonical units: mm, s, mm/min, °C, mm², Pa·s, and a bare count of layers.
        sign: How it is written.
    """

    kind: Kind
    sign: str
    factor: float
    offset: float = 0.0

    def convert(self, number: float) -> float:
        """Return ``number`` of this unit in the canonical unit of its kind."""
        return round(number * self.factor + self.offset, ROUNDED_TO)


UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        "mm": Unit("length", "mm", 1.0),
        "um": Unit("length", "µm", 1e-3),
        "cm": Unit("length", "cm", 10.0),
        "inch": Unit("length", "in", 25.4),
        "thou": Unit("length", "thou", 0.0254),
        "s": Unit("time", "s", 1.0),
        "ms": Unit("time", "ms", 1e-3),
        "minute": Unit("time", "min", 60.0),
        "mm_per_min": Unit("speed", "mm/min", 1.0),
        "mm_per_s": Unit("speed", "mm/s", 60.0),
        "um_per_s": Unit("speed", "µm/s", 0.06),
        "celsius": Unit("temperature", "°C", 1.0),
        "fahrenheit": Unit("temperature", "°F", 5 / 9, -160 / 9),
        "mm2": Unit("area", "mm²", 1.0),
        "cm2": Unit("area", "cm²", 100.0),
        "pa_s": Unit("viscosity", "Pa·s", 1.0),
        "mpa_s": Unit("viscosity", "mPa·s", 1e-3),
        "layer": Unit("layers", "", 1.0),
    }
)

CANONICAL: Mapping[Kind, str] = MappingProxyType(
    {
        "length": "mm",
        "time": "s",
        "speed": "mm_per_min",
        "temperature": "celsius",
        "area": "mm2",
        "viscosity": "pa_s",
        "layers": "layer",
    }
)

# What a bare number out of range may have been instead, where people commonly write it so.
MOVABLE = {"too_thin", "too_thick", "bare_thou"}
"""Faults that a slipped decimal point explains."""

BARE_INSTEAD: Mapping[Kind, str] = MappingProxyType({"length": "um", "viscosity": "mpa_s"})


@dataclass(frozen=True, slots=True)
class Typed:
    """One number as it was typed.

    Attributes:
        field: Where it belongs.
        given: As typed.
        number: Its value in the unit as written.
        unit: Key of ``UNITS``; ``None`` for a bare number.
    """

    field: str
    given: str
    number: float
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Settled:
    """Thicknesses in mm, in the order in which they came, where there is no fault."""

    values: tuple[float, ...]
    notes: tuple[Note, ...]
    faults: tuple[Fault, ...]


def settle_thicknesses(
    typed: Sequence[Typed], nominal_mm: float, *, for_all: str | None = None, millimetres_stated: bool = False
) -> Settled:
    """Turn numbers typed together into millimetres, choosing one unit for all bare ones if one fits them all.

    Args:
        typed: The numbers, all of one report: what is implausible for one tells about the others.
        nominal_mm: Nominal thickness of the coupons.
        for_all: Unit written once, before or after all numbers.
        millimetres_stated: Whether the context says millimetres, as numbers in JSON do.
    """
    low, high = thickness_limits(nominal_mm)
    bare = [one for one in typed if one.unit is None and not _signed(one)]
    unit, code = _unit_of_bare(
        bare, low, high, for_all, stated=millimetres_stated or any(one.unit == "mm" for one in typed)
    )
    values: list[float] = []
    faults: list[Fault] = []
    assumed: dict[str, list[tuple[Typed, float]]] = {}
    for one in typed:
        if code is not None and one in bare:
            faults.append(_fault(one, code, nominal_mm, UNITS["inch"].convert(one.number)))
            continue
        meant = one.unit or unit or _unit_alone(one.number, low, high)
        value = UNITS[meant].convert(one.number)
        known = one.unit is not None or for_all == meant
        fault = _thickness_fault(one, value, nominal_mm, unit_known=known)
        if fault is not None:
            faults.append(fault)
            continue
        values.append(value)
        if one.unit is None and meant != "mm":
            assumed.setdefault(meant, []).append((one, value))
    notes = tuple(
        Note(
            "unit_at_end" if for_all == meant else "bare_numbers",
            {
                "given": ", ".join(one.given for one, _ in which),
                "unit": UNITS[meant].sign,
                "mm": ", ".join(f"{value:.3f}" for _, value in which),
            },
        )
        for meant, which in assumed.items()
    )
    return Settled(tuple(values), notes, tuple(faults))


def thickness_limits(nominal_mm: float) -> tuple[float, float]:
    """Return the thinnest and thickest coupon accepted, mm."""
    return THINNEST_MM, min(round(nominal_mm + OVER_NOMINAL_MM, ROUNDED_TO), THICKEST_MM)


def suggest_mm(number: float, nominal_mm: float) -> float | None:
    """Return what was probably meant: the same digits with the point where a coupon would have it, mm.

    Only values between two thirds and three halves of nominal are proposed; a guess further off would be
    worse than none.
    """
    if not TINIEST_MEANT <= abs(number) <= HUGEST_MEANT:
        return None
    places = round(math.log10(nominal_mm / abs(number)))
    nearest = min(
        (round(abs(number) * 10.0**power, ROUNDED_TO) for power in (places - 1, places, places + 1)),
        key=lambda value: abs(math.log(max(value, 1e-9) / nominal_mm)),
    )
    return nearest if nominal_mm * 2 / 3 <= nearest <= nominal_mm * 3 / 2 else None


def _unit_of_bare(
    bare: Sequence[Typed], low: float, high: float, for_all: str | None, *, stated: bool
) -> tuple[str | None, str | None]:
    """Return the unit of all bare numbers, or a fault code for all of them, or neither: each for itself."""
    numbers = [one.number for one in bare]

    def fits(unit: str) -> bool:
        return all(low <= UNITS[unit].convert(number) <= high for number in numbers)

    def plain(limits: tuple[float, float]) -> bool:
        return all(limits[0] <= number <= limits[1] for number in numbers)

    if not numbers:
        return None, None
    if for_all is not None:
        # "0.98 1.02 1.31 1.28 1100 µm": the unit can only belong to the last.
        return (None if not fits(for_all) and fits("mm") else for_all), None
    if plain(PLAIN_INCH) and fits("inch") and not stated:
        return (None, "bare_unclear") if fits("mm") else ("inch", None)
    if fits("mm"):
        return "mm", None
    if plain(PLAIN_UM) and fits("um"):
        return "um", None
    return None, None


def _unit_alone(number: float, low: float, high: float) -> str:
    """Return the unit of one bare number among numbers that no single unit fits."""
    if not low <= number <= high and PLAIN_UM[0] <= number <= PLAIN_UM[1] and UNITS["um"].convert(number) <= high:
        return "um"
    return "mm"


def _thickness_fault(one: Typed, value: float, nominal_mm: float, *, unit_known: bool) -> Fault | None:
    low, high = thickness_limits(nominal_mm)
    if _signed(one):
        return _fault(one, "signed", nominal_mm, value)
    if one.number == 0:
        return _fault(one, "zero", nominal_mm, value)
    if low <= value <= high:
        return None
    if not unit_known:
        if PLAIN_INCH[0] <= one.number < low:
            return _fault(one, "bare_inch", nominal_mm, UNITS["inch"].convert(one.number))
        thou = UNITS["thou"].convert(one.number)
        if PLAIN_THOU[0] <= one.number <= PLAIN_THOU[1] and thou <= high:
            return _fault(one, "bare_thou", nominal_mm, thou)
    return _fault(one, "too_thin" if value < low else "too_thick", nominal_mm, value)


def _fault(one: Typed, code: str, nominal_mm: float, value: float) -> Fault:
    low, high = thickness_limits(nominal_mm)
    values: dict[str, object] = {"low": f"{low:g}", "high": f"{high:g}", "mm": f"{value:.3f}"}
    meant = suggest_mm(one.number, nominal_mm) if code in MOVABLE else None
    if code == "signed" and suggest_mm(one.number, nominal_mm) == abs(value):
        meant = abs(value)
    if meant is None:
        return Fault(one.field, one.given, code, values)
    return Fault(one.field, one.given, f"{code}_meant", {**values, "meant": f"{meant:.4g}"})


def _signed(one: Typed) -> bool:
    return one.given.startswith(SIGNS)
