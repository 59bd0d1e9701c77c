"""The desk: who asks what is found out here, and the right answerer is asked.

In: Inquiry. Out: Card. A person's mistake comes back as a card; only our own failures raise. This file must never
know a front end, and nothing below it knows who asks.
"""

import asyncio
from collections.abc import Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TypeVar
from weakref import WeakValueDictionary

from core.card import Card, Picture, fault_card
from core.cases.lifecycle import join, sets_of
from core.cases.privacy import DIRECT, pseudonym
from core.cases.rows import Case, CaseKey
from core.cases.store import CaseMoved, Store
from core.commands import Inquiry
from core.engine import Triage, triage
from core.errors import Refused, UnusableInput
from core.geometry import Geometry, measure
from core.geometry.screw_plan import NoPlan
from core.geometry.screws import plan_turns
from core.knowledge import Knowledge
from core.pictures.dose_profile import draw_dose_profile
from core.pictures.history import draw_history
from core.pictures.plate_map import draw_plate_map
from core.pictures.screw_sketch import draw_screw_sketch
from core.report import Report
from core.service.answer import Answer, Tools
from core.service.answers import answer_for
from core.service.views import lay_out
from core.words import Words

T = TypeVar("T")

TWO_SETS, MOST_SETS = 2, 6
"""A history begins with two sets of readings; a phone shows six."""
TRIES = 3
"""How often a case that somebody else changed meanwhile is read again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Service:
    """Answers inquiries.

    Attributes:
        store: Cases.
        secret: Key of the pseudonyms.
        tools: Knowledge and lexicons.
        words: Texts by language; ``en`` must be there.
        judging: Where verdicts are computed.
        drawing: Where pictures are drawn; one thread, since matplotlib wants it so.
    """

    store: Store
    secret: bytes
    tools: Tools
    words: Mapping[str, Words]
    judging: Executor
    drawing: Executor
    _turns: WeakValueDictionary[CaseKey, asyncio.Lock] = field(
        default_factory=WeakValueDictionary, init=False, repr=False, compare=False
    )

    async def handle(self, inquiry: Inquiry) -> Card:
        """Answer one inquiry.

        Raises:
            ServiceFailure: Ours; nothing was stored.
        """
        words = self.words_for(inquiry.asker.language)
        key = self._key(inquiry)
        # One person's inquiries in one channel take turns; TRIES is for another process on the same database.
        turn = self._turns.setdefault(key, asyncio.Lock())
        try:
            async with turn:
                return await self._answer(inquiry, key, words)
        except UnusableInput as error:
            return fault_card(tuple(words.fault(fault) for fault in error.faults), words)
        except Refused as refusal:
            text = words.say(f"refusals.{refusal.code}", **refusal.values)
            return Card(title=words.say("card.titles.refused"), conclusion=text, tone="plain", private=True)

    def words_for(self, language: str) -> Words:
        """Return the texts of a language, or of English where there are none."""
        return self.words.get(language.partition("-")[0], self.words["en"])

    async def _answer(self, inquiry: Inquiry, key: CaseKey, words: Words) -> Card:
        case = await self.store.open_case(key)
        proposal = await self.store.recall(_proposal(key))
        answer = answer_for(inquiry, case, proposal, self.tools, words)
        if answer.added is None:
            card = answer.card or await self._show(case, answer, words)
        else:
            card = await self._judge(inquiry, key, answer, words)
            if answer.card is not None:
                card = replace(answer.card, case=card.case, footer=card.footer)
        if answer.draw is not None:
            card = replace(card, pictures=await self._off(self.drawing, answer.draw))
        # Last, so that a yes whose case could not be stored can be said again; joining twice adds nothing.
        if answer.proposal is not None:
            await self.store.remember(_proposal(key), answer.proposal)
        return card

    async def _judge(self, inquiry: Inquiry, key: CaseKey, answer: Answer, words: Words) -> Card:
        """Join what was added to the person's open case, judge it, store it, show it."""
        added = answer.added or Report()
        for _ in range(TRIES):
            before = await self.store.open_case(key)
            report = join(before.latest.report if before else Report(), added)
            judged = await self._off(self.judging, partial(self._triage, report, words))
            try:
                case = await self.store.record(key, report, judged.verdict, inquiry.at, after=before)
            except CaseMoved:
                continue
            earlier = None if before is None else before.latest.report
            return await self._lay_out(judged, case, earlier, answer, words)
        raise CaseMoved("case_moved")

    async def _show(self, case: Case | None, answer: Answer, words: Words) -> Card:
        if case is None:
            raise Refused("no_case")
        judged = await self._off(self.judging, partial(self._triage, case.latest.report, words))
        return await self._lay_out(judged, case, None, answer, words)

    async def _lay_out(self, judged: Triage, case: Case, earlier: Report | None, answer: Answer, words: Words) -> Card:
        card = await self._off(self.judging, lambda: lay_out(judged, earlier, answer, self.tools, words, case))
        pictures = await self._off(self.drawing, partial(_draw, judged, answer, self.tools.knowledge, words))
        if answer.picture == "plate_map" and earlier is not None and earlier.readings is not None:
            pictures = (*pictures, *await self._history(case, words))
        return replace(card, pictures=pictures)

    async def _history(self, case: Case, words: Words) -> tuple[Picture, ...]:
        """Draw how the plate changed over the case's sets of readings; nothing before there are two."""
        told = [judgement.report.readings for judgement in await self.store.history(case)]
        sets = sets_of(told)
        if len(sets) < TWO_SETS:
            return ()
        knowledge = self.tools.knowledge

        def draw() -> tuple[Picture, ...]:
            measured = (measure(readings, knowledge) for readings in sets[-MOST_SETS:])
            known = [geometry for geometry in measured if isinstance(geometry, Geometry)]
            return (draw_history(known, knowledge, words),) if len(known) >= TWO_SETS else ()

        return await self._off(self.drawing, draw)

    def _triage(self, report: Report, words: Words) -> Triage:
        return triage(report, self.tools.knowledge, words)

    def _key(self, inquiry: Inquiry) -> CaseKey:
        asker = inquiry.asker
        author = pseudonym(self.secret, asker.community, asker.person)
        # The channel of a private conversation would give its person away.
        channel = author if asker.community == DIRECT else asker.channel
        return CaseKey(asker.community, channel, author)

    async def _off(self, where: Executor, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(where, work)


def _draw(judged: Triage, answer: Answer, knowledge: Knowledge, words: Words) -> tuple[Picture, ...]:
    geometry, dose = judged.known_geometry, judged.exposure.dose
    if answer.picture == "plate_map" and geometry is not None:
        return (draw_plate_map(geometry, judged.report.machine, words),)
    if answer.picture == "screws" and geometry is not None:
        plan = plan_turns(geometry, judged.report.machine, knowledge)
        return () if isinstance(plan, NoPlan) else (draw_screw_sketch(plan, geometry, words),)
    if answer.picture == "dose_profile" and dose is not None:
        return (draw_dose_profile(dose, words),)
    return ()


def _proposal(key: CaseKey) -> str:
    return f"proposal:{key.community}:{key.channel}:{key.author}"
