"""The desk: who asks what is found out here, and the right answerer is asked.

In: Inquiry. Out: Card. A person's mistake comes back as a card; only our own failures raise. This file must never
know a front end, and nothing below it knows who asks.
"""

import asyncio
from collections.abc import Awaitable, Callable, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Literal, TypeVar
from weakref import WeakValueDictionary

from core.card import Card, Picture, channel, fault_card
from core.cases.lifecycle import join, sets_of
from core.cases.privacy import DIRECT, pseudonym
from core.cases.rows import Case, CaseKey, Community
from core.cases.store import CaseMoved, Store
from core.commands import COMMANDS, Command, Inquiry
from core.engine import Triage, triage
from core.errors import Fault, Refused, UnusableInput
from core.geometry import Geometry, measure
from core.geometry.screw_plan import NoPlan
from core.geometry.screws import plan_turns
from core.knowledge import Knowledge
from core.pictures.dose_profile import draw_dose_profile
from core.pictures.history import draw_history
from core.pictures.plate_map import draw_plate_map
from core.pictures.screw_sketch import draw_screw_sketch
from core.report import Report
from core.service import case_desk, my_data, setup, statistics
from core.service.answer import Answer, Tools
from core.service.answers import answer_for, confirms
from core.service.pace import Paces
from core.service.reminders import SILENCE, Reminder, choose, remind, wanted_by
from core.service.renewal import set_aside_seen
from core.service.request import Request
from core.service.standing import admit, rank_of
from core.service.teaching import School, teach_all
from core.service.views import lay_out
from core.words import Words

T = TypeVar("T")

TWO_SETS, MOST_SETS = 2, 6
"""A history begins with two sets of readings; a phone shows six."""
TRIES = 3
"""How often a case that somebody else changed meanwhile is read again."""
FOLLOWS_WITHIN = timedelta(days=30)
"""Readings so soon after a fix measure that fix again."""


@dataclass(frozen=True, slots=True)
class Meant:
    """Whose case an inquiry is about: the case itself where it was named, and what waits for a yes."""

    key: CaseKey
    named: Case | None
    proposal: str | None = None


