"""Invented cases by the million, written straight into a database: too many to have each judged and counted by itself.

A few hundred reports are really judged. Every case takes one of them, with times, people, opinions and an end of its
own; its share of the counts and its lesson come from the same functions as the store's, and are added up in memory.
``Store.recount`` says whether that comes to the same as counting each case.
"""

import json
import sqlite3
from collections import defaultdict
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path
from random import Random

import numpy as np

from core.cases import lessons, tallies
from core.cases.packed import pack
from core.cases.privacy import pseudonym
from core.engine import triage
from core.knowledge import load_knowledge
from core.report import Report
from core.simulation import Habits, invent_cases
from core.words import load_words

NOW = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
MONTHS, DAYS = 24, 730
KEPT_DAYS = 365
"""A community that never said otherwise lets go of people after so long."""
CLUB, CLUB_SHARE, SMALL_CLUBS = "invented-club", 0.9, 40
OPEN, OPEN_DAYS = 500, 25
"""Cases of the large club that are still open, and for how long at most."""
AT_ONCE = 5000
HABITS = Habits()

CASES = (
    "id, number, community, channel, author, state, opened_at, changed_at, place, thread, claimed_by, claimed_at,"
    " tries, outcome, step, outcome_at, ended_at, cause, nameless, follows"
)
COLUMNS = {
    "cases": CASES,
    "judgements": "case_id, attempt, at, report, verdict, knowledge",
    "opinions": "case_id, helper, cause, at, blind",
    "confirmations": "case_id, helper, cause, at, blind",
    "notes": "case_id, helper, at, text",
    "lessons": "case_id, community, at, cause, told",
    "shares": "case_id, share",
    "tallies": "community, kind, month, row, col, count, total",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Mould:
    """A report that was really judged, once or again with more in it, as it is stored and as counting wants it."""

    stored: tuple[tuple[str, bytes, str], ...]
    told: tuple[lessons.Told, ...]
    lesson: str
    causes: tuple[str, ...]
    step: str


def judge_moulds(count: int, seed: int) -> tuple[Mould, ...]:
    """Invent reports and judge them as the service would."""
    knowledge, words = load_knowledge(), load_words("en")
    rng = np.random.default_rng(seed)
    moulds = []
    for case in invent_cases(count, knowledge, rng, first=NOW - timedelta(days=DAYS), days=DAYS):
        reports = [case.report]
        if case.report.readings is not None and rng.random() < 0.4:
            reports.insert(0, case.report.model_copy(update={"readings": None}))
        if case.readings_after is not None and rng.random() < 0.3:
            reports.append(case.report.model_copy(update={"readings": case.readings_after}))
        judged = [_judge(report, knowledge, words) for report in reports]
        told = tuple((json.loads(report), json.loads(verdict)) for report, verdict, _ in judged)
        moulds.append(
            Mould(
                stored=tuple((report, pack(verdict), version) for report, verdict, version in judged),
                told=told,
                lesson=json.dumps(lessons._told(told), separators=(",", ":")),
                causes=tuple(sorted(case.causes)),
                step=next((step["id"] for step in told[0][1]["steps"]), ""),
            )
        )
    return tuple(moulds)


def _judge(report: Report, knowledge, words):
    verdict = triage(report, knowledge, words).verdict
    return report.model_dump_json(), verdict.model_dump_json(), verdict.knowledge


def write_cases(path: Path, count: int, secret: bytes, moulds: tuple[Mould, ...], seed: int) -> None:
    """Fill an empty database of ours with invented cases; quickly, since nobody needs them after a power cut."""
    invention = Invention(count, secret, moulds, seed)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for pragma in ("journal_mode = OFF", "synchronous = OFF", "cache_size = -262144"):
            connection.execute(f"PRAGMA {pragma}")
        connection.execute("BEGIN")
        numbers = iter(range(count))
        while some := tuple(islice(numbers, AT_ONCE)):
            rows = defaultdict(list)
            for at in some:
                invention.add(at, rows)
            _write(connection, rows)
        _write(connection, {"tallies": [(*cell, *sums) for cell, sums in sorted(invention.sums.items())]})
        connection.execute("COMMIT")
        connection.execute("PRAGMA journal_mode = WAL")


def _write(connection, rows):
    for table, values in rows.items():
        marks = ", ".join("?" for _ in COLUMNS[table].split(", "))
        connection.executemany(f"INSERT INTO {table} ({COLUMNS[table]}) VALUES ({marks})", values)  # noqa: S608 - our own names


class Invention:
    """Invents one case after the other, oldest first, and adds up their shares.

    Attributes:
        sums: Cell of a table to how many cases and the sum of what it measures.
    """

    def __init__(self, count, secret, moulds, seed):
        self._count, self._secret, self._moulds = count, secret, moulds
        self._dice = Random(seed)  # noqa: S311 - invented data, not secrets
        self._numbers = defaultdict(int)
        self._open = min(OPEN, count // 20)
        self._causes = tuple(load_knowledge().causes)
        self._remedies = tuple(load_knowledge().remedies)
        self.sums = defaultdict(lambda: [0, 0.0])

    def add(self, at: int, rows) -> None:
        """Add the rows of case number ``at`` of all."""
        dice, ahead = self._dice, self._count - self._open
        waiting = at >= ahead
        small = not waiting and dice.random() >= CLUB_SHARE
        community = f"{CLUB}-{dice.randrange(SMALL_CLUBS):02d}" if small else CLUB
        mould = dice.choice(self._moulds)
        days = OPEN_DAYS * (1 - (at - ahead) / self._open) if waiting else DAYS * (1 - at / ahead)
        opened = NOW - timedelta(seconds=round(days * 86_400))
        ended = None if waiting else min(opened + _days(dice), NOW)
        case = self._case(at, community, mould, opened, ended)
        said = self._opinions(mould, opened, ended or NOW, gone=bool(case["nameless"]))
        case["cause"] = said[0][1] if len({cause for _, cause, _ in said}) == 1 else None
        last = max((stamp for _, _, stamp in said), default="")
        case["changed_at"] = max(case["changed_at"], last)
        rows["cases"].append(tuple(case[name] for name in CASES.split(", ")))
        for attempt, (report, verdict, version) in enumerate(mould.stored, 1):
            rows["judgements"].append((case["id"], attempt, case["opened_at"], report, verdict, version))
        for table in ("opinions", "confirmations"):
            rows[table] += [(case["id"], helper, cause, stamp, 1) for helper, cause, stamp in said]
        if not case["nameless"] and dice.random() < 0.1:
            rows["notes"].append((case["id"], self._helper(community), case["changed_at"], "Invented: looked at it."))
        if case["cause"]:
            rows["lessons"].append((case["id"], community, last, case["cause"], mould.lesson))
        if ended is not None:
            blind = [cause for _, cause, _ in sorted(said, key=lambda one: (one[2], one[1]))][:2]
            self._count_share(case, mould, blind, rows)

    def _case(self, at, community, mould, opened, ended):
        dice = self._dice
        self._numbers[community] += 1
        outcome = "" if ended is None else dice.choices(tuple(_ENDS), tuple(_ENDS.values()))[0]
        nameless = ended is not None and ended < NOW - timedelta(days=KEPT_DAYS)
        members = max(self._count // (1 if community == CLUB else SMALL_CLUBS) // 3, 1)
        # One open case a person and channel.
        who = f"open-{at}" if ended is None else f"member-{dice.randrange(members)}"
        if community != CLUB:
            who = f"{who}-of-{community}"
        claimed = not nameless and dice.random() < 0.2
        step = mould.step if dice.random() < 0.7 else dice.choice(self._remedies)
        stamp = (ended or opened).isoformat()
        return {
            "id": at + 1,
            "number": self._numbers[community],
            "community": community,
            "channel": "c-help",
            "author": "" if nameless else pseudonym(self._secret, community, who),
            "state": "open" if ended is None else "closed",
            "opened_at": opened.isoformat(),
            "changed_at": stamp,
            "place": None if nameless else f"c-help/{1_000_000_000_000_000_000 + at}",
            "thread": str(2_000_000_000_000_000_000 + at) if not nameless and dice.random() < 0.15 else None,
            "claimed_by": self._helper(community) if claimed else None,
            "claimed_at": stamp if claimed else None,
            "tries": dice.randrange(3) or None,
            "outcome": outcome or None,
            "step": step if outcome == "fixed_by_step" else None,
            "outcome_at": stamp if outcome else None,
            "ended_at": None if ended is None else stamp,
            "cause": None,
            "nameless": int(nameless) or None,
            "follows": None,
        }

    def _opinions(self, mould, opened, latest, *, gone):
        """Return what helpers said: who, which cause, when."""
        dice, said = self._dice, {}
        number = 0 if dice.random() >= HABITS.confirms else 2 if dice.random() < HABITS.second_opinion else 1
        for _ in range(number):
            cause = dice.choice(self._causes if dice.random() < HABITS.errs else mould.causes)
            at = min(opened + timedelta(seconds=dice.randrange(86_400)), latest)
            helper = f"nobody-{dice.getrandbits(64):016x}" if gone else self._helper(CLUB)
            said[helper] = (helper, cause, at.isoformat())
        return tuple(said.values())

    def _helper(self, community):
        """Return one of so many helpers that each looks at about as many cases, however many there are."""
        return pseudonym(self._secret, community, f"helper-{self._dice.randrange(self._count // 500 + 5)}")

    def _count_share(self, case, mould, blind, rows):
        told = tuple(sorted(tallies.share_of_case(case, mould.told, blind)))
        share = tallies._Share(case["community"], case["ended_at"][:7], told)
        rows["shares"].append((case["id"], tallies._dump(share)))
        for tally in told:
            cell = self.sums[share.community, tally.table, share.month, tally.row, tally.column]
            cell[0] += 1
            cell[1] += tally.total


_ENDS = {"fixed_by_step": 45, "fixed_otherwise": 10, "not_fixed": 15, "abandoned": 25, "": 5}
"""Outcomes and their relative chances; some are closed without one."""


def _days(dice: Random) -> timedelta:
    return timedelta(seconds=round(min(dice.lognormvariate(np.log(HABITS.median_days), 0.9), 30.0) * 86_400))
