"""What people and programs send, turned into values of the report, or into every fault at once."""

from core.intake.choices import read_choice, read_yes_no
from core.intake.document import read_report
from core.intake.fields import (
    Limits,
    limits_of,
    read_length,
    read_nominal,
    read_number,
    read_plate,
    read_quantity,
    read_settings,
    read_thread,
    read_whole,
)
from core.intake.heard import HeardReadings, HeardReport, HeardSettings, Note
from core.intake.lexicon import Lexicon, load_lexicon
from core.intake.parse import read_fields, read_one, read_readings

__all__ = [
    "HeardReadings",
    "HeardReport",
    "HeardSettings",
    "Lexicon",
    "Limits",
    "Note",
    "limits_of",
    "load_lexicon",
    "read_choice",
    "read_fields",
    "read_length",
    "read_nominal",
    "read_number",
    "read_one",
    "read_plate",
    "read_quantity",
    "read_readings",
    "read_report",
    "read_settings",
    "read_thread",
    "read_whole",
    "read_yes_no",
]
