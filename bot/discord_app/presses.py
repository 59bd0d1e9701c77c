"""An Action in, the identifier of its button out, and back: all a press needs is in the button itself.

Nothing about a button is remembered here, so that it works for as long as its message is there, over any restart.
An identifier is not proof of anything: it comes back from outside, is read against the table of commands, and asks
no more than the person who pressed could have typed. This file must never know the library's objects.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from urllib.parse import parse_qsl, quote, unquote, urlencode

from core.card import Action
from core.commands import Command

LONGEST_ID = 100
"""The platform's limit for the identifier of a component."""

_VERSION = "pw1"
"""Changes when identifiers of old messages can no longer be read as they were meant."""

_ONCE = "!"
"""After the version: the press answers a question, which is then answered."""

_MARK = ":"
_MOST_OPTIONS = 25


@dataclass(frozen=True, slots=True)
class Press:
    """What a button asks, and the only person it asks it for."""

    person: int
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
    try:
        custom_id = _write(action.command, action.options, person, once=action.once)
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
    command = next((one for one in table if one.name == unquote(name)), None)
    if command is None:
        return None
    try:
        person = int(number, 16)
        options = dict(parse_qsl(given, max_num_fields=_MOST_OPTIONS))
        once = version.endswith(_ONCE)
        exact = _write(command.name, options, person, once=once) == custom_id
    except ValueError:
        return None
    if not exact or not options.keys() <= {option.name for option in command.options}:
        return None
    return Press(person, command, options, once)


def _write(command: str, options: Mapping[str, str], person: int, *, once: bool) -> str:
    version = f"{_VERSION}{_ONCE}" if once else _VERSION
    # Hexadecimal saves a fifth of the digits.
    return _MARK.join((version, f"{person:x}", quote(command, safe=""), urlencode(options)))
