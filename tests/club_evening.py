"""An evening of an invented club, as ``tests/cases/evening.toml`` tells it, held in the stand-in with the real program.

In: an empty folder. Out: what was said, what stands in the database, what was logged. What is to come of it all stands
in the stories; nothing of it is computed by the program.
"""

import asyncio
import re
import tomllib
from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from club_troll import Mischief, make_mischief
from stand_in.answers import Said
from stand_in.chat_platform import Platform
from stand_in.messages import Message
from stand_in.people import Person
from stand_in.program import serving
from stand_in.world import Channel

from core.report import POSITIONS
from core.words import Words, languages, load_words

TOLD = tomllib.loads((Path(__file__).parent / "cases" / "evening.toml").read_text("utf-8"))
PRIVATE = "private"
WHOLE_EVENING_S = 240.0
AT_ONCE = 6
"""So many people are waited for at the same time."""
BETWEEN_S = 900.0
"""Invented time between the parts of the evening, so that nobody asks faster than people do."""
QUARTER_S = 120 * 86_400.0
ERASED, ADMINISTRATOR, TROLL = "moss_under_the_stairs", "keeper_of_the_tools", "grue_in_the_corner"
GUESTS = ("wren_at_the_third_bench", "grue_in_the_corner")
"""Also in another community, where they are somebody else."""
MODERATOR = "mara_who_keeps_order"
CASE = re.compile(r"(?:Case|Fall) (\d+), (?:answer|Antwort) \d+\.")
THREAD = re.compile(r"<#(\d+)>")


@dataclass(eq=False, repr=False, slots=True)
class Story:
    """One story and how far it has got.

    Attributes:
        person: Who tells it, where they tell it.
        verdict: Where the answer to it stands now.
        number: Of the case, once it has one.
    """

    data: Mapping[str, Any]
    person: Person
    verdict: Message | None = None
    number: int = 0
    thread: Channel | None = None


@dataclass(eq=False, repr=False, slots=True)
class Evening:
    """What the evening left behind.

    Attributes:
        peeks: What a helper saw of a case just before they gave their opinion on it.
        views: What the moderator and what the author saw of a case with notes, at the end.
        after_erasing: Bytes of the database and its log right after somebody had everything erased.
        elsewhere: What was answered in the other community; the last to somebody who looked again after it was dark.
        kept_elsewhere: Bytes of the database and its log before that community let the service go.
        figures: What the moderator was told of all cases, when the evening's quarter was over.
        faults: What the platform had to refuse.
        log: All that the program has written, both times.
    """

    folder: Path
    platform: Platform
    people: dict[str, Person]
    stories: list[Story]
    words: Mapping[str, Words]
    mischief: Mischief = field(default_factory=Mischief)
    peeks: list[tuple[Story, Said]] = field(default_factory=list)
    views: list[tuple[Story, Said, Said]] = field(default_factory=list)
    shown_before_erasing: Said | None = None
    after_erasing: bytes = b""
    elsewhere: list[Said] = field(default_factory=list)
    kept_elsewhere: bytes = b""
    refused_before_setup: Said | None = None
    log: str = ""
    figures: Said | None = None
    statuses: list[int | None] = field(default_factory=list)
    faults: tuple[str, ...] = ()

    @property
    def database(self) -> Path:
        return self.folder / "cases.db"

    def bytes_kept(self) -> bytes:
        """Return the database file's bytes, and those of the files beside it."""
        return b"".join(path.read_bytes() for path in sorted(self.folder.glob("cases.db*")))

    def say(self, person: Person, key: str) -> str:
        """Return a text in the language of a person's client."""
        return self.words.get(person.locale.partition("-")[0], self.words["en"]).say(key)

    def of(self, person: str) -> list[Story]:
        """Return the stories of one person."""
        return [story for story in self.stories if story.data["who"] == person]


def hold_evening(folder: Path) -> Evening:
    """Hold the evening, from the first command to the last."""
    return asyncio.run(_bounded(folder))


async def _bounded(folder: Path) -> Evening:
    async with asyncio.timeout(WHOLE_EVENING_S):
        return await _evening(folder)


