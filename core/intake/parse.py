"""Five readings out of what a tired person typed, in one line or in five fields.

In: text and a lexicon. Out: ``HeardReadings``, or every fault at once. This file must never know how words
are spelt, what a
unit is worth, or what the readings mean.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from core.errors import Fault, UnusableInput
from core.intake.arrangement import WHOLE, Entry, Group, arrange
from core.intake.characters import clean
from core.intake.choices import closest
from core.intake.grammar import Token, comma_readings, drop_bullets, scan
from core.intake.heard import HeardReadings, Note
from core.intake.lexicon import Lexicon
from core.intake.units import Typed, settle_thicknesses, suggest_mm
from core.report import MOST_REPEATS, POSITIONS, Position, Readings

LEAST_NOMINAL_MM, MOST_NOMINAL_MM = 0.3, 3.0

MARKS = set("0123456789.~≈?*'`")
"""Signs that may stand around a number without changing it."""

LOOKALIKES = str.maketrans("oOlI|", "00111")
# How bad a fault is for choosing between two ways to read the commas: a broken number is worse than a wrong
# count.
BROKEN = {"comma_unclear", "not_a_number", "not_a_number_meant"}


def read_readings(text: str, *, nominal_mm: float = 1.0, lexicon: Lexicon) -> HeardReadings:
    """Read coupon thicknesses by position in the stated order, or by name.

    Args:
        text: As typed: five values, or any number of named ones; repeats joined by slashes; a mark for a
        lost coupon.
        nominal_mm: Nominal thickness of the coupons.
        lexicon: Names, marks and units.

    Raises:
        UnusableInput: With a fault for everything that cannot be.
    """
    check_nominal(nominal_mm)
    text = drop_bullets(clean(text, WHOLE))
    if not text.strip(" \t\n,;|"):
        raise UnusableInput((Fault(WHOLE, text, "nothing_given"),))
    attempts = [_attempt(scan(reading, text, lexicon), text, lexicon, nominal_mm) for reading in comma_readings(text)]
    best = min(attempts, key=lambda attempt: attempt.badness)
    if best.faults:
        raise UnusableInput(best.faults)
    return HeardReadings(Readings(nominal_mm=nominal_mm, **best.coupons), best.notes)


def read_fields(fields: Mapping[str, str], *, nominal_mm: float = 1.0, lexicon: Lexicon) -> HeardReadings:
    """Read the five fields of a form; a missing or blank field is not given.

    Args:
        fields: Position name to text; other keys are left to the other options.
        nominal_mm: Nominal thickness of the coupons.
        lexicon: Marks and units.

    Raises:
        UnusableInput: No field holds anything, or with a fault for everything that cannot be.
    """
    check_nominal(nominal_mm)
    texts = {place.value: fields[place.value] for place in POSITIONS if fields.get(place.value, "").strip()}
    if not texts:
        raise UnusableInput((Fault(WHOLE, "", "nothing_given"),))
    coupons, notes = read_coupons(texts, nominal_mm, lexicon=lexicon)
    return HeardReadings(Readings(nominal_mm=nominal_mm, **coupons), notes)


def read_one(
    text: str, field: str, nominal_mm: float = 1.0, *, lexicon: Lexicon
) -> tuple[tuple[float, ...] | None, tuple[Note, ...]]:
    """Read the repeats of one coupon: millimetres, ``()`` for blank text, ``None`` for a lost one.

    Raises:
        UnusableInput: With a fault for everything that cannot be.
    """
    check_nominal(nominal_mm)
    if not text.strip():
        return (), ()
    coupons, notes = read_coupons({field: text}, nominal_mm, lexicon=lexicon)
    return coupons[field], notes


def read_coupons(
    texts: Mapping[str, str], nominal_mm: float, *, lexicon: Lexicon, millimetres_stated: bool = False
) -> tuple[dict[str, tuple[float, ...] | None], tuple[Note, ...]]:
    """Read texts of one coupon each; bare numbers of all of them share one unit if one fits.

    Args:
        texts: Field to text, none blank.
        nominal_mm: Nominal thickness, already checked.
        lexicon: Marks and units.
        millimetres_stated: Whether the context says millimetres.

    Raises:
        UnusableInput: With a fault for everything that cannot be.
    """
    groups: dict[str, Group] = {}
    faults: list[Fault] = []
    for name, text in texts.items():
        try:
            group, wrong = _one_coupon(clean(text, name), name, lexicon, nominal_mm)
        except UnusableInput as error:
            faults.extend(error.faults)
            continue
        groups[name] = group
        faults.extend(wrong)
    coupons, notes, unusable = _settle(groups, nominal_mm, None, millimetres_stated=millimetres_stated)
    if faults or unusable:
        raise UnusableInput((*faults, *unusable))
    return coupons, notes


def check_nominal(nominal_mm: float) -> None:
    """Raise ``UnusableInput`` unless coupons of this nominal thickness, mm, can be."""
    if not LEAST_NOMINAL_MM <= nominal_mm <= MOST_NOMINAL_MM:
        limits = {"low": f"{LEAST_NOMINAL_MM:g}", "high": f"{MOST_NOMINAL_MM:g}", "unit": " mm"}
        raise UnusableInput((Fault("nominal", f"{nominal_mm:g}", "out_of_range", limits),))


@dataclass(frozen=True, slots=True)
class _Attempt:
    coupons: dict[str, tuple[float, ...] | None]
    notes: tuple[Note, ...]
    faults: tuple[Fault, ...]

    @property
    def badness(self) -> tuple[int, int]:
        return sum(fault.code in BROKEN for fault in self.faults), len(self.faults)


def _attempt(tokens: tuple[Token, ...], text: str, lexicon: Lexicon, nominal_mm: float) -> _Attempt:
    entries, for_all = arrange(tokens, lexicon)
    if any(item.cut for entry in entries if entry.group for item in entry.group.items):
        return _Attempt({}, (), (Fault(WHOLE, text, "comma_unclear"),))
    notes: tuple[Note, ...] = ()
    if not any(entry.name for entry in entries):
        groups = [entry.group for entry in entries if entry.group is not None]
        if len(groups) == 1 and len(groups[0].items) == len(POSITIONS) and not groups[0].dangling:
            # Five repeats of one coupon and nothing else would be no positional list.
            groups = [Group([item]) for item in groups[0].items]
            notes = (Note("slashes_between_positions"),)
        placed, faults = _place_in_order(groups, text)
    else:
        placed, faults = _place_by_name(entries, text, lexicon)
    for place, group in placed.items():
        faults.extend(_group_faults(group, place, nominal_mm))
    coupons, assumed, wrong = _settle(placed, nominal_mm, for_all)
    return _Attempt(coupons, (*notes, *assumed), (*faults, *wrong))


def _place_in_order(groups: Sequence[Group], text: str) -> tuple[dict[str, Group], list[Fault]]:
    if len(groups) == len(POSITIONS):
        return {place.value: group for place, group in zip(POSITIONS, groups, strict=True)}, []
    faults = [Fault(WHOLE, text, "reading_count", {"count": len(groups)})]
    # Without the count no reading has a place, but a broken number can be named all the same.
    faults += [fault for group in groups for fault in _group_faults(group, WHOLE, 1.0)]
    return {}, faults


def _place_by_name(entries: list[Entry], text: str, lexicon: Lexicon) -> tuple[dict[str, Group], list[Fault]]:
    placed: dict[str, Group] = {}
    faults: list[Fault] = []
    groups = sum(entry.group is not None for entry in entries)
    before: Position | None = None
    for index, entry in enumerate(entries):
        if entry.name is None:
            if index == 0 or groups == len(POSITIONS) or before is None:
                return {}, [Fault(WHOLE, text, "names_and_order")]
            faults.append(Fault(before.value, entry.group.given if entry.group else "", "two_values"))
            continue
        before = entry.name.position
        if before is None:
            faults.append(closest(entry.name.given, tuple(lexicon.positions), WHOLE, "not_a_position"))
        elif entry.group is None:
            faults.append(Fault(before.value, entry.name.given, "no_value"))
        elif before.value in placed:
            faults.append(Fault(before.value, entry.group.given, "two_values"))
        else:
            placed[before.value] = entry.group
    return placed, faults


def _one_coupon(text: str, name: str, lexicon: Lexicon, nominal_mm: float) -> tuple[Group, list[Fault]]:
    best: tuple[Group, list[Fault]] | None = None
    for reading in comma_readings(text):
        # In a field of one coupon whatever separates values can only separate repeats.
        tokens = scan(reading, text, lexicon)
        if tokens and tokens[0].kind == "name" and tokens[0].position == name.rpartition(".")[2]:
            tokens = tokens[1:]
        entries, for_all = arrange(tokens, lexicon)
        group = Group()
        for entry in entries:
            group.items += [replace(entry.name, kind="odd")] if entry.name else []
            group.items += entry.group.items if entry.group else []
            group.dangling = group.dangling or bool(entry.group and entry.group.dangling)
        group.items = [item if item.unit else replace(item, unit=for_all) for item in group.items]
        faults = _group_faults(group, name, nominal_mm)
        if any(item.cut for item in group.items):
            faults = [Fault(name, text, "comma_unclear")]
        if not group.items and not faults:
            faults = [Fault(name, text, "not_a_number")]
        if best is None or len(faults) < len(best[1]):
            best = group, faults
    return best or (Group(), [Fault(name, text, "not_a_number")])


def _group_faults(group: Group, name: str, nominal_mm: float) -> list[Fault]:
    faults = [_unread(item, name, nominal_mm) for item in group.items if item.kind not in {"value", "lost"}]
    kinds = {item.kind for item in group.items}
    if group.dangling:
        faults.append(Fault(name, group.given, "dangling_slash"))
    if {"value", "lost"} <= kinds:
        faults.append(Fault(name, group.given, "lost_and_value"))
    if len(group.items) > MOST_REPEATS:
        faults.append(Fault(name, group.given, "too_many_repeats", {"count": len(group.items), "most": MOST_REPEATS}))
    return faults


def _unread(item: Token, name: str, nominal_mm: float) -> Fault:
    """Return the fault of a piece that is no number, with what was meant where letters stand for digits."""
    looks = item.given.translate(LOOKALIKES).replace(",", ".")
    digits = "".join(sign for sign in looks if sign.isdigit() or sign == ".").strip(".")
    # Other signs make a guess worse than none: 1e9 is not 1.9.
    if digits and digits.count(".") <= 1 and set(looks) <= MARKS:
        meant = suggest_mm(float(digits), nominal_mm)
        if meant is not None:
            return Fault(name, item.given, "not_a_number_meant", {"meant": f"{meant:.4g}"})
    return Fault(name, item.given, "not_a_number")


def _settle(
    groups: Mapping[str, Group], nominal_mm: float, for_all: str | None, *, millimetres_stated: bool = False
) -> tuple[dict[str, tuple[float, ...] | None], tuple[Note, ...], tuple[Fault, ...]]:
    typed = [
        Typed(name, item.given, item.number, item.unit)
        for name, group in groups.items()
        for item in group.items
        if item.kind == "value"
    ]
    settled = settle_thicknesses(typed, nominal_mm, for_all=for_all, millimetres_stated=millimetres_stated)
    if settled.faults:
        return {}, (), settled.faults
    values = iter(settled.values)
    coupons: dict[str, tuple[float, ...] | None] = {}
    for name, group in groups.items():
        repeats = tuple(next(values) for item in group.items if item.kind == "value")
        coupons[name] = repeats or None
    return coupons, settled.notes, ()
