"""The options of whole commands: readings with plate and screws, settings with raft, resin and machine, symptoms.

In: option name to text, as a form or a command line gives it. Out: a ``HeardReport`` of what they add. This file
must never know the case they join.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from typing import get_args

from core.errors import Fault, UnusableInput
from core.intake.choices import read_choice
from core.intake.fields import (
    SETTINGS,
    limits_of,
    read_nominal,
    read_plate,
    read_quantity,
    read_settings,
    read_thread,
)
from core.intake.heard import HeardReport, Note
from core.intake.lexicon import Lexicon
from core.intake.parse import read_fields, read_readings
from core.intake.units import Kind
from core.knowledge import Knowledge
from core.report import POSITIONS, Machine, Part, Raft, Readings, Report, Resin, Seen

UNKNOWN = "unknown"

QUANTITIES: Mapping[str, tuple[str, type[Part], str, Kind]] = {
    "raft_area": ("raft", Raft, "area_mm2", "area"),
    "raft_sliced": ("raft", Raft, "sliced_mm", "length"),
    "raft_measured": ("raft", Raft, "measured_mm", "length"),
    "temperature": ("resin", Resin, "temperature_c", "temperature"),
    "viscosity": ("resin", Resin, "viscosity_pa_s", "viscosity"),
    "penetration_depth": ("resin", Resin, "penetration_depth_mm", "length"),
    "critical_time": ("resin", Resin, "critical_time_s", "time"),
}
"""Option to its part of the Report, field and kind."""

CHOICES: Mapping[str, tuple[str, type[Part], str]] = {
    "raft_style": ("raft", Raft, "style"),
    "adjusters": ("machine", Machine, "adjusters"),
    "homing": ("machine", Machine, "homing"),
}


class _Collected:
    """Parts of a report in the making, with every fault on the way."""

    def __init__(self) -> None:
        self.parts: dict[str, dict[str, object]] = {}
        self.notes: list[Note] = []
        self.faults: list[Fault] = []

    def take(self, read: Callable[[], None]) -> None:
        try:
            read()
        except UnusableInput as error:
            self.faults.extend(error.faults)

    def gather(self, texts: Iterable[str], read: Callable[[str], str]) -> tuple[str, ...]:
        found: list[str] = []
        for text in texts:
            self.take(lambda: found.append(read(text)))  # noqa: B023 - called at once
        return tuple(found)

    def put(self, part: str, field: str, value: object) -> None:
        self.parts.setdefault(part, {})[field] = value

    def report(self, **more: object) -> HeardReport:
        if self.faults:
            raise UnusableInput(tuple(self.faults))
        return HeardReport(Report.model_validate(self.parts | more), tuple(self.notes))


def read_readings_command(
    options: Mapping[str, str], text: str, nominal_mm: float | None, *, lexicon: Lexicon
) -> HeardReport:
    """Read five readings from options or from free text, with the options that say what was measured on.

    Args:
        options: Of the command ``readings``.
        text: Free text, read only where no position is among the options.
        nominal_mm: Nominal thickness already known of the case, if any.
        lexicon: Names, marks and units.

    Raises:
        UnusableInput: With a fault for everything that cannot be, both text and options among them.
    """
    got = _Collected()
    nominal = 1.0 if nominal_mm is None else nominal_mm

    def read_nominal_option() -> None:
        nonlocal nominal
        nominal, notes = read_nominal(options["nominal"], lexicon=lexicon)
        got.notes.extend(notes)

    if options.get("nominal", "").strip():
        got.take(read_nominal_option)
    by_option = any(options.get(position.value, "").strip() for position in POSITIONS)
    readings: Readings | None = None

    def read() -> None:
        nonlocal readings
        if by_option and text.strip():
            raise UnusableInput((Fault("readings", text, "text_and_options"),))
        heard = (
            read_fields(options, nominal_mm=nominal, lexicon=lexicon)
            if by_option
            else read_readings(text, nominal_mm=nominal, lexicon=lexicon)
        )
        readings = heard.readings
        got.notes.extend(heard.notes)

    plate_only = (
        not by_option and not text.strip() and any(options.get(name) for name in ("plate", "thread", "adjusters"))
    )
    if not plate_only:
        got.take(read)
    _read_machine(options, got, lexicon)
    return got.report(**({} if readings is None else {"readings": readings}))


def read_settings_command(options: Mapping[str, str], *, lexicon: Lexicon) -> HeardReport:
    """Read the options of the command ``settings``.

    Raises:
        UnusableInput: Nothing was given, or with a fault for everything that cannot be.
    """
    if not any(text.strip() for text in options.values()):
        raise UnusableInput((Fault("settings", "", "no_settings"),))
    got = _Collected()

    def read() -> None:
        heard = read_settings({name: text for name, text in options.items() if name in SETTINGS}, lexicon=lexicon)
        got.notes.extend(heard.notes)
        if heard.settings.model_fields_set:
            got.parts["settings"] = heard.settings.model_dump()

    got.take(read)
    for name in options.keys() & QUANTITIES.keys():
        got.take(partial(_read_quantity, name, options[name], got, lexicon))
    _read_machine(options, got, lexicon)
    return got.report()


def read_symptoms_command(
    options: Mapping[str, str],
    knowledge: Knowledge,
    names: Mapping[str, tuple[str, ...]],
    places: Mapping[str, tuple[str, ...]],
) -> HeardReport:
    """Read findings with their places, and absences, chosen by id or by name; several in one option by commas.

    Each finding that has a place gets every place that was named.

    Args:
        options: Of the command ``symptoms``.
        knowledge: Which findings have a place.
        names: Finding id to the names people may choose it by.
        places: Place id to its names; ``unknown`` among them.

    Raises:
        UnusableInput: Nothing was given, or with a fault for everything that cannot be.
    """
    seen, where, absent = (split_list(options.get(name, "")) for name in ("seen", "where", "absent"))
    if not seen and not absent:
        raise UnusableInput((Fault("seen", options.get("where", ""), "no_symptom"),))
    got = _Collected()
    chosen = {
        field: got.gather(texts, partial(read_choice, accepted=accepted, field=field))
        for field, texts, accepted in (("where", where, places), ("seen", seen, names), ("absent", absent, names))
    }
    findings: dict[Seen, None] = {}
    for finding in chosen["seen"]:
        spots = chosen["where"] if knowledge.findings[finding].placed else ()
        findings |= dict.fromkeys(Seen(id=finding, where=spot) for spot in spots or (UNKNOWN,))
    if chosen["where"] not in {(), (UNKNOWN,)} and not any(knowledge.findings[one].placed for one in chosen["seen"]):
        named = ", ".join(names[one][0] for one in chosen["seen"])
        got.faults.append(Fault("where", ", ".join(where), "place_not_wanted", {"finding": named}))
    both = sorted({one.id for one in findings} & set(chosen["absent"]))
    got.faults.extend(Fault("absent", names[one][0], "seen_and_absent") for one in both)
    more = {"findings": tuple(findings), "absent": tuple(dict.fromkeys(chosen["absent"]))}
    return got.report(**{name: values for name, values in more.items() if values})


def split_list(text: str) -> tuple[str, ...]:
    """Return the entries of a list such as ``glossy_raft, thin_raft``; blank ones are dropped."""
    return tuple(part for part in (piece.strip() for piece in re.split(r"[,;+]", text)) if part)


def _read_quantity(name: str, text: str, got: _Collected, lexicon: Lexicon) -> None:
    if not text.strip():
        return
    part, model, field, kind = QUANTITIES[name]
    value, notes = read_quantity(text, name, kind, limits_of(model, field), lexicon=lexicon)
    got.put(part, field, value)
    got.notes.extend(notes)


def _read_machine(options: Mapping[str, str], got: _Collected, lexicon: Lexicon) -> None:
    def plate() -> None:
        width, depth = read_plate(options["plate"], lexicon=lexicon)
        got.put("machine", "plate_width_mm", width)
        got.put("machine", "plate_depth_mm", depth)

    def choice(name: str) -> None:
        part, model, field = CHOICES[name]
        accepted = {value: (value.replace("_", " "),) for value in get_args(model.model_fields[field].annotation)}
        got.put(part, field, read_choice(options[name], accepted, name))

    if options.get("plate", "").strip():
        got.take(plate)
    if options.get("thread", "").strip():
        got.take(lambda: got.put("machine", "screw_thread", read_thread(options["thread"])))
    for name in CHOICES:
        if options.get(name, "").strip():
            got.take(partial(choice, name))
