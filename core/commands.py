"""The commands every front end offers, as one table, and the Inquiry a front end hands in.

A front end must offer exactly these commands with these options; the words that describe them are under ``commands``
in the language files. This file must never know how a platform names or draws them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from core.report import POSITIONS

Who = Literal["everyone", "helpers", "moderators", "administrators"]
"""Who may use a command, least first. ``everyone`` may still be held to what is their own."""


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a command, always text; the core parses it.

    Attributes:
        choices: Where a fixed list of values is accepted: the key of that list (``adjusters``, ``findings``,
        ``places``, ...).
        form: Whether the option is a field of the command's form.
        kind: ``role`` and ``channel`` take one of the community's own, as its identifier; ``case`` takes the number of
        a case and does not count as something said.
    """

    name: str
    choices: str | None = None
    form: bool = False
    kind: Literal["text", "role", "channel", "case"] = "text"


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its name, who may use it, its options in order.

    Attributes:
        name: One word, or a group and a word.
        menu: Whether it is chosen on somebody's message, whose text and author come with the inquiry, and not typed.
        direct: Whether it also works in a private conversation.
    """

    name: str
    who: Who = "everyone"
    options: tuple[Option, ...] = ()
    menu: bool = False
    direct: bool = True


_CASE = Option("case", kind="case")
_PLATE = (Option("plate"), Option("thread"), Option("adjusters", choices="adjusters"))

COMMANDS: tuple[Command, ...] = (
    Command(
        "readings",
        options=(*(Option(position.value, form=True) for position in POSITIONS), Option("nominal"), *_PLATE, _CASE),
    ),
    Command(
        "symptoms",
        options=(
            Option("seen", choices="findings", form=True),
            Option("where", choices="places", form=True),
            Option("absent", choices="findings", form=True),
            Option("confirm", choices="yes_no"),
            _CASE,
        ),
    ),
    Command(
        "settings",
        options=(
            Option("burn_in_layers", form=True),
            Option("burn_in", form=True),
            Option("exposure", form=True),
            Option("layer_height", form=True),
            Option("transition_layers", form=True),
            Option("rest"),
            Option("lift"),
            Option("raised_exposure", choices="yes_no"),
            Option("raft_style", choices="raft_style"),
            Option("raft_area"),
            Option("raft_sliced"),
            Option("raft_measured"),
            Option("temperature"),
            Option("viscosity"),
            Option("penetration_depth"),
            Option("critical_time"),
            Option("homing", choices="homing"),
            *_PLATE,
            _CASE,
        ),
    ),
    Command("coupons", options=(Option("plate"), Option("nominal"))),
    Command("screws", options=(*_PLATE, _CASE)),
    Command("curve", options=(Option("squares"), _CASE)),
    Command("why", options=(_CASE,)),
    Command("next", options=(_CASE,)),
    Command(
        "case show",
        options=(_CASE, Option("hand_over", choices="yes_no"), Option("thread", choices="yes_no")),
    ),
    Command(
        "case note",
        "helpers",
        (_CASE, Option("text"), Option("cause", choices="causes")),
        direct=False,
    ),
    Command("case claim", "helpers", (_CASE,), direct=False),
    Command("case release", "helpers", (_CASE,), direct=False),
    Command("case confirm", "helpers", (_CASE, Option("cause", choices="causes")), direct=False),
    Command(
        "case outcome",
        options=(_CASE, Option("result", choices="results"), Option("step", choices="remedies")),
    ),
    Command("case close", options=(_CASE,)),
    Command("case queue", "helpers", direct=False),
    Command("stats causes", "moderators", (Option("by", choices="classes"),), direct=False),
    Command(
        "stats remedies",
        "moderators",
        (Option("step", choices="remedies"), Option("other", choices="remedies")),
        direct=False,
    ),
    Command("stats trend", "moderators", direct=False),
    Command("stats readings", "moderators", direct=False),
    Command("stats quality", "moderators", direct=False),
    Command("stats export", "moderators", direct=False),
    Command("my-data show"),
    Command("my-data erase", options=(Option("confirm", choices="yes_no"),)),
    Command(
        "setup",
        "administrators",
        (
            Option("helpers", kind="role"),
            Option("moderators", kind="role"),
            Option("channel", kind="channel"),
            Option("channels", choices="channel_rules"),
            Option("retention"),
            Option("replies", choices="replies"),
            Option("reminders", choices="yes_no"),
            Option("language", choices="languages"),
            Option("learning", choices="yes_no"),
        ),
        direct=False,
    ),
    Command("help", options=(Option("topic", choices="guides"),)),
    Command("read symptoms", menu=True),
)


@dataclass(frozen=True, slots=True)
class Asker:
    """Who asks and where. Raw platform identifiers: they never leave the service unhashed.

    Attributes:
        community: Identifier of the community, or ``direct`` for a private conversation.
        channel: Identifier of the channel.
        person: Identifier of the person.
        language: Tag of the person's client, such as ``en`` or ``de``.
        roles: Identifiers of the person's roles in that community.
        administrator: Whether the platform lets the person administer that community.
        parent: Identifier of the channel whose thread ``channel`` is, or nothing.
    """

    community: str
    channel: str
    person: str
    language: str = "en"
    roles: frozenset[str] = frozenset()
    administrator: bool = False
    parent: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inquiry:
    """One thing a person asks.

    Attributes:
        command: Name out of ``COMMANDS``.
        options: Option name to the text given; options not given are absent.
        text: Free text after the command, where the front end has such a thing (``/readings 0.98 1.02 …``), or the
        text of the message that was chosen.
        author: Identifier of who wrote the message that was chosen; never leaves the service unhashed.
        asker: Who and where.
        at: When, with time zone.
        reference: Short id that also stands in the log, for finding the line.
    """

    command: str
    options: Mapping[str, str] = field(default_factory=dict)
    text: str = ""
    author: str = ""
    asker: Asker
    at: datetime
    reference: str
