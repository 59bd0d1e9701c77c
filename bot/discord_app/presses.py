"""An Action in, the identifier of its button out, and back: all a press needs is in the button itself.

Nothing about a button is remembered here, so that it works for as long as its message is there, over any restart.
An identifier is not proof of anything: it comes back from outside, is read against the table of commands, and asks
no more than the person who pressed could have typed. What is about a case by its number may be pressed by anybody,
since the service knows whose it is; all else is for the person who asked. This file must never know the library's
objects.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import parse_qsl, quote, unquote, urlencode

from core.card import Action
from core.commands import Command

LONGEST_ID = 100
"""The platform's limit for the identifier of a component."""

_VERSION = "pw2"
"""Changes when identifiers of old messages can no longer be read as they were meant."""

_ONCE = "!"
"""After the version: the press answers a question, which is then answered."""

_MARK = ":"
_MOST_OPTIONS = 25


@dataclass(frozen=True, slots=True)
class Press:
    """What a button asks, and the only person it asks it for; ``None`` where the case it names says whom."""

    person: int | None
    command: Command
    options: Mapping[str, str] = field(default_factory=dict)
    once: bool = False


def identify(action: Action, person: int, table: tuple[Command, ...]) -> str | None:
    """Return the identifier of an action's button.

    Args:
        action: What a press asks.
        person: The platform's number of who may press; it stands beside the answer on the platform anyway.
        table: The commands there are.

    Returns:
        At most 100 characters, or ``None`` where the action cannot be said in so many or would not be understood.
    """
    command = next((one for one in table if one.name == action.command), None)
    if command is None:
        return None
    bound = None if _names_case(command, action.options) else person
    try:
        custom_id = _write(action.command, action.options, bound, once=action.once)
    except UnicodeEncodeError:
        return None
    press = read_press(custom_id, table)
    # Blank options, say, get lost on the way: better no button than one that asks something else.
    return custom_id if press is not None and press.options == action.options else None


def read_press(custom_id: str, table: tuple[Command, ...]) -> Press | None:
    """Return what the button of this identifier asks, or ``None`` unless ``identify`` could have written it."""
    version, *parts = custom_id.split(_MARK)
    if (
        len(custom_id) > LONGEST_ID
        or version.removesuffix(_ONCE) != _VERSION
        or len(parts) != len(("person", "command", "options"))
    ):
        return None
    number, name, given = parts
    command = next((one for one in table if one.name == unquote(name) and not one.menu), None)
    if command is None:
        return None
    try:
        person = int(number, 16) if number else None
        options = dict(parse_qsl(given, max_num_fields=_MOST_OPTIONS))
        once = version.endswith(_ONCE)
        exact = _write(command.name, options, person, once=once) == custom_id
    except ValueError:
        return None
    known = options.keys() <= {option.name for option in command.options}
    if not exact or not known or _names_case(command, options) != (person is None):
        return None
    return Press(person, command, options, once)


def _names_case(command: Command, options: Mapping[str, str]) -> bool:
    return any(option.kind == "case" and options.get(option.name) for option in command.options)


def _write(command: str, options: Mapping[str, str], person: int | None, *, once: bool) -> str:
    version = f"{_VERSION}{_ONCE}" if once else _VERSION
    # Hexadecimal saves a fifth of the digits.
    whose = "" if person is None else f"{person:x}"
    return _MARK.join((version, whose, quote(command, safe=""), urlencode(options)))
