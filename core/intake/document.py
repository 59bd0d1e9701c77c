"""A report as JSON: bytes in, a validated Report out, or every fault at once.

In: whatever arrived where a report was expected, and the knowledge whose findings and places it may name.
Out: ``HeardReport``. This file must never know what a finding means; it raises nothing but
``UnusableInput``, whatever the bytes are.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeGuard

from pydantic import BaseModel, ValidationError

from core.errors import Fault, UnusableInput
from core.intake.choices import closest
from core.intake.fields import limits_of, range_fault
from core.intake.heard import HeardReport, Note
from core.intake.json_shape import Object, load_object, name_key, show
from core.intake.lexicon import Lexicon
from core.intake.parse import read_coupons
from core.intake.units import Typed, settle_thicknesses
from core.knowledge.schema import Knowledge
from core.report import MOST_REPEATS, POSITIONS, Machine, Raft, Readings, Report, Resin, Seen, Settings

PARTS: Mapping[str, type[BaseModel]] = {
    "settings": Settings,
    "raft": Raft,
    "machine": Machine,
    "resin": Resin,
}
MOST_FINDINGS = 60
UNKNOWN_PLACE = "unknown"

EXACT_BELOW = 2.0**53
"""Whole numbers in a double are exact below this (IEEE 754)."""

# What pydantic calls a fault, and our code for it where its own name says all.
CODES: Mapping[str, str] = {
    "float_type": "want_number",
    "int_type": "want_whole",
    "int_from_float": "want_whole",
    "bool_type": "want_true_or_false",
    "string_type": "want_text",
    "string_pattern_mismatch": "not_a_thread",
}
RANGE = {"greater_than", "greater_than_equal", "less_than", "less_than_equal", "finite_number"}


def read_report(raw: bytes | str, knowledge: Knowledge, *, lexicon: Lexicon) -> HeardReport:
    """Read a report in JSON.

    Args:
        raw: The document, at most ``json_shape.LARGEST`` bytes of UTF-8.
        knowledge: Whose findings and places are accepted.
        lexicon: Units and marks in readings that are texts.

    Raises:
        UnusableInput: With a fault for everything that cannot be, named by its dotted path.
    """
    document = load_object(raw)
    hearing = _Hearing(knowledge, lexicon, [], [])
    parts = hearing.parts(document)
    if hearing.faults:
        raise UnusableInput(tuple(hearing.faults))
    return HeardReport(Report(**parts), tuple(hearing.notes))


@dataclass(frozen=True, slots=True)
class _Hearing:
    """What is needed and gathered while one document is read."""

    knowledge: Knowledge
    lexicon: Lexicon
    faults: list[Fault]
    notes: list[Note]

    def parts(self, document: Object) -> dict[str, object]:
        """Return the parts of a Report, as far as they are without fault."""
        self.refuse_unknown(document, "", Report)
        parts: dict[str, object] = {}
        for name, value in document.items():
            if name == "readings":
                if value is not None:
                    self.readings(value, parts)
            elif name == "findings":
                parts[name] = self.findings(value)
            elif name == "absent":
                parts[name] = self.absent(value, document.get("findings"))
            elif name in PARTS:
                self.part(name, value, parts)
        return parts

    def refuse_unknown(self, given: Object, path: str, model: type[BaseModel]) -> None:
        """Add a fault for each key that the model has not."""
        for key in given:
            if key not in model.model_fields:
                at = f"{path}{name_key(key)}"
                self.faults.append(closest(key, tuple(model.model_fields), at, "unknown_key"))

    # -- readings --

    def readings(self, value: object, parts: dict[str, object]) -> None:
        """Read numbers, lists, texts and nulls into Readings."""
        if not isinstance(value, Object):
            self.faults.append(Fault("readings", show(value), "want_object"))
            return
        self.refuse_unknown(value, "readings.", Readings)
        before = len(self.faults)
        nominal = self.nominal(value.get("nominal_mm", 1.0))
        read: dict[str, object] = {"nominal_mm": nominal} if "nominal_mm" in value else {}
        texts: dict[str, str] = {}
        numbers: dict[str, list[Typed]] = {}
        for place in POSITIONS:
            if place.value in value:
                self.coupon(f"readings.{place.value}", value[place.value], texts, numbers)
        for path, typed in numbers.items():
            settled = settle_thicknesses(typed, nominal, millimetres_stated=True)
            self.faults.extend(settled.faults)
            read[path.rpartition(".")[2]] = settled.values
        stated = any(numbers.values())
        try:
            coupons, notes = read_coupons(texts, nominal, lexicon=self.lexicon, millimetres_stated=stated)
        except UnusableInput as error:
            self.faults.extend(error.faults)
            return
        for place in POSITIONS:
            if place.value in value:
                self.gather(f"readings.{place.value}", coupons, read)
        self.notes.extend(notes)
        read.update({place.value: None for place in POSITIONS if place.value in value and value[place.value] is None})
        if len(self.faults) == before:
            parts["readings"] = Readings.model_validate(read)

    def nominal(self, value: object) -> float:
        """Return the nominal thickness, mm; 1 where it cannot be, so that the rest is still read."""
        path, limits = "readings.nominal_mm", limits_of(Readings, "nominal_mm")
        if isinstance(value, str) and value.strip():
            try:
                repeats = read_coupons({path: value}, 1.0, lexicon=self.lexicon)[0][path]
            except UnusableInput as error:
                self.faults.extend(error.faults)
                return 1.0
            if repeats is not None and len(repeats) == 1 and limits.hold(repeats[0]):
                return repeats[0]
        elif _is_number(value) and limits.hold(value):
            return float(value)
        elif not _is_number(value):
            self.faults.append(Fault(path, show(value), "want_number"))
            return 1.0
        self.faults.append(range_fault(path, show(value), limits, "mm"))
        return 1.0

    def coupon(self, path: str, value: object, texts: dict[str, str], numbers: dict[str, list[Typed]]) -> None:
        """Sort one coupon's value into texts and numbers; null is neither."""
        if value is None:
            return
        if isinstance(value, str):
            texts[path] = value
            return
        repeats = value if isinstance(value, list) else [value]
        if len(repeats) > MOST_REPEATS:
            values = {"count": len(repeats), "most": MOST_REPEATS}
            self.faults.append(Fault(path, show(value), "too_many_repeats", values))
            return
        as_text = [one for one in repeats if isinstance(one, str)]
        if repeats and len(as_text) == len(repeats):
            texts.update({f"{path}[{index}]": one for index, one in enumerate(as_text)})
            return
        numbers[path] = []
        for index, one in enumerate(repeats):
            at = f"{path}[{index}]" if isinstance(value, list) else path
            if _is_number(one):
                numbers[path].append(Typed(at, show(one), float(one), "mm"))
            elif isinstance(one, str) and one.strip():
                self.text_among_numbers(at, one, numbers[path])
            else:
                self.faults.append(Fault(at, show(one), "want_coupon"))

    def gather(self, path: str, coupons: Mapping[str, tuple[float, ...] | None], read: dict[str, object]) -> None:
        """Join what the texts of one coupon said; a lost one stands alone or not at all."""
        said = [repeats for at, repeats in coupons.items() if at.partition("[")[0] == path]
        lost = [repeats for repeats in said if repeats is None]
        if lost and len(lost) < len(said):
            self.faults.append(Fault(path, "", "lost_and_value"))
        elif said:
            joined = tuple(one for repeats in said if repeats is not None for one in repeats)
            if len(joined) > MOST_REPEATS:
                values = {"count": len(joined), "most": MOST_REPEATS}
                self.faults.append(Fault(path, "", "too_many_repeats", values))
            read[path.rpartition(".")[2]] = joined or None

    def text_among_numbers(self, at: str, text: str, typed: list[Typed]) -> None:
        """Read a text beside numbers in one list: the numbers say that a bare one is in mm."""
        try:
            repeats, notes = read_coupons({at: text}, 1.0, lexicon=self.lexicon, millimetres_stated=True)
        except UnusableInput as error:
            self.faults.extend(error.faults)
            return
        self.notes.extend(notes)
        if repeats[at] is None:
            self.faults.append(Fault(at, text, "lost_and_value"))
        elif len(repeats[at] or ()) > 1:
            self.faults.append(Fault(at, text, "want_coupon"))
        typed.extend(Typed(at, str(value), value, "mm") for value in repeats[at] or ())

    # -- findings --

    def findings(self, value: object) -> tuple[Seen, ...]:
        """Read the list of findings with their places."""
        seen: dict[tuple[str, str], Seen] = {}
        for index, one in enumerate(self.listed("findings", value)):
            path = f"findings[{index}]"
            if not isinstance(one, Object):
                self.faults.append(Fault(path, show(one), "want_object"))
                continue
            self.refuse_unknown(one, f"{path}.", Seen)
            if "id" not in one:
                self.faults.append(Fault(f"{path}.id", show(one), "want_text"))
                continue
            name, where = one["id"], one.get("where", UNKNOWN_PLACE)
            known = self.known(f"{path}.id", name, "finding", tuple(self.knowledge.findings))
            places = tuple(dict.fromkeys((*self.knowledge.places, UNKNOWN_PLACE)))
            placed = self.known(f"{path}.where", where, "place", places)
            if not (known and placed):
                continue
            if where != UNKNOWN_PLACE and not self.knowledge.findings[str(name)].placed:
                self.faults.append(Fault(f"{path}.where", show(where), "finding_has_no_place", {"finding": name}))
                continue
            if (name, where) in seen:
                self.notes.append(Note("finding_twice", {"finding": name}))
            seen[str(name), str(where)] = Seen(id=str(name), **({"where": where} if "where" in one else {}))
        return tuple(seen.values())

    def absent(self, value: object, findings: object) -> tuple[str, ...]:
        """Read the list of findings that were looked for and are not there."""
        listed = findings if isinstance(findings, list) else []
        present = [one.get("id") for one in listed if isinstance(one, Object)]
        names: dict[str, None] = {}
        for index, name in enumerate(self.listed("absent", value)):
            path = f"absent[{index}]"
            if not self.known(path, name, "finding", tuple(self.knowledge.findings)):
                continue
            if name in present:
                self.faults.append(Fault(path, show(name), "present_and_absent"))
            names[str(name)] = None
        return tuple(names)

    def listed(self, path: str, value: object) -> list[object]:
        """Return ``value`` if it is a list of bearable length, else nothing and a fault."""
        if not isinstance(value, list):
            self.faults.append(Fault(path, show(value), "want_list"))
            return []
        if len(value) > MOST_FINDINGS:
            self.faults.append(Fault(path, show(value), "too_many", {"count": len(value), "most": MOST_FINDINGS}))
            return []
        return value

    def known(self, path: str, name: object, what: str, names: tuple[str, ...]) -> bool:
        """Say whether ``name`` is one of ``names``; add a fault if not."""
        if not isinstance(name, str):
            self.faults.append(Fault(path, show(name), "want_text"))
            return False
        if name not in names:
            self.faults.append(closest(name, names, path, f"unknown_{what}"))
            return False
        return True

    # -- the plain parts --

    def part(self, name: str, value: object, parts: dict[str, object]) -> None:
        """Validate settings, raft, machine or resin by its model, and turn the model's faults into ours."""
        if not isinstance(value, Object):
            self.faults.append(Fault(name, show(value), "want_object"))
            return
        model = PARTS[name]
        self.refuse_unknown(value, f"{name}.", model)
        plain = {key: _whole(one) for key, one in value.items() if key in model.model_fields}
        try:
            parts[name] = model.model_validate(plain, strict=True)
        except ValidationError as error:
            for wrong in error.errors(include_url=False, include_context=True):
                key = str(wrong["loc"][0])
                self.faults.append(_part_fault(f"{name}.{key}", plain[key], model, key, wrong["type"]))


def _part_fault(path: str, value: object, model: type[BaseModel], key: str, kind: str) -> Fault:
    if kind in RANGE:
        return range_fault(path, show(value), limits_of(model, key))
    if kind == "literal_error":
        schema = model.model_json_schema()["properties"][key]
        return closest(value if isinstance(value, str) else show(value), tuple(schema["enum"]), path, "not_a_choice")
    return Fault(path, show(value), CODES.get(kind, "want_other"))


def _whole(value: object) -> object:
    """Return 5 for 5.0: JSON has one kind of number."""
    exact = isinstance(value, float) and value.is_integer() and abs(value) < EXACT_BELOW
    return int(value) if exact and isinstance(value, float) else value


def _is_number(value: object) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)
