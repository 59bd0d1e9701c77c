"""Single options and form fields: a number with its unit, a plate, a thread, the settings.

In: the text of one option. Out: its value in the canonical unit (mm, s, mm/min, °C, mm², Pa·s) and notes on
what was assumed.
This file must never know coupons, nor what a value means for a print.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from annotated_types import Ge, Gt, Le
from pydantic import BaseModel

from core.errors import Fault, UnusableInput
from core.intake.characters import clean, fold
from core.intake.choices import closest, read_yes_no
from core.intake.grammar import unit_of
from core.intake.heard import HeardSettings, Note
from core.intake.lexicon import Lexicon
from core.intake.units import BARE_INSTEAD, CANONICAL, UNITS, Kind
from core.report import Machine, Readings, Settings

# A quantity is a number with at most one decimal point or comma, then anything, which must be a unit.
QUANTITY = re.compile(
    r"\s*(?P<sign>[-–—−+])?\s*(?P<number>\d+(?:[.,]\d*)?|[.,]\d+)(?![.,]?\d)\s*(?P<unit>.*?)\s*", re.DOTALL
)
# A plate is two quantities with a word or sign between; the unit may stand once.
PLATE = re.compile(
    r"\s*(?P<width>\d+(?:[.,]\d+)?)\s*(?P<one>[^\d\s]*?)\s*(?P<by>[^\d\s.,]+?)"
    r"\s*(?P<depth>\d+(?:[.,]\d+)?)\s*(?P<two>[^\d\s]*)\s*"
)
# A metric thread is M, the diameter, and the pitch where it is not the coarse one: M4, M4x0.7 (ISO 261).
THREAD = re.compile(
    r"\s*m\s*(?P<diameter>\d{1,2}(?:[.,]\d)?)\s*(?:[x×*]\s*(?P<pitch>\d(?:[.,]\d{1,2})?))?\s*(?:mm)?\s*",
    re.IGNORECASE,
)
THREAD_MM = (1.0, 20.0)
"""Diameters that can adjust a plate."""

SETTINGS: Mapping[str, tuple[str, Kind | None]] = {
    "layer_height": ("layer_height_mm", "length"),
    "burn_in_layers": ("burn_in_layers", "layers"),
    "burn_in": ("burn_in_s", "time"),
    "transition_layers": ("transition_layers", "layers"),
    "exposure": ("exposure_s", "time"),
    "rest": ("rest_s", "time"),
    "lift": ("lift_mm_per_min", "speed"),
    "raised_exposure": ("raised_exposure", None),
}
"""Option to field of ``Settings`` and its kind; without a kind it is yes or no."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a value may be; ``open_low`` leaves ``low`` itself out."""

    low: float
    high: float
    open_low: bool = False

    def hold(self, value: float) -> bool:
        """Say whether ``value`` is within."""
        return (self.low < value if self.open_low else self.low <= value) and value <= self.high


def limits_of(model: type[BaseModel], name: str) -> Limits:
    """Return the limits that a model sets to one of its fields, so that they stand in one place only."""
    low, high, open_low = -float("inf"), float("inf"), False
    for rule in model.model_fields[name].metadata:
        if isinstance(rule, Ge):
            low = float(str(rule.ge))
        elif isinstance(rule, Gt):
            low, open_low = float(str(rule.gt)), True
        elif isinstance(rule, Le):
            high = float(str(rule.le))
    return Limits(low, high, open_low)


def range_fault(field: str, given: str, limits: Limits, unit: str = "") -> Fault:
    """Return the fault of a value outside its limits."""
    code = "out_of_range_above" if limits.open_low else "out_of_range"
    values = {"low": f"{limits.low:g}", "high": f"{limits.high:g}", "unit": f" {unit}" if unit else ""}
    return Fault(field, given, code, values)


def read_quantity(
    text: str, field: str, kind: Kind, limits: Limits, *, lexicon: Lexicon
) -> tuple[float, tuple[Note, ...]]:
    """Read a number with or without unit.

    A bare one is in the canonical unit, or plainly in another one, which is noted.

    Raises:
        UnusableInput: No number, a unit of something else, or out of its limits.
    """
    match = QUANTITY.fullmatch(clean(text, field))
    if match is None:
        raise UnusableInput((Fault(field, text, "not_a_number"),))
    number = float(match["number"].replace(",", "."))
    number = -number if match["sign"] not in {None, "+"} else number
    canonical = UNITS[CANONICAL[kind]]
    if match["unit"]:
        unit = unit_of(fold(match["unit"]), lexicon, kind) or unit_of(fold(match["unit"].rstrip(".")), lexicon, kind)
        if unit is None:
            accepted = ", ".join(one.sign for one in UNITS.values() if one.kind == kind and one.sign)
            code = "unknown_unit" if accepted else "not_a_number"
            raise UnusableInput((Fault(field, text, code, {"unit": match["unit"], "accepted": accepted}),))
        value = UNITS[unit].convert(number)
        if limits.hold(value):
            return value, ()
    elif limits.hold(number):
        return number, ()
    elif kind in BARE_INSTEAD and limits.hold(value := UNITS[BARE_INSTEAD[kind]].convert(number)):
        sign = UNITS[BARE_INSTEAD[kind]].sign
        values = {"given": text.strip(), "unit": sign, "value": f"{value:g}", "canonical": canonical.sign}
        return value, (Note("bare_quantity", {"field": field, **values}),)
    raise UnusableInput((range_fault(field, text, limits, canonical.sign),))


