"""One person who tries everything: other people's cases, forged presses and forms, hostile text, floods, replays.

In: who, and the verdicts everybody can see. Out: what came of it, by kind.
"""

import asyncio
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from stand_in.answers import Said
from stand_in.chat_platform import Platform
from stand_in.messages import Message
from stand_in.people import Person

LEFT_TO_RIGHT, RIGHT_TO_LEFT, POP = "\u202d", "\u202e", "\u202c"
HOSTILE = (
    "@everyone <@900000000000000009> <@&800000000000000001> wake up, the raft is shiny",
    f"{RIGHT_TO_LEFT}toor ytliug{POP} {LEFT_TO_RIGHT}**glossy** `raft` ||on|| the [left](https://example.org/x)",
    "'; DROP TABLE cases; -- the supports snapped",
    "{0.__class__.__mro__} {number} %s %(name)s ${HOME} raft",
    "# heading\n> quote\n```\nfence\n-# small\n- list",
    "a\u0300\u0301\u0302\u0303" * 400,
    "🧪" * 2900,
    "\x00\x07\x1b[31mred\x1b[0m\ufeff\u2028\u2029",
)
NAMES_CASE = re.compile(r"case=(\d+)")
NO_SUCH_CASE = "999"
FLOOD = 20


@dataclass(repr=False, slots=True)
class Mischief:
    """What was answered, by what was tried."""

    strangers_case: list[tuple[Said, Said]] = field(default_factory=list)
    wrong_role: dict[str, Said] = field(default_factory=dict)
    forged: list[Said] = field(default_factory=list)
    pressed: list[Said] = field(default_factory=list)
    hostile: list[Said] = field(default_factory=list)
    flood: list[Said] = field(default_factory=list)
    replayed: list[tuple[Said, int]] = field(default_factory=list)


async def make_mischief(troll: Person, verdicts: Sequence[Message], platform: Platform) -> Mischief:
    """Try everything, with pauses in which others can breathe."""
    done = Mischief()
    case = _number(verdicts[0])
    for pause in (_look_at_others, _use_wrong_roles, _press_and_forge, _write_hostile_text, _replay, _flood):
        platform.pass_time(300.0)
        await pause(troll, verdicts, case, platform, done)
    platform.pass_time(300.0)
    return done


Act = tuple[str, Mapping[str, str]]
ON_A_CASE: tuple[Act, ...] = (
    ("/case show", {}),
    ("/why", {}),
    ("/readings", {"centre": "9.99"}),
    ("/symptoms", {"seen": "glossy_raft", "where": "left"}),
    ("/case outcome", {"result": "not_fixed"}),
    ("/case close", {}),
)
BY_HELPERS: tuple[Act, ...] = (
    ("/case claim", {}),
    ("/case release", {}),
    ("/case note", {"text": "written by nobody"}),
    ("/case confirm", {"cause": "tilt"}),
)


async def _look_at_others(troll: Person, _verdicts: Any, case: str, _platform: Platform, done: Mischief) -> None:
    """Ask for somebody's case, and for one that does not exist; the answers must not tell which is which."""
    for command, options in ON_A_CASE:
        both = (troll.types(command, **options, case=number) for number in (case, NO_SUCH_CASE))
        theirs, nobodys = await asyncio.gather(*both)
        done.strangers_case.append((theirs, nobodys))


async def _use_wrong_roles(troll: Person, _verdicts: Any, case: str, platform: Platform, done: Mischief) -> None:
    for command, options in BY_HELPERS:
        done.wrong_role[command] = await troll.types(command, **options, case=case)
    done.wrong_role["/case queue"] = await troll.types("/case queue")
    # An administrator's slip of the hand must not make anybody an administrator.
    platform.club.eased.add("setup")
    done.wrong_role["/setup"] = await troll.types("/setup", helpers=platform.club.role("helpers"))
    platform.club.eased.discard("setup")


async def _press_and_forge(
    troll: Person, verdicts: Sequence[Message], case: str, _platform: Platform, done: Mischief
) -> None:
    on = verdicts[0]
    done.pressed += await asyncio.gather(*(troll.at(on.channel).presses(on, label) for label in on.buttons))
    victim = f"{int(on.asked_by['id']):x}"
    for custom_id in (
        "",
        "levelling",
        f"pw1:{victim}:why:",
        f"pw2:{victim}:my-data%20erase:confirm=yes",
        f"pw2::my-data%20erase:confirm=yes&case={case}",
        f"pw2::case%20claim:case={case}",
        f"pw2::setup:helpers={troll.id}",
        f"pw2:{troll.id}:why:",
        "pw2::why:case=%31",
        "form:readings",
    ):
        done.forged.append(await troll.at(on.channel).forges_press(on, custom_id or "-"))
    own = done.wrong_role["/case queue"]
    for custom_id in (
        f"pw2!::case%20outcome:case={case}&result=fixed_by_step&step=level_plate",
        f"pw2!:{victim}:symptoms:confirm=yes",
    ):
        done.forged.append(await troll.forges_press(own, custom_id))
    for custom_id, fields in (
        (f"form:readings:{case}", {"centre": "9.99"}),
        ("form:setup", {"helpers": troll.id}),
        ("form:my-data erase", {"confirm": "yes"}),
        ("form:readings:0", {"centre": "1.00"}),
        ("anything", {"anything": "x" * 3000}),
    ):
        done.forged.append(await troll.forges_form(custom_id, fields))


async def _write_hostile_text(troll: Person, _verdicts: Any, _case: str, platform: Platform, done: Mischief) -> None:
    for text in HOSTILE:
        platform.pass_time(30.0)
        done.hostile += await asyncio.gather(troll.types("/symptoms", seen=text), troll.types("/readings", centre=text))
    done.hostile.append(await troll.types("/settings", burn_in=HOSTILE[0], exposure=HOSTILE[3]))


async def _replay(troll: Person, _verdicts: Any, _case: str, platform: Platform, done: Mischief) -> None:
    """Let an interaction arrive a second time under its old number and token."""
    said = await troll.types("/help")
    before = len(said.conversation.messages)
    await platform.repeat(said.conversation)
    await troll.types("/help")
    done.replayed.append((said, before))


async def _flood(troll: Person, _verdicts: Any, _case: str, _platform: Platform, done: Mischief) -> None:
    done.flood = list(await asyncio.gather(*(troll.types("/why") for _ in range(FLOOD))))


def _number(verdict: Message) -> str:
    """Read the number of a case off the buttons under its verdict."""
    found = (NAMES_CASE.search(button["custom_id"]) for button in verdict.buttons.values())
    return next(one[1] for one in found if one is not None)
