"""One invented case, as little of it as the store needs; and the database read with nothing of ours in between."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime

from core.cases.rows import CaseKey
from core.report import Readings, Report
from core.verdict import Step, Verdict

AT = datetime(2026, 3, 14, 9, 26, 53, tzinfo=UTC)
CLUB = "print-club"
MOSS, FERN, ASH = "0f" * 16, "1e" * 16, "2d" * 16
KEY = CaseKey(CLUB, "help", MOSS)
REPORT = Report(readings=Readings(front_left=(0.98, 0.99), front_right=None))
LEVEL_IT = Step(id="level_plate", cause="tilt", words="Invented: level it.", worked_if="Invented: it holds.")

TILTED, LEVEL = "0.76 1.22 0.80 1.20 0.99", "0.97 1.03 0.99 1.04 1.01"
"""Five readings as they are typed, before and after levelling."""


def bare_verdict(summary="Invented: too few coupons.", *steps):
    """Return a verdict that says no more than it must."""
    return Verdict(
        status="insufficient",
        summary=summary,
        geometry=None,
        causes=(),
        steps=steps,
        avoid=(),
        next_check=None,
        questions=(),
        exposure={},
        cautions=(),
    )


def look(path, query):
    """Return the rows of a query."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()