BY_NAME: Mapping[str, Command] = {command.name: command for command in COMMANDS}
HANDLERS: Mapping[str, Callable[[Request], Awaitable[Card]]] = {
    **case_desk.HANDLERS,
    **my_data.HANDLERS,
    **setup.HANDLERS,
    **statistics.HANDLERS,
}
"""The commands that work on the store; every other asks an answerer about one case."""


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
        paces: How much anybody may ask in a while.
    """

    store: Store
    secret: bytes
    tools: Tools
    words: Mapping[str, Words]
    judging: Executor
    drawing: Executor
    paces: Paces = field(default_factory=Paces)
    _turns: WeakValueDictionary[CaseKey, asyncio.Lock] = field(
        default_factory=WeakValueDictionary, init=False, repr=False, compare=False
    )

    _charts: dict[tuple[object, ...], tuple[Picture, ...]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _learned: dict[str, School] = field(default_factory=dict, init=False, repr=False, compare=False)

    async def handle(self, inquiry: Inquiry) -> Card:
        """Answer one inquiry.

        Raises:
            ServiceFailure: Ours; nothing was stored.
        """
        rules = await self.store.community(inquiry.asker.community)
        request = self._request(inquiry, rules)
        words = request.words
        return replace(await _said(self._answer(request), words), language=words.language)

    async def refuses(self, inquiry: Inquiry) -> Card | None:
        """Return what an inquiry would be refused with whatever else it says, so that nobody fills a form in vain."""
        rules = await self.store.community(inquiry.asker.community)
        request = self._request(inquiry, rules)
        try:
            admit(BY_NAME[inquiry.command], inquiry.asker, request.rank, rules)
            await request.named_case()
        except (UnusableInput, Refused) as error:
            return replace(refused_card(error, request.words), language=request.words.language)
        return None

    async def case_meant(self, inquiry: Inquiry) -> int | None:
        """Return the number of the case that an inquiry is about if it names none: its thread's, or the asker's own."""
        rules = await self.store.community(inquiry.asker.community)
        request = self._request(replace(inquiry, options={}), rules)
        case = await request.named_case() or await self.store.open_case(request.key)
        return None if case is None else case.number

    def words_for(self, language: str) -> Words:
        """Return the texts of a language, or of English where there are none."""
        return self.words.get(language.partition("-")[0], self.words["en"])

    async def stands(self, community: str, number: int, place: str) -> None:
        """Note where the verdict of a case stands on the platform."""
        await self._put(community, number, "place", place)

    async def threaded(self, community: str, number: int, thread: str) -> None:
        """Note the thread that was opened for a case."""
        await self._put(community, number, "thread", thread)

    async def forget_community(self, community: str) -> None:
        """Delete everything of a community that no longer wants this service."""
        await self.store.forget_community(community)

    async def tidy(self, at: datetime) -> int:
        """Close what was abandoned, let go of people in old cases; return how many cases were let go."""
        return await self.store.tidy(at)

    async def learn(self) -> None:
        """Learn afresh from all confirmed cases, once any community has enough of them for a trial."""
        counts = await self.store.lesson_counts()
        if max(counts.values(), default=0) < self.tools.knowledge.norm("learning_cases_least"):
            return
        lessons = await self.store.lessons()
        self._learned[_SCHOOL] = await self._off(self.judging, partial(teach_all, lessons, self.tools.knowledge))

    async def reminders(self, at: datetime) -> tuple[Reminder, ...]:
        """Return whom to ask how it went, each case once and never again, whether or not the question arrives."""
        rules = await self.store.communities()
        silent = await self.store.silent(wanted_by(rules), at - SILENCE)
        due = choose(silent)
        for case in due:
            await self.store.put(case, "reminded_at", at.isoformat())
        return tuple(
            remind(case, at, self.words_for(rules[case.key.community].language or case.latest.verdict.language))
            for case in due
        )

    async def _put(self, community: str, number: int, column: Literal["place", "thread"], value: str) -> None:
        case = await self.store.case(community, number)
        if case is not None:
            await self.store.put(case, column, value)

    async def _answer(self, request: Request) -> Card:
        inquiry = request.inquiry
        command = BY_NAME.get(inquiry.command)
        if command is None:
            known = " ".join(f"/{name}" for name, one in BY_NAME.items() if not one.menu)
            raise UnusableInput((Fault("command", inquiry.command, "unknown_command", {"accepted": known}),))
        if command.name != "my-data erase":
            # Whoever wants to be forgotten need not wait.
            self.paces.check(inquiry.asker.community, request.person, inquiry.at)
        admit(command, inquiry.asker, request.rank, request.rules)
        handler = HANDLERS.get(command.name)
        if handler is not None:
            return await handler(request)
        case = await self._case_meant(request)
        # One case is worked on by one inquiry at a time; TRIES is for another process on the same database.
        turn = self._turns.setdefault(case.key, asyncio.Lock())
        async with turn:
            return await self._about(case, request)

    async def _case_meant(self, request: Request) -> Meant:
        """Find out whose case an inquiry is about."""
        inquiry = request.inquiry
        if inquiry.command == "read symptoms":
            author = pseudonym(self.secret, inquiry.asker.community, inquiry.author)
            if author != request.person and not request.helps:
                raise Refused("not_your_message")
            named = await request.named_case()
            if named is not None and named.key.author == author:
                return Meant(named.key, named)
            return Meant(replace(request.key, author=author), None)
        proposed = await self.store.proposed(request.key)
        named = await request.named_case()
        if proposed is not None and confirms(inquiry, self.tools):
            return Meant(proposed[0], None, proposed[1])
        return Meant(request.key if named is None else named.key, named)

    async def _about(self, meant: Meant, request: Request) -> Card:
        words, key = request.words, meant.key
        # Read anew: whoever had the turn before may have closed it.
        case = await (self.store.case(key.community, meant.named.number) if meant.named else self.store.open_case(key))
        answer = answer_for(_about_print(request.inquiry), case, meant.proposal, request.tools, words)
        # In the thread of a closed case its author begins the next one; a closed case that is named takes nothing.
        begins_next = key.author == request.person and not request.option("case")
        if answer.added is not None and case is not None and case.state == "closed" and not begins_next:
            raise Refused("case_closed", number=case.number)
        if answer.added is None:
            card = answer.card or await self._show(case, answer, request)
        else:
            card = await self._judge(request, key, answer)
            if answer.card is not None:
                card = replace(answer.card, case=card.case, footer=card.footer)
        if answer.draw is not None:
            card = replace(card, pictures=await self._off(self.drawing, answer.draw))
        # Last, so that a yes whose case could not be stored can be said again; joining twice adds nothing.
        if answer.proposal is not None:
            await self.store.propose(request.key, key, answer.proposal, request.inquiry.at)
        if request.rules.replies == "private" or (card.standing is None and key.author != request.person):
            # What a helper looks up about somebody's case is for the helper.
            card = replace(card, private=True)
        return card

    async def _judge(self, request: Request, key: CaseKey, answer: Answer) -> Card:
        """Join what was added to the person's open case, judge it, store it, show it."""
        added, inquiry = answer.added or Report(), request.inquiry
        for _ in range(TRIES):
            before = await self.store.open_case(key)
            fixed = await self._fixed_before(key, added, inquiry) if before is None else None
            joined = join(before.latest.report if before else Report(), added)
            known = before.latest.report if before else None
            report = await self._off(
                self.judging, partial(set_aside_seen, joined, known, added, request.tools.knowledge)
            )
            judged = await request.judge(report)
            try:
                case = await self.store.record(key, report, judged.verdict, inquiry.at, after=before, follows=fixed)
            except CaseMoved:
                continue
            earlier = before or fixed
            if report is not joined:
                answer = replace(answer, heard=(*answer.heard, request.words.say("symptoms.set_aside")))
            return await self._lay_out(judged, case, earlier.latest.report if earlier else None, answer, request)
        raise CaseMoved("case_moved")

    async def _fixed_before(self, key: CaseKey, added: Report, inquiry: Inquiry) -> Case | None:
        """Return the case whose fix new readings measure again."""
        fixed = None if added.readings is None else await self.store.last_fixed(key)
        recent = fixed is not None and fixed.outcome_at is not None and inquiry.at - fixed.outcome_at <= FOLLOWS_WITHIN
        return fixed if recent else None

    async def _show(self, case: Case | None, answer: Answer, request: Request) -> Card:
        if case is None:
            raise Refused("no_case")
        judged = await request.judge(case.latest.report)
        card = await self._lay_out(judged, case, None, answer, request)
        # Only what was judged anew takes the place of the verdict that stands.
        return replace(card, standing=None)

    async def _lay_out(
        self, judged: Triage, case: Case, earlier: Report | None, answer: Answer, request: Request
    ) -> Card:
        words, tools = request.words, request.tools
        card = await self._off(self.judging, lambda: lay_out(judged, earlier, answer, tools, words, case))
        pictures = await self._off(self.drawing, partial(_draw, judged, answer, tools.knowledge, words))
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

    def _request(self, inquiry: Inquiry, rules: Community) -> Request:
        asker = inquiry.asker
        words = self.words_for(rules.language or asker.language)
        school = self._learned.get(_SCHOOL, School({}))
        tools = school.tools(self.tools, asker.community, rules)

        def own(community: str) -> str:
            return pseudonym(self.secret, community, asker.person)

        async def judge(report: Report) -> Triage:
            return await self._off(self.judging, partial(triage, report, tools.knowledge, words))

        author = own(asker.community)
        # The channel of a private conversation would give its person away.
        channel = author if asker.community == DIRECT else asker.channel
        return Request(
            inquiry=inquiry,
            key=CaseKey(asker.community, channel, author),
            rank=rank_of(asker, rules),
            rules=rules,
            words=words,
            store=self.store,
            tools=tools,
            taught=school.taught.get(asker.community),
            judge=judge,
            draw=partial(self._off, self.drawing),
            charts=self._charts,
            pseudonym=own,
        )

    async def _off(self, where: Executor, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(where, work)


_SCHOOL = "now"


def _about_print(inquiry: Inquiry) -> Inquiry:
    """Return what is said of the print itself: whose it is has been found out."""
    options = {name: text for name, text in inquiry.options.items() if name != "case"}
    return replace(inquiry, options=options)


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


async def _said(answer: Awaitable[Card], words: Words) -> Card:
    """Turn a person's mistake, and a refusal, into a card."""
    try:
        return await answer
    except (UnusableInput, Refused) as error:
        return refused_card(error, words)


def refused_card(refusal: UnusableInput | Refused, words: Words) -> Card:
    """Say kindly, and privately, why something is not done."""
    if isinstance(refusal, UnusableInput):
        return fault_card(tuple(words.fault(fault) for fault in refusal.faults), words)
    values = dict(refusal.values)
    allowed = values.get("channels")
    if isinstance(allowed, tuple):
        values["channels"] = words.listed([channel(str(one)) for one in allowed])
    text = words.say(f"refusals.{refusal.code}", **values)
    title = words.say(f"card.titles.{'refused' if refusal.code in _FOR_NOW else 'not_here'}")
    return Card(title=title, conclusion=text, tone="plain", private=True)


_FOR_NOW = ("no_case", "nothing_proposed", "case_closed", "too_fast", "too_busy")
"""Refusals of something that can be done later."""
