"""What was published of a community's ended cases: made once for each period of whole months, then never again.

In: a database, the current month. Out: what every period that is over has released. So no figure changes because one
case was erased, reopened or confirmed late, and two publications differ by whole periods. What is kept is what may be
shown, and no raw count: whatever is made of it later gives nobody away.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import TypeAdapter
from sqlite_utils import Database

from core.cases.database import writing
from core.cases.release import TALLIED, Bins, Limits, Names, Released, release
from core.cases.tallies import read_table
from core.statistics.suppression import Group, Published, close_periods


@dataclass(frozen=True, slots=True)
class Period:
    """Whole months, how many cases ended in them, and what may be shown of those.

    Attributes:
        first, last: Months, such as ``2026-03``.
    """

    first: str
    last: str
    cases: int
    shown: Released


@dataclass(frozen=True, slots=True)
class Publication:
    """All that is published of a community.

    Attributes:
        periods: Oldest first.
        waiting: Cases that ended since and are not published yet.
    """

    periods: tuple[Period, ...]
    waiting: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """What closes a period, and what it releases.

    Attributes:
        enough: Cases that close a period.
        enough_after: So many months after which so many cases are enough.
    """

    enough: int
    enough_after: tuple[int, int]
    names: Names
    limits: Limits


def publish(
    db: Database, community: str, month: str, policy: Policy, parts: Collection[str] | None = None
) -> Publication:
    """Close the periods that are over, and return what is published.

    Args:
        db: The store's database.
        community: Whose cases.
        month: The current month, which is not over. Periods that end later are not returned.
        policy: What closes a period, and what it releases.
        parts: Of ``Released``, by name; all if not given.
    """
    ended = _ended_since(db, community)
    while fresh := _next_period(ended, month, policy):
        with writing(db):
            # Another process may have closed it meanwhile: the first one's figures stand.
            if _ended_since(db, community) == ended:
                _close(db, community, *fresh, policy)
        ended = _ended_since(db, community)
    periods = _read(db, community, month, parts)
    last = periods[-1].last if periods else ""
    waiting = db.execute(
        "SELECT coalesce(sum(count), 0) FROM tallies WHERE community = ? AND kind = 'ended' AND month > ?",
        [community, last],
    ).fetchone()[0]
    return Publication(tuple(periods), waiting)


def _ended_since(db: Database, community: str) -> tuple[tuple[str, int], ...]:
    """Return how many cases ended in each month after the last period."""
    rows = db.execute(
        "SELECT month, sum(count) FROM tallies WHERE community = ? AND kind = 'ended' AND month >"
        " coalesce((SELECT max(last_month) FROM published WHERE community = ?), '') GROUP BY month ORDER BY month",
        [community, community],
    )
    return tuple((month, count) for month, count in rows.fetchall())


def _next_period(ended: Sequence[tuple[str, int]], month: str, policy: Policy) -> tuple[str, str] | None:
    """Return the first and last month of the next period, if it is over."""
    known = dict(ended)
    months = list(_months(ended[0][0], month)) if ended else []
    closed = close_periods([known.get(one, 0) for one in months], policy.enough, policy.enough_after)
    return (months[closed[0][0]], months[closed[0][1] - 1]) if closed else None


def _close(db: Database, community: str, first: str, last: str, policy: Policy) -> None:
    counts: dict[str, dict[tuple[str, str], tuple[int, float]]] = {}
    for table in TALLIED:
        counts[table] = {}
        for cells in read_table(db, community, table, first, last).values():
            for cell, (count, total) in cells.items():
                before = counts[table].get(cell, (0, 0.0))
                counts[table][cell] = (before[0] + count, before[1] + total)
    cases = db.execute(
        "SELECT sum(count) FROM tallies WHERE community = ? AND kind = 'ended' AND month BETWEEN ? AND ?",
        [community, first, last],
    ).fetchone()[0]
    shown = release(counts, policy.names, policy.limits)
    told = [("cases", str(cases))]
    for kind, parts in (("side", shown.sides), ("table", shown.tables), ("bins", shown.bins), ("score", shown.scores)):
        told += [(f"{kind}:{name}", _form(kind).dump_json(part).decode()) for name, part in parts.items()]
    for name, text in told:
        db.execute(
            "INSERT INTO published (community, kind, first_month, last_month, shown) VALUES (?, ?, ?, ?, ?)",
            [community, name, first, last, text],
        )


def _read(db: Database, community: str, month: str, parts: Collection[str] | None) -> Sequence[Period]:
    marks = ", ".join("?" * (0 if parts is None else len(parts) + 1))
    wanted = "" if parts is None else f" AND substr(kind, instr(kind, ':') + 1) IN ({marks})"
    rows = db.execute(
        "SELECT first_month, last_month, kind, shown FROM published WHERE community = ? AND last_month < ?"
        f"{wanted} ORDER BY first_month, kind",
        [community, month, *(() if parts is None else ("cases", *parts))],
    )
    periods: dict[tuple[str, str], dict[str, str]] = {}
    for first, last, kind, shown in rows.fetchall():
        periods.setdefault((first, last), {})[kind] = shown
    return [_period(first, last, told) for (first, last), told in periods.items()]


def _period(first: str, last: str, told: dict[str, str]) -> Period:
    held: dict[str, dict[str, Any]] = {"side": {}, "table": {}, "bins": {}, "score": {}}
    for name, text in told.items():
        kind, _, part = name.partition(":")
        if part:
            held[kind][part] = _form(kind).validate_json(text)
    shown = Released(sides=held["side"], tables=held["table"], bins=held["bins"], scores=held["score"])
    return Period(first, last, int(told["cases"]), shown)


@cache
def _form(kind: str) -> TypeAdapter[Any]:
    forms: Mapping[str, Any] = {"side": tuple[Group, ...], "table": Published, "bins": Bins, "score": float}
    return TypeAdapter(forms[kind])


def _months(first: str, until: str) -> Iterator[str]:
    """Yield months from ``first`` to the one before ``until``."""
    year, month = int(first[:4]), int(first[5:7])
    while (name := f"{year:04d}-{month:02d}") < until:
        yield name
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)  # noqa: PLR2004 - a year's months
