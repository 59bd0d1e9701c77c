"""Actions in, rows of buttons out: what adds to a case first, then what shows it, then how it went.

This file must never know the library's objects or a single command.

Limits: 5 rows of 5 buttons, 80 characters on a button (the platform's developer documentation, "Component reference",
API v10).
"""

from collections.abc import Iterable
from dataclasses import dataclass

from bot.discord_app.presses import identify
from bot.discord_app.writing import clip, one_line
from core.card import Action
from core.commands import Command

MOST_ROWS = 5
BUTTONS_IN_A_ROW = 5
LONGEST_LABEL = 80
MOST_ROW_ROOM = 14
"""So many components are kept free of words: three rows, and the buttons in them."""


@dataclass(frozen=True, slots=True)
class Button:
    """What stands on a button, and the identifier that comes back when it is pressed."""

    label: str
    custom_id: str


Row = tuple[Button, ...]


def group(actions: Iterable[Action], person: int, table: tuple[Command, ...]) -> tuple[Row, ...]:
    """Return rows of buttons, each kind beginning one; what has no label or identifier has no button."""
    kinds: tuple[dict[str, Button], ...] = ({}, {}, {})
    taken: set[str] = set()
    for action in actions:
        label = clip(one_line(action.label), LONGEST_LABEL)
        custom_id = identify(action, person, table)
        # The platform refuses a message in which two components have one identifier.
        if label and custom_id is not None and custom_id not in taken:
            taken.add(custom_id)
            kinds[_kind(action, table)][custom_id] = Button(label, custom_id)
    rows = [row for kind in kinds for row in _in_rows(tuple(kind.values()))]
    if len(rows) > MOST_ROWS:
        rows = _in_rows(tuple(button for row in rows for button in row))
    return tuple(rows[:MOST_ROWS])


def fit(rows: tuple[Row, ...], room: int) -> tuple[Row, ...]:
    """Return as many buttons as ``room`` components take: the rows as they are, else filled up, else the first."""
    if cost(rows) <= room:
        return rows
    full, rest = divmod(room, BUTTONS_IN_A_ROW + 1)
    most = full * BUTTONS_IN_A_ROW + max(rest - 1, 0)
    return tuple(_in_rows(tuple(button for row in rows for button in row)[:most]))


def cost(rows: Iterable[Row]) -> int:
    """Return how many components rows of buttons are."""
    return sum(1 + len(row) for row in rows)


def _in_rows(buttons: Row) -> list[Row]:
    return [buttons[place : place + BUTTONS_IN_A_ROW] for place in range(0, len(buttons), BUTTONS_IN_A_ROW)]


def _kind(action: Action, table: tuple[Command, ...]) -> int:
    """Return 0 for what adds, which has a form, 2 for what settles, which is a choice, and 1 for all that shows."""
    command = next(one for one in table if one.name == action.command)
    if any(option.form for option in command.options):
        return 0
    chosen = {option.name for option in command.options if option.choices is not None}
    return 2 if chosen & action.options.keys() else 1
