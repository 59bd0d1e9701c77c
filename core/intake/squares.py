"""Squares cured straight on the film, as people type them: exposure seconds and thickness, pair by pair.

In: text and a lexicon. Out: ``HeardSquares``, or every fault at once. This file must never know how words are spelt,
what a unit is worth, or what the squares tell about a resin.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from core.errors import Fault, UnusableInput
from core.intake.characters import clean
from core.intake.fields import Limits, limits_of
from core.intake.heard import Note
from core.intake.lexicon import Lexicon
from core.intake.square_pairs import Amount, Pair, Unread, pair_readings
from core.intake.units import BARE_INSTEAD, UNITS
from core.report import Settings

FIELD = "squares"
FEWEST, MOST = 3, 60
FEWEST_TIMES = 3
"""What a line with an uncertainty needs; ``fit_working_curve`` refuses fewer."""

THICKNESSES = Limits(0.02, 3.0)
"""Of a cured square, mm (common practice): thinner ones tear off the film, thicker ones no screen cures."""
PLAIN_UM = Limits(50.0, 3000.0)
"""Where a bare thickness is plainly in micrometres; smaller ones may be hundredths of a millimetre as well."""


@dataclass(frozen=True, slots=True)
class HeardSquares:
    """Exposure, s, and thickness, mm, of each square in the order given, and what was assumed."""

    times_s: tuple[float, ...]
    thickness_mm: tuple[float, ...]
    notes: tuple[Note, ...] = ()


def read_squares(text: str, *, lexicon: Lexicon) -> HeardSquares:
    """Read exposure and thickness of at least three squares: ``2 0.21, 4 0.32, 8 0.44``.

    Units are optional: bare exposures are seconds, bare thicknesses millimetres, or micrometres where only that fits,
    which is noted. Thickness may come first where the units say so. Repeats of one square are joined by slashes:
    ``2: 0.21/0.22``. Two rows, exposures over thicknesses, are read as well.

    Args:
        text: As typed.
        lexicon: Units and fillers.

    Raises:
        UnusableInput: With a fault for everything that cannot be, or one where the text can be read in two ways.
    """
    typed = clean(text, FIELD)
    if not any(sign.isdigit() for sign in typed):
        raise UnusableInput((Fault(FIELD, text.strip(), "squares_nothing"),))
    attempts = [_settle(pairs, lost) for pairs, lost in pair_readings(typed, lexicon)]
    usable = {(heard.times_s, heard.thickness_mm): heard for heard, faults in attempts if not faults}
    if len(usable) > 1:
        raise UnusableInput((Fault(FIELD, text.strip(), "squares_unclear"),))
    for heard in usable.values():
        return heard
    raise UnusableInput(min((faults for _, faults in attempts), key=len))


def _settle(pairs: Sequence[Pair], lost: Sequence[Unread]) -> tuple[HeardSquares, tuple[Fault, ...]]:
    """Turn pairs into seconds and millimetres, with a fault for each that cannot be."""
    faults = [Fault(FIELD, each.given, each.code) for each in lost]
    heard, wrong = _convert(pairs)
    # A whole list with thickness first has one cause, and one fault says so better than many.
    if wrong and not faults and not any(one.unit for pair in pairs for one in (pair.time, pair.thickness)):
        swapped = [replace(pair, time=pair.thickness, thickness=pair.time) for pair in pairs]
        if not _convert(swapped)[1]:
            wrong = [Fault(FIELD, pairs[0].given, "squares_swapped")]
    faults += wrong
    if not faults:
        faults += _number_faults(heard)
    return heard, tuple(faults)


def _convert(pairs: Sequence[Pair]) -> tuple[HeardSquares, list[Fault]]:
    limits = limits_of(Settings, "burn_in_s")
    bare = [pair.thickness for pair in pairs if pair.thickness.unit is None]
    unit = _unit_of_bare(bare)
    times: list[float] = []
    thicknesses: list[float] = []
    faults: list[Fault] = []
    for pair in pairs:
        time = UNITS[pair.time.unit or "s"].convert(pair.time.number)
        thickness = UNITS[pair.thickness.unit or unit].convert(pair.thickness.number)
        faults += _pair_faults(pair, (time, limits), (thickness, THICKNESSES))
        times.append(time)
        thicknesses.append(thickness)
    notes: tuple[Note, ...] = ()
    if unit != "mm":
        given = ", ".join(one.given for one in bare)
        notes = (Note("squares_unit", {"given": given, "unit": UNITS[unit].sign}),)
    return HeardSquares(tuple(times), tuple(thicknesses), notes), faults


def _unit_of_bare(bare: Sequence[Amount]) -> str:
    return BARE_INSTEAD["length"] if bare and all(PLAIN_UM.hold(one.number) for one in bare) else "mm"


def _pair_faults(pair: Pair, time: tuple[float, Limits], thickness: tuple[float, Limits]) -> Iterator[Fault]:
    for (value, limits), code, unit in ((time, "square_time", "s"), (thickness, "square_thickness", "mm")):
        if not limits.hold(value):
            values = {"value": f"{value:.4g} {unit}", "low": f"{limits.low:g}", "high": f"{limits.high:g}"}
            yield Fault(FIELD, pair.given, code, values)


def _number_faults(heard: HeardSquares) -> Iterator[Fault]:
    count, different = len(heard.times_s), len(set(heard.times_s))
    if count > MOST:
        yield Fault(FIELD, str(count), "squares_too_many", {"count": count, "most": MOST})
    elif count < FEWEST:
        yield Fault(FIELD, str(count), "squares_too_few", {"count": count, "fewest": FEWEST})
    elif different < FEWEST_TIMES:
        yield Fault(FIELD, str(different), "squares_few_times", {"count": different, "fewest": FEWEST_TIMES})
