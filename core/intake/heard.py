"""What intake hands on: the understood part and the notes that say how it was understood.

In: nothing. Out: frozen values. This file must never know how any of it was read.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.report import Readings, Report, Settings


@dataclass(frozen=True, slots=True)
class Note:
    """Something that was assumed and must be said back.

    Attributes:
        code: Key under ``notes`` in the words.
        values: What that text's placeholders stand for.
    """

    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HeardReadings:
    """Five thicknesses, or those that were given, and what was assumed."""

    readings: Readings
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class HeardSettings:
    """Settings and what was assumed."""

    settings: Settings
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class HeardReport:
    """A whole report and what was assumed."""

    report: Report
    notes: tuple[Note, ...] = ()
