"""How a line is spelled: which commands read free text, and a button of a card as the shortest line that asks the same.

In: an Action. Out: what to type; ``inbound`` reads it back. This file must never know what an option means.
"""

from collections.abc import Mapping

from core.card import Action

LEADS: Mapping[str, str] = {
    "help": "topic",
    "my-data erase": "confirm",
    "case outcome": "result",
    "case confirm": "cause",
    "stats causes": "by",
    "stats remedies": "step",
}
"""Commands whose free text is one of their options."""
FREE_TEXT = ("readings", "symptoms", "read symptoms")
"""Commands whose own grammar reads ``name=value`` in free text."""
TEXT_TOO = (*FREE_TEXT, "settings", "coupons", "screws", "curve", "case note", "setup", *LEADS)
"""Commands that read free text, or say better than a front end why they do not."""


def write_line(action: Action, meant: int | None) -> str:
    """Return what to type.

    Args:
        action: The button.
        meant: Number of the case that a line without one is about; such a number is left out.
    """
    options = dict(action.options)
    if options.get("case") == str(meant):
        del options["case"]
    if action.command == "symptoms" and options.keys() == {"confirm"}:
        # A bare yes or no answers what was asked.
        return options["confirm"]
    words = [f"/{action.command}"]
    bare = options.keys() == {"case"} and takes_bare_number(action.command)
    lead = "case" if bare else LEADS.get(action.command)
    if lead in options:
        words.append(options.pop(lead))
    return " ".join((*words, *(f"{name}={_quoted(value)}" for name, value in options.items())))


def takes_bare_number(command: str) -> bool:
    """Say whether a number right after a command is that of a case."""
    return command in LEADS or command not in TEXT_TOO


def _quoted(value: str) -> str:
    return f'"{value}"' if " " in value else value