async def _evening(folder: Path) -> Evening:
    async with Platform() as platform:
        people = {name: _person(platform, name, told) for name, told in TOLD["people"].items()}
        stories = [Story(told, _where(platform, people[told["who"]], told)) for told in TOLD["story"]]
        words = {language: load_words(language) for language in languages()}
        evening = Evening(folder, platform, people, stories, words)
        first = [story for story in stories if story.data.get("half", 1) == 1]
        second = [story for story in stories if story not in first]

        async with serving(platform, folder) as program:
            await _set_up(evening)
            await _part(evening, first, _is_told)
            await _part(evening, first, _is_helped)
            evening.mischief = await make_mischief(people[TROLL], _seen_in_public(first), platform)
            await _part(evening, evening.of(ERASED)[:1], _ends)
            await _erase(evening)
            evening.statuses.append(await program.stop())
            evening.log += program.log

        async with serving(platform, folder) as program:
            await _part(evening, [story for story in first if story.data["who"] != ERASED], _ends)
            await _drop(evening, second[:3])
            await _part(evening, second[3:], _is_told)
            await _part(evening, second, _is_helped)
            await _part(evening, second, _ends)
            await _elsewhere(evening)
            for kind in ("limited", "cut_after", "limited"):
                platform.troubles.expect("callback", kind)
            await _part(evening, stories, _is_confirmed)
            await _part(evening, [story for story in stories if "notes" in story.data], _is_looked_at)
            platform.pass_time(QUARTER_S)
            evening.figures = await people[MODERATOR].types("/stats causes")
            evening.statuses.append(await program.stop())
            evening.log += program.log

        evening.faults = tuple(platform.faults)
        platform.faults.clear()
        return evening


def _person(platform: Platform, name: str, told: Mapping[str, Any]) -> Person:
    roles = frozenset({told["role"]} if "role" in told else ())
    return platform.person(name, roles=roles, locale=told["locale"], administrator=told.get("administrator", False))


def _where(platform: Platform, person: Person, told: Mapping[str, Any]) -> Person:
    place = told.get("place", "failed-prints")
    return person.privately if place == PRIVATE else person.at(platform.club.channel(place))


async def _part(evening: Evening, stories: Iterable[Story], do: Callable[[Evening, Story], Awaitable[None]]) -> None:
    """Let one thing happen to many stories, some at the same time."""
    evening.platform.pass_time(BETWEEN_S)
    seats = asyncio.Semaphore(AT_ONCE)

    async def seated(story: Story) -> None:
        async with seats:
            await do(evening, story)

    async with asyncio.TaskGroup() as group:
        for story in stories:
            group.create_task(seated(story))


async def _set_up(evening: Evening) -> None:
    """Let the administrator say who helps; before that a helper is nobody."""
    club, keeper = evening.platform.club, evening.people[ADMINISTRATOR]
    evening.refused_before_setup = await evening.people["otto_with_the_gauge"].types("/case queue")
    await keeper.types("/setup", helpers=club.role("helpers"), moderators=club.role("moderators"))


# ---- what people tell -----------------------------------------------------------------------------


async def _is_told(evening: Evening, story: Story) -> None:
    for tell in story.data["tells"]:
        _note(story, await _tell(evening, story, story.person, tell))
    for what in story.data.get("asks", ()):
        await story.person.presses(story.verdict, evening.say(story.person, f"actions.{what}"))


async def _tell(evening: Evening, story: Story, person: Person, tell: Mapping[str, Any]) -> Said:
    """Tell one thing the way it is told, and return the verdict."""
    if "sentence" in tell:
        return await _yes(evening, person, await person.types("/symptoms", seen=tell["sentence"]))
    if "message" in tell:
        message = await person.writes(tell["message"])
        reader = evening.people[tell["by"]].at(person.channel) if "by" in tell else person
        return await _yes(evening, reader, await reader.chooses_menu("Read symptoms", message))
    command, fields = _fields(tell)
    how = tell.get("how", "typed")
    if how == "typed":
        return await person.types(f"/{command}", **fields)
    if how == "form":
        shown = await person.types(f"/{command}")
    elif how == "help":
        start = await person.types("/help")
        shown = await person.presses(start, evening.say(person, f"help.presses.{command}"))
    else:
        shown = await person.presses(story.verdict, evening.say(person, f"actions.{command}"))
    return await person.fills(shown, **fields)


def _fields(tell: Mapping[str, Any]) -> tuple[str, dict[str, str]]:
    if "readings" in tell:
        names = (position.value for position in POSITIONS)
        return "readings", dict(zip(names, tell["readings"].split(), strict=True))
    if "settings" in tell:
        return "settings", dict(tell["settings"])
    return "symptoms", {name: tell[name] for name in ("seen", "where", "absent") if name in tell}


async def _yes(evening: Evening, person: Person, question: Said) -> Said:
    return await person.presses(question, evening.say(person, "actions.yes"))


