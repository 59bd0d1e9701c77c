"""One typed line in, one Inquiry out. Knows how a terminal writes options; must never know what they mean."""

import re
from collections.abc import Mapping
from datetime import datetime

from core.commands import COMMANDS, Asker, Command, Inquiry
from core.errors import Fault, UnusableInput

FREE_TEXT = ("readings", "symptoms")
"""Commands whose own grammar reads ``name=value`` in free text."""

HERE = Asker(community="terminal", channel="terminal", person="you")

ANSWERS = {"yes", "y", "no", "n"}
"""Lines that answer what was asked last."""

# Double quotes group a whole token or a whole value; anywhere else they are inch signs.
_TOKEN = re.compile(r'(?P<name>[a-z_]+)="(?P<quoted>[^"]*)"(?!\S)|"(?P<whole>[^"]*)"(?!\S)|\S+')
_OPTION = re.compile(r"(?P<name>[a-z_]+)=(?P<value>.*)", re.DOTALL)
_NUMBERS_ONLY = re.compile(r"[\s\d.,;/|\-–]+(mm|[µμu]m|in|inch|thou)?", re.IGNORECASE)


def read_line(line: str, at: datetime, reference: str, asker: Asker = HERE) -> Inquiry | None:
    """Return what a line asks, or ``None`` for an empty line or a ``#`` comment.

    ``/command free text name=value "name=value with spaces"``. A line without a slash that holds only numbers is a
    set of readings; any other is a sentence about symptoms.

    Raises:
        UnusableInput: The command does not exist, an option is given twice, or a command that takes no free text is
            given something that is none of its options.
    """
    line = line.strip().removeprefix("\ufeff")
    if not line or line.startswith("#"):
        return None
    if line.casefold().rstrip(".! ") in ANSWERS:
        confirm = {"confirm": line.rstrip(".! ")}
        return Inquiry(command="symptoms", options=confirm, asker=asker, at=at, reference=reference)
    if not line.startswith("/"):
        numbers = any(sign.isdigit() for sign in line) and _NUMBERS_ONLY.fullmatch(line)
        name = "readings" if numbers else "symptoms"
        return Inquiry(command=name, text=line, asker=asker, at=at, reference=reference)
    command, rest = _command(line[1:])
    options, text = _options(command, rest)
    return Inquiry(command=command.name, options=options, text=text, asker=asker, at=at, reference=reference)


def _command(line: str) -> tuple[Command, str]:
    words = " ".join(line.split(" "))
    for command in sorted(COMMANDS, key=lambda command: -len(command.name)):
        if words == command.name or words.startswith(f"{command.name} "):
            return command, words[len(command.name) :].strip()
    given = line.split(maxsplit=1)[0] if line.split() else ""
    known = " ".join(f"/{command.name}" for command in COMMANDS)
    raise UnusableInput((Fault("command", f"/{given}", "unknown_command", {"accepted": known}),))


def _options(command: Command, rest: str) -> tuple[Mapping[str, str], str]:
    """Split off ``name=value`` for the command's own options; everything else stays free text, untouched."""
    names = {option.name for option in command.options}
    options: dict[str, str] = {}
    text: list[str] = []
    faults: list[Fault] = []
    for token in _TOKEN.finditer(rest):
        bare = token["whole"] if token["whole"] is not None else token[0]
        option = _OPTION.fullmatch(bare)
        name = token["name"] or (option["name"] if option else None)
        value = token["quoted"] if token["quoted"] is not None else option["value"] if option else ""
        if name is None or (name not in names and command.name in FREE_TEXT):
            text.append(bare)
        elif name not in names:
            accepted = ", ".join(option.name for option in command.options)
            values = {"command": command.name, "accepted": accepted}
            faults.append(Fault(name, value, "option_not_taken" if names else "takes_nothing", values))
        elif name in options:
            faults.append(Fault(name, value, "option_twice"))
        else:
            options[name] = value
    if faults:
        raise UnusableInput(tuple(faults))
    return options, " ".join(text) if options else rest
