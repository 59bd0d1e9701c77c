"""Figures in, rows for a program out: CSV and JSON. Pure. Only what may be shown is in a figure at all."""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import astuple

from core.cases.tallies import CLASSES
from core.service.figure import Figure
from core.service.figures import Figures

COLUMNS = ("table", "group", "name", "at_least", "at_most", "of", "low", "high")
"""``group`` is the class of machine, or the end of a bin; ``low`` and ``high`` are the ends of a 95 % interval."""

Row = tuple[object, ...]


def list_figures(figures: Figures) -> Iterator[Row]:
    """Yield every figure that may be shown, one a row."""
    for table, shown in (
        ("confirmed", figures.confirmed()),
        ("suspected", figures.suspected()),
        ("fixed_by_first_step", figures.steps()),
    ):
        yield from (_row(table, "", one) for one in shown)
    for side in CLASSES:
        for group, _, shown_there in figures.by_class(side):
            yield from (_row(f"confirmed_by_{side}", group, one) for one in shown_there)
    for one in figures.readings():
        for low, high, count in one.bins:
            yield (f"{one.name}_mm", f"{low:.2f}", f"{high:.2f}", count, count, one.cases, "", "")


def as_csv(rows: Iterable[Row]) -> str:
    """Return rows under their header, as RFC 4180 has it but for bare line feeds."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(rows)
    return text.getvalue()


def as_json(rows: Iterable[Row]) -> str:
    """Return rows as a list of objects."""
    return json.dumps([dict(zip(COLUMNS, row, strict=True)) for row in rows], indent=1)


def _row(table: str, group: str, one: Figure) -> Row:
    return (table, group, *astuple(one))
