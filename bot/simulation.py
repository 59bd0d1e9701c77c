"""``platewright simulate``: an invented community in the database, for trying out statistics and learning.

In: how many cases, over how many months, a seed. Out: how many were stored. What is stored is invented, in a community
whose name says so, and whatever is shown of it says so too.
"""

import multiprocessing
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

import numpy as np

from core.cases.bulk import WholeCase
from core.cases.lifecycle import join
from core.cases.rows import CaseKey, Judgement, Opinion, Outcome
from core.cases.store import Store
from core.engine import triage
from core.errors import Fault, UnusableInput
from core.knowledge import Knowledge, load_knowledge
from core.report import Report
from core.service.statistics import INVENTED
from core.simulation import InventedCase, invent_cases
from core.verdict import Verdict
from core.words import Words, load_words

DAYS_IN_MONTH = 365.2425 / 12
BATCH = 200
MEASURE_AGAIN = 3
MOST_CASES, MOST_MONTHS, MOST_SEED = 1_000_000, 600, 2**63
_NAME = re.compile(r"[a-z0-9-]{1,32}")
_OUTCOMES: Mapping[str, Outcome] = {
    "fixed": "fixed_by_step",
    "fixed_otherwise": "fixed_otherwise",
    "not_fixed": "not_fixed",
    "abandoned": "abandoned",
}


@dataclass(frozen=True, slots=True)
class Wish:
    """What to invent: ``cases`` over ``months`` until ``until``, from ``seed``, for the club called ``club``."""

    cases: int
    months: int
    seed: int
    club: str
    until: datetime

    @property
    def community(self) -> str:
        """The community they are stored in."""
        return f"{INVENTED}{self.club}"


def check_wish(wish: Wish) -> None:
    """Raise ``UnusableInput`` with a line for each thing that cannot be invented."""
    faults = [
        Fault(field, str(given), "not_in_range", {"least": 1, "most": most})
        for field, given, most in (("cases", wish.cases, MOST_CASES), ("months", wish.months, MOST_MONTHS))
        if not 1 <= given <= most
    ]
    if wish.seed < 0:
        faults.append(Fault("seed", str(wish.seed), "not_in_range", {"least": 0, "most": MOST_SEED}))
    if not _NAME.fullmatch(wish.club):
        faults.append(Fault("club", wish.club, "not_a_club"))
    if faults:
        raise UnusableInput(tuple(faults))


async def simulate(wish: Wish, store: Store, processes: int = 2) -> int:
    """Invent cases, have each judged as any other, store them, and return how many there are."""
    days = wish.months * DAYS_IN_MONTH
    first = (wish.until - timedelta(days=days)).replace(microsecond=0)
    cases = invent_cases(wish.cases, load_knowledge(), np.random.default_rng(wish.seed), first=first, days=days)
    stored = 0
    with ProcessPoolExecutor(processes, multiprocessing.get_context("spawn")) as pool:
        batch: list[WholeCase] = []
        for number, whole in enumerate(_judged(cases, wish, pool), 1):
            batch.append(whole)
            if len(batch) == BATCH or number == len(cases):
                stored += await store.add_whole(batch)
                batch = []
    return stored


def _judged(cases: Sequence[InventedCase], wish: Wish, pool: Executor) -> Iterator[WholeCase]:
    knowledge = load_knowledge()
    again = [_measured_again(case, number) for number, case in enumerate(cases)]
    asked = [report for case, after in zip(cases, again, strict=True) for report in (case.report, after) if report]
    verdicts = pool.map(_judge, [report.model_dump_json() for report in asked], chunksize=20)
    for number, (case, after) in enumerate(zip(cases, again, strict=True)):
        at = (case.opened_at, case.ended_at or case.opened_at)
        judgements = tuple(
            Judgement(attempt=attempt, at=when, report=report, verdict=Verdict.model_validate_json(next(verdicts)))
            for attempt, (report, when) in enumerate(zip((case.report, after), at, strict=True), 1)
            if report is not None
        )
        yield _whole(case, judgements, f"invented-{wish.seed}-{number}", wish, knowledge)


def _measured_again(case: InventedCase, number: int) -> Report | None:
    """Return what is known after the fix where somebody measures it again, which one in ``MEASURE_AGAIN`` does."""
    if case.readings_after is None or number % MEASURE_AGAIN:
        return None
    return join(case.report, Report(readings=case.readings_after))


def _judge(report: str) -> str:
    """Judge one report in a process of its own; JSON in and out, since that is what is stored."""
    knowledge, words = _tools()
    return triage(Report.model_validate_json(report), knowledge, words).verdict.model_dump_json()


@cache
def _tools() -> tuple[Knowledge, Words]:
    return load_knowledge(), load_words("en")


def _step_that_fixed(case: InventedCase, verdict: Verdict, knowledge: Knowledge) -> str:
    """People follow the verdict: where its first step against a cause is right, it is the one that fixed it."""
    first = next((step for step in verdict.steps if step.cause is not None), None)
    if first is not None and case.causes & set(knowledge.remedies[first.id].causes):
        return first.id
    return case.remedy or ""


def _whole(
    case: InventedCase, judgements: tuple[Judgement, ...], author: str, wish: Wish, knowledge: Knowledge
) -> WholeCase:
    opinions = tuple(Opinion(helper=one.helper, cause=one.cause, at=one.at, blind=True) for one in case.opinions)
    named = Counter(one.cause for one in opinions).most_common(2)
    agreed = bool(named) and (len(named) == 1 or named[0][1] > named[1][1])
    return WholeCase(
        key=CaseKey(wish.community, "invented", author),
        opened_at=case.opened_at,
        judgements=judgements,
        opinions=opinions,
        confirmations=opinions,
        cause=named[0][0] if agreed else "",
        outcome=_OUTCOMES.get(case.end),
        step=_step_that_fixed(case, judgements[0].verdict, knowledge) if case.end == "fixed" else "",
        ended_at=case.ended_at,
    )