def _note(story: Story, said: Said) -> None:
    story.verdict = said.message
    found = CASE.search(story.verdict.text)
    assert found is not None, story.verdict.text
    story.number = int(found[1])


async def _drop(evening: Evening, stories: Iterable[Story]) -> None:
    """Lose the gateway while people are typing; what they said is heard when it is back."""
    await evening.platform.gateway.drop()
    await asyncio.gather(evening.people[TROLL].types("/help"), _part(evening, stories, _is_told))


async def _elsewhere(evening: Evening) -> None:
    """Let the same people tell something in another community, which then shows the service the door."""
    other, keeper = evening.platform.community("Evening bench"), evening.people[ADMINISTRATOR]
    await other.comes_back()
    there = other.channel("broken-things")
    await keeper.at(there).types("/setup", helpers=other.role("helpers"))
    for name in GUESTS:
        _, coupons = _fields({"readings": "1.00 1.02 1.33 1.31 1.15"})
        evening.elsewhere.append(await evening.people[name].at(there).types("/readings", **coupons))
    await other.goes_dark()
    await other.comes_back()
    evening.elsewhere.append(await evening.people[GUESTS[0]].at(there).types("/case show"))
    evening.kept_elsewhere = evening.bytes_kept()
    await other.leaves()


# ---- what is done for them ------------------------------------------------------------------------


async def _is_helped(evening: Evening, story: Story) -> None:
    told, case = story.data, str(story.number)
    if "claimed" in told:
        helper = evening.people[told["claimed"]]
        shown = await helper.types("/case show", case=case)
        await helper.presses(shown, evening.say(helper, "actions.claim"))
    if "released" in told:
        await evening.people[told["released"]].types("/case release", case=case)
    for name, text in told.get("notes", {}).items():
        await evening.people[name].types("/case note", case=case, text=text)
    for name, cause in told.get("opinions", {}).items():
        evening.peeks.append((story, await evening.people[name].types("/case show", case=case)))
        await evening.people[name].types("/case note", case=case, cause=cause)
    if "thread" in told:
        await _talk_in_thread(evening, story)


async def _talk_in_thread(evening: Evening, story: Story) -> None:
    helper = evening.people[story.data["thread"]]
    shown = await helper.types("/case show", case=str(story.number))
    opened = await helper.presses(shown, evening.say(helper, "actions.thread"))
    story.thread = evening.platform.channels[THREAD.search(opened.text)[1]]
    person = story.person.at(story.thread)
    for tell in story.data["in_thread"]:
        _note(story, await _tell(evening, story, person, tell))


async def _is_confirmed(evening: Evening, story: Story) -> None:
    for name, cause in story.data.get("confirmed", {}).items():
        await evening.people[name].types("/case confirm", case=str(story.number), cause=cause)


async def _is_looked_at(evening: Evening, story: Story) -> None:
    """Let the moderator, and the author where they are not forgotten, look at a case."""
    case = str(story.number)
    moderators = await evening.people[MODERATOR].types("/case show", case=case)
    evening.views.append((story, moderators, await story.person.types("/case show", case=case)))


# ---- how it ends ----------------------------------------------------------------------------------


async def _ends(evening: Evening, story: Story) -> None:
    told, person = story.data.get("ended"), story.person
    if told is None:
        return
    case, result, step = str(story.number), told["result"], told.get("step", "")
    if result == "closed":
        await person.types("/case close", case=case)
    elif told.get("typed"):
        await person.types("/case outcome", case=case, result=result, **({"step": step} if step else {}))
    elif result == "not_yet":
        await person.presses(story.verdict, evening.say(person, "actions.not_yet"))
    else:
        question = await person.presses(story.verdict, evening.say(person, "actions.it_worked"))
        answer = evening.say(person, f"remedies.{step}.name" if step else "case.something_else")
        await person.presses(question, answer)


async def _erase(evening: Evening) -> None:
    """Let somebody see what is kept, and have it erased while the evening goes on."""
    person = evening.people[ERASED]
    evening.platform.pass_time(BETWEEN_S)
    evening.shown_before_erasing = await person.types("/my-data show")
    sure = await person.presses(evening.shown_before_erasing, evening.say(person, "actions.erase"))
    await person.presses(sure, evening.say(person, "actions.erase_yes"))
    evening.after_erasing = evening.bytes_kept()


def _seen_in_public(stories: Iterable[Story]) -> list[Message]:
    return [story.verdict for story in stories if story.person.community is not None]
