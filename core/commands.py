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


@dataclass(frozen=True, slots=True)
class Option:
    """One option of a command, always text; the core parses it.

    Attributes:
        choices: Where a fixed list of values is accepted: the key of that list (``adjusters``, ``findings``,
        ``places``, ...).
        form: Whether the option is a field of the command's form.
    """

    name: str
    choices: str | None = None
    form: bool = False


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its name, who may use it, its options in order."""

    name: str
    who: Who = "everyone"
    options: tuple[Option, ...] = ()


_PLATE = (Option("plate"), Option("thread"), Option("adjusters", choices="adjusters"))

COMMANDS: tuple[Command, ...] = (
    Command(
        "readings",
        options=(*(Option(position.value, form=True) for position in POSITIONS), Option("nominal"), *_PLATE),
    ),
    Command(
        "symptoms",
        options=(
            Option("seen", choices="findings", form=True),
            Option("where", choices="places", form=True),
            Option("absent", choices="findings", form=True),
            Option("confirm", choices="yes_no"),
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
        ),
    ),
    Command("coupons", options=(Option("plate"), Option("nominal"))),
    Command("screws", options=_PLATE),
    Command("curve", options=(Option("squares"),)),
    Command("why"),
    Command("next"),
    Command("help", options=(Option("topic", choices="guides"),)),
)


@dataclass(frozen=True, slots=True)
class Asker:
    """Who asks and where. Raw platform identifiers: they never leave the service unhashed.

    Attributes:
        community: Identifier of the community, or ``direct`` for a private conversation.
        channel: Identifier of the channel.
        person: Identifier of the person.
        language: Tag of the person's client, such as ``en`` or ``de``.
    """

    community: str
    channel: str
    person: str
    language: str = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inquiry:
    """One thing a person asks.

    Attributes:
        command: Name out of ``COMMANDS``.
        options: Option name to the text given; options not given are absent.
        text: Free text after the command, where the front end has such a thing (``/readings 0.98 1.02 …``).
        asker: Who and where.
        at: When, with time zone.
        reference: Short id that also stands in the log, for finding the line.
    """

    command: str
    options: Mapping[str, str] = field(default_factory=dict)
    text: str = ""
    asker: Asker
    at: datetime
    reference: str
