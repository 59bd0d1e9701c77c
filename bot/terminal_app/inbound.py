"""One typed line in, one Inquiry out. Knows how a terminal writes options; must never know what they mean."""

import re
import shlex
from collections.abc import Mapping
from datetime import datetime

from core.commands import COMMANDS, Asker, Command, Inquiry
from core.errors import Fault, UnusableInput

HERE = Asker(community="terminal", channel="terminal", person="you")

ANSWERS = {"yes", "y", "no", "n"}
"""Lines that answer what was asked last."""

_OPTION = re.compile(r"^(?P<name>[a-z_]+)=(?P<value>.*)$", re.DOTALL)
_NUMBERS_ONLY = re.compile(r"^[\s\d.,;/|\-–]*\d[\s\d.,;/|\-–]*(mm|µm|um|in|inch|thou)?\s*$", re.IGNORECASE)


def read_line(line: str, at: datetime, reference: str, asker: Asker = HERE) -> Inquiry | None:
    """Return what a line asks, or ``None`` for an empty line or a ``#`` comment.

    ``/command free text name=value "name=value with spaces"``. A line without a slash that holds only numbers is a
    set of readings; any other is a sentence about symptoms.

    Raises:
        UnusableInput: The command does not exist.
    """
    line = line.strip()
    if not line or line.startswith("#"):
        return None
    if line.casefold().rstrip(".! ") in ANSWERS:
        confirm = {"confirm": line.rstrip(".! ")}
        return Inquiry(command="symptoms", options=confirm, asker=asker, at=at, reference=reference)
    if not line.startswith("/"):
        name = "readings" if _NUMBERS_ONLY.match(line) else "symptoms"
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
    try:
        # No escapes and no comments: a person's apostrophe or backslash is a letter, only double quotes group.
        lexer = shlex.shlex(rest, posix=True, punctuation_chars=False)
        lexer.whitespace_split, lexer.commenters, lexer.escape, lexer.quotes = True, "", "", '"'
        tokens = list(lexer)
    except ValueError:  # an unclosed quote, an inch sign for example
        tokens = rest.split()
    options: dict[str, str] = {}
    text: list[str] = []
    for token in tokens:
        match = _OPTION.match(token)
        if match and match["name"] in names and match["name"] not in options:
            options[match["name"]] = match["value"]
        else:
            text.append(token)
    return options, " ".join(text) if options else rest
