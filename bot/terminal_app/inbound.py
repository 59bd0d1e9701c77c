"""One typed line in, one Inquiry out. Knows how a terminal writes options; must never know what they mean."""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType

from bot.terminal_app.people import YOU
from bot.terminal_app.typed import FREE_TEXT, LEADS, TEXT_TOO, takes_bare_number
from core.commands import COMMANDS, Asker, Command, Inquiry
from core.errors import Fault, UnusableInput
from core.intake.characters import fold
from core.intake.choices import closest

AUTHOR = "author"
"""Who wrote the message that a menu command is chosen on; the speaker if it is not given."""
MARKS = {"role": "@", "channel": "#"}
"""How a platform shows a role or a channel; typed with or without."""

_NAMES = frozenset(command.name for command in COMMANDS)

# Double quotes group a whole token or a whole value; anywhere else they are inch signs.
_TOKEN = re.compile(r'(?P<name>[a-z_]+)="(?P<quoted>[^"]*)"(?!\S)|"(?P<whole>[^"]*)"(?!\S)|\S+')
_OPTION = re.compile(r"(?P<name>[a-z_]+)=(?P<value>.*)", re.DOTALL)
_NUMBERS_ONLY = re.compile(r"[\s\d.,;/|\-–]+((mm|[µμu]m|in|inch|thou)(?![a-z])[\s\d.,;/|\-–]*)*", re.IGNORECASE)


def read_line(
    line: str,
    at: datetime,
    reference: str,
    asker: Asker = YOU,
    buttons: Mapping[str, str] = MappingProxyType({}),
) -> Inquiry | None:
    """Return what a line asks, or ``None`` for an empty line or a ``#`` comment.

    ``/command free text name=value "name=value with spaces"``; a bare number after a command about a case is that of
    the case. A line without a slash that holds only numbers is a set of readings; the bare name of a command is that
    command; any other is a sentence about symptoms, or the answer to what was asked last.

    Args:
        line: As typed.
        at: When.
        reference: Short id of the inquiry.
        asker: Who speaks.
        buttons: What a button says, folded, to the line it stands for.

    Raises:
        UnusableInput: The command does not exist, an option is given twice, or a command that takes no free text is
            given something that is none of its options.
    """
    line = line.strip().removeprefix("\ufeff")
    if not line or line.startswith("#"):
        return None
    line = _pressed(line, buttons) or (f"/{line.casefold()}" if line.casefold() in _NAMES else line)
    if not line.startswith("/"):
        numbers = any(sign.isdigit() for sign in line) and _NUMBERS_ONLY.fullmatch(line)
        name = "readings" if numbers else "symptoms"
        return Inquiry(command=name, text=line, asker=asker, at=at, reference=reference)
    command, rest = _command(line[1:])
    options, text = _options(command, rest)
    author = options.pop(AUTHOR, asker.person).lstrip("@") if command.menu else ""
    return Inquiry(
        command=command.name,
        options=options,
        text=text,
        author=author,
        asker=asker,
        at=at,
        reference=reference,
    )


def _pressed(line: str, buttons: Mapping[str, str]) -> str | None:
    """Return what the button stands for whose words were typed, or enough of them to be no other's."""
    typed = fold(line)
    meant = {asked for label, asked in buttons.items() if label == typed}
    if not meant and len(typed) >= _ENOUGH_OF_A_LABEL:
        meant = {asked for label, asked in buttons.items() if label.startswith(typed)}
    return meant.pop() if len(meant) == 1 else None


_ENOUGH_OF_A_LABEL = 5


def _command(line: str) -> tuple[Command, str]:
    words = line.split(maxsplit=1)
    for command in sorted(COMMANDS, key=lambda command: -len(command.name)):
        spelled = r"\s+".join(re.escape(word) for word in command.name.split())
        found = re.match(rf"{spelled}(?!\S)", line, re.IGNORECASE)
        if found:
            return command, line[found.end() :].strip()
    given = words[0] if words else ""
    names = [command.name for command in COMMANDS]
    of_group = [name for name in names if name.startswith(f"{given} ")] if given else []
    first_words = dict.fromkeys(f"/{name.split()[0]}" for name in names)
    if of_group:
        accepted = ", ".join(f"/{name}" for name in of_group)
        raise UnusableInput((Fault("command", f"/{line}".rstrip(), "unknown_command", {"accepted": accepted}),))
    fault = closest(given, names, "command", "unknown_command", first_words)
    raise UnusableInput((replace(fault, given=f"/{given}"),))


def _options(command: Command, rest: str) -> tuple[dict[str, str], str]:
    """Split off ``name=value`` for the command's own options; everything else stays free text, untouched."""
    kinds = {option.name: option.kind for option in command.options}
    names = {*kinds, AUTHOR} if command.menu else set(kinds)
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
            faults.append(_not_taken(command, name, value))
        elif name in options:
            faults.append(Fault(name, value, "option_twice"))
        else:
            options[name] = value.removeprefix(MARKS.get(kinds.get(name, ""), ""))
    if "case" in kinds and "case" not in options and _is_number(command, text):
        options["case"] = text.pop(0)
        rest = " ".join(text)
    lead = LEADS.get(command.name, "")
    if text and lead and lead not in options:
        options[lead], text = " ".join(text), []
        rest = ""
    if text and (lead or command.name not in TEXT_TOO):
        faults.append(_not_taken(command, "text", " ".join(text)))
    if faults:
        raise UnusableInput(tuple(faults))
    return options, " ".join(text) if options else rest


def _is_number(command: Command, text: list[str]) -> bool:
    """Say whether free text begins with the number of a case: with ``#`` in a note, bare where nothing else can be."""
    first = text[0] if text else ""
    if command.name == "case note":
        return bool(re.fullmatch(r"#\d+", first))
    return bool(re.fullmatch(r"#?\d+", first)) and takes_bare_number(command.name)


def _not_taken(command: Command, name: str, value: str) -> Fault:
    accepted = ", ".join(option.name for option in command.options)
    values = {"command": command.name, "accepted": accepted}
    return Fault(name, value, "option_not_taken" if accepted else "takes_nothing", values)
