"""What a client makes of typed commands, chosen values and filled forms, by what was registered and shown."""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from stand_in.measures import (
    CHECKBOX,
    CHECKBOXES,
    LABEL,
    RADIOS,
    SELECT,
    TEXT_INPUT,
    UPLOAD,
    length,
)
from stand_in.registration import COMMAND_OPTION, GROUP_OPTION, TYPED, kind_of
from stand_in.world import Channel, Role

if TYPE_CHECKING:
    from stand_in.chat_platform import Platform

STRING, INTEGER, BOOLEAN, CHANNEL, ROLE, NUMBER = 3, 4, 5, 7, 8, 10
_READ = {INTEGER: int, NUMBER: float, BOOLEAN: lambda text: text == "True"}


class NotOffered(AssertionError):
    """A client would not have let somebody do this."""


def find(commands: Iterable[Mapping[str, Any]], name: str, kind: int = TYPED) -> dict[str, Any]:
    """Return the registered command that is typed as ``/case show``, or chosen by its name."""
    first = name.removeprefix("/").partition(" ")[0] if kind == TYPED else name
    for command in commands:
        if command["name"] == first and kind_of(command) == kind:
            return dict(command)
    raise NotOffered(f"{name} is not registered")


def command_data(
    command: Mapping[str, Any],
    typed: str,
    options: Mapping[str, "str | Role | Channel"],
    platform: "Platform",
    focused: str = "",
) -> dict[str, Any]:
    """Return what the platform tells of a typed command."""
    _, *below = typed.removeprefix("/").split()
    resolved: dict[str, dict[str, Any]] = {}
    path, known = [], command.get("options") or []
    for name in below:
        step = next((one for one in known if one["name"] == name), None)
        if step is None or step["type"] not in {COMMAND_OPTION, GROUP_OPTION}:
            raise NotOffered(f"{typed} is not registered")
        path.append(step)
        known = step.get("options") or []
    if any(one["type"] in {COMMAND_OPTION, GROUP_OPTION} for one in known):
        raise NotOffered(f"{typed} needs one more word")
    given = _options({one["name"]: one for one in known}, options, resolved, platform, focused)
    for step in reversed(path):
        given = [{"name": step["name"], "type": step["type"], "options": given}]
    data = {"id": command["id"], "name": command["name"], "type": TYPED, "options": given}
    return {**data, "resolved": resolved} if resolved else data


def _options(
    known: Mapping[str, Mapping[str, Any]],
    options: Mapping[str, "str | Role | Channel"],
    resolved: dict[str, dict[str, Any]],
    platform: "Platform",
    focused: str,
) -> list[dict[str, Any]]:
    if missing := [name for name, one in known.items() if one.get("required") and name not in options]:
        raise NotOffered(f"{missing} must be given")
    given = []
    for name, value in options.items():
        if name not in known:
            raise NotOffered(f"no option {name}; there are {list(known)}")
        if name == focused and not known[name].get("autocomplete"):
            raise NotOffered(f"nothing is suggested for {name}")
        told = {"name": name, "type": known[name]["type"], "value": _value(known[name], value, resolved)}
        given.append({**told, "focused": True} if name == focused else told)
    return given


def _value(option: Mapping[str, Any], value: "str | Role | Channel", resolved: dict[str, dict[str, Any]]) -> Any:
    kind = option["type"]
    wanted = {ROLE: Role, CHANNEL: Channel}.get(kind, str)
    if not isinstance(value, wanted):
        raise NotOffered(f"{option['name']} takes a {wanted.__name__}")
    if isinstance(value, Role):
        resolved.setdefault("roles", {})[value.id] = value.payload()
        return value.id
    if isinstance(value, Channel):
        if option.get("channel_types") and value.kind not in option["channel_types"]:
            raise NotOffered(f"{option['name']} takes no such channel")
        resolved.setdefault("channels", {})[value.id] = value.payload() | {"permissions": str(value.permissions)}
        return value.id
    choices = option.get("choices") or []
    if choices:
        by_name = {choice["name"]: choice["value"] for choice in choices}
        if value not in by_name and value not in by_name.values():
            raise NotOffered(f"{option['name']} is one of {list(by_name)}")
        return by_name.get(value, value)
    if not option.get("min_length", 0) <= length(value) <= option.get("max_length", 6000):
        raise NotOffered(f"{option['name']} is too short or too long")
    return _READ[kind](value) if kind in _READ else value


def values_of(menu: Mapping[str, Any], values: Sequence[str]) -> list[str]:
    """Return the values chosen from a menu, given by value or label."""
    if menu.get("disabled"):
        raise NotOffered("the menu rests")
    least = menu.get("min_values", 1) if menu.get("required", True) else 0
    if not least <= len(values) <= menu.get("max_values", 1):
        raise NotOffered(f"the menu takes {least} to {menu.get('max_values', 1)} values")
    if "options" not in menu:
        return list(values)
    by_label = {option["label"]: option["value"] for option in menu["options"]}
    chosen = [by_label.get(value, value) for value in values]
    if not set(chosen) <= set(by_label.values()):
        raise NotOffered(f"{values} is not among {list(by_label)}")
    return chosen


def submission(form: Mapping[str, Any], fields: Mapping[str, str | Sequence[str]]) -> dict[str, Any]:
    """Return what the platform tells of a form that was filled in; a field that is not named stays as it was shown."""
    left = dict(fields)
    parts = []
    for number, part in enumerate(form["components"], start=1):
        if part["type"] != LABEL:
            parts.append({"type": part["type"], "id": number})
            continue
        field = part["component"]
        key = field["custom_id"] if field["custom_id"] in left else part["label"]
        filled = _filled(field, left.pop(key, None))
        told = {"type": field["type"], "id": number + 100, "custom_id": field["custom_id"], **filled}
        parts.append({"type": LABEL, "id": number, "component": told})
    if left:
        labels = [part["label"] for part in form["components"] if part["type"] == LABEL]
        raise NotOffered(f"no field {sorted(left)}; there are {labels}")
    return {"custom_id": form["custom_id"], "components": parts}


def _filled(field: Mapping[str, Any], given: str | Sequence[str] | None) -> dict[str, Any]:
    kind, required = field["type"], field.get("required", True)
    if kind == TEXT_INPUT:
        text = field.get("value") or "" if given is None else str(given)
        if required and not text:
            raise NotOffered(f"{field['custom_id']} must be filled in")
        if text and not (field.get("min_length") or 0) <= length(text) <= (field.get("max_length") or 4000):
            raise NotOffered(f"{field['custom_id']} is too short or too long")
        return {"value": text}
    if kind == CHECKBOX:
        return {"value": bool(field.get("default")) if given is None else bool(given)}
    if given is None:
        options = field.get("options") or []
        given = [one["value"] for one in options if one.get("default")]
    chosen = [given] if isinstance(given, str) else list(given)
    if kind == UPLOAD:
        return {"values": chosen}
    several = field if kind in {SELECT, CHECKBOXES} else {**field, "max_values": 1}
    values = values_of({"max_values": len(field.get("options") or []) or 1, **several}, chosen)
    return {"value": values[0] if values else None} if kind == RADIOS else {"values": values}


def forged_submission(custom_id: str, fields: Mapping[str, str]) -> dict[str, Any]:
    """Return a submission of a form that was never shown."""
    parts = [
        {"type": LABEL, "id": n, "component": {"type": TEXT_INPUT, "id": n + 100, "custom_id": name, "value": text}}
        for n, (name, text) in enumerate(fields.items(), start=1)
    ]
    return {"custom_id": custom_id, "components": parts}