def read_length(text: str, field: str, limits: Limits, *, lexicon: Lexicon) -> tuple[float, tuple[Note, ...]]:
    """Read a length in mm; see ``read_quantity``."""
    return read_quantity(text, field, "length", limits, lexicon=lexicon)


def read_nominal(text: str, *, lexicon: Lexicon) -> tuple[float, tuple[Note, ...]]:
    """Read the nominal thickness of the coupons, mm."""
    return read_length(text, "nominal", limits_of(Readings, "nominal_mm"), lexicon=lexicon)


def read_number(text: str, field: str, limits: Limits) -> float:
    """Read a bare number with decimal point or comma.

    Raises:
        UnusableInput: Anything else, or out of its limits.
    """
    match = QUANTITY.fullmatch(clean(text, field))
    if match is None or match["unit"]:
        raise UnusableInput((Fault(field, text, "not_a_number"),))
    number = float(match["number"].replace(",", "."))
    number = -number if match["sign"] not in {None, "+"} else number
    if not limits.hold(number):
        raise UnusableInput((range_fault(field, text, limits),))
    return number


def read_whole(text: str, field: str, limits: Limits, *, lexicon: Lexicon) -> int:
    """Read a whole number of layers, with or without that word.

    Raises:
        UnusableInput: Anything else, or out of its limits.
    """
    number, _ = read_quantity(text, field, "layers", limits, lexicon=lexicon)
    if not number.is_integer():
        raise UnusableInput((Fault(field, text, "not_whole", {"low": f"{limits.low:g}", "high": f"{limits.high:g}"}),))
    return int(number)


def read_plate(text: str, *, lexicon: Lexicon, field: str = "plate") -> tuple[float, float]:
    """Read width and depth of a plate, mm: ``150x85``, ``150 × 85 mm``, ``15 by 8,5 cm``.

    Raises:
        UnusableInput: Not two lengths, or a side no plate has.
    """
    match = PLATE.fullmatch(clean(text, field))
    if match is None or fold(match["by"]) not in lexicon.by:
        raise UnusableInput((Fault(field, text, "not_a_plate"),))
    first, second = match["one"], match["two"]
    sides: list[float] = []
    faults: list[Fault] = []
    for side, unit in (("width", first or second), ("depth", second or first)):
        limits = limits_of(Machine, f"plate_{side}_mm")
        try:
            sides.append(read_length(f"{match[side]} {unit or 'mm'}", field, limits, lexicon=lexicon)[0])
        except UnusableInput as error:
            faults.extend(error.faults)
    if faults:
        raise UnusableInput(tuple(faults))
    return sides[0], sides[1]


def read_thread(text: str, field: str = "thread") -> str:
    """Read a metric thread into its designation: ``M4``, or ``M4x0.7`` where a pitch is given.

    Raises:
        UnusableInput: Anything else.
    """
    typed = clean(text, field)
    match = THREAD.fullmatch(typed)
    if match is None or not THREAD_MM[0] <= float(match["diameter"].replace(",", ".")) <= THREAD_MM[1]:
        if THREAD.fullmatch(f"M{typed.strip()}"):
            raise UnusableInput((Fault(field, text, "not_a_thread_meant", {"meant": f"M{typed.strip()}"}),))
        raise UnusableInput((Fault(field, text, "not_a_thread"),))
    diameter = f"{float(match['diameter'].replace(',', '.')):g}"
    if match["pitch"] is None:
        return f"M{diameter}"
    pitch = float(match["pitch"].replace(",", "."))
    if not 0 < pitch < float(diameter):
        raise UnusableInput((Fault(field, text, "not_a_thread"),))
    return f"M{diameter}x{pitch:g}"


def read_settings(fields: Mapping[str, str], *, lexicon: Lexicon) -> HeardSettings:
    """Read the options of the settings command; a missing or blank one is not given.

    Args:
        fields: Option, a key of ``SETTINGS``, to text.
        lexicon: Units and answers.

    Raises:
        UnusableInput: With a fault for every option that cannot be, or that there is not.
    """
    values: dict[str, object] = {}
    notes: list[Note] = []
    faults: list[Fault] = []

    for option, text in fields.items():
        if option not in SETTINGS:
            faults.append(closest(option, tuple(SETTINGS), "settings", "unknown_setting"))
            continue
        if not text.strip():
            continue
        try:
            values[SETTINGS[option][0]], assumed = _read_setting(option, text, lexicon)
        except UnusableInput as error:
            faults.extend(error.faults)
            continue
        notes.extend(assumed)
    if faults:
        raise UnusableInput(tuple(faults))
    return HeardSettings(Settings.model_validate(values), tuple(notes))


def _read_setting(option: str, text: str, lexicon: Lexicon) -> tuple[float | bool, tuple[Note, ...]]:
    name, kind = SETTINGS[option]
    if kind is None:
        return read_yes_no(text, option, lexicon=lexicon), ()
    limits = limits_of(Settings, name)
    if kind == "layers":
        return read_whole(text, option, limits, lexicon=lexicon), ()
    return read_quantity(text, option, kind, limits, lexicon=lexicon)
