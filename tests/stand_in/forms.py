"""The rules for forms: a form in, sentences about what it breaks out.

Source: the platform's developer documentation, API v10, "Receiving and responding to interactions" and "Component
reference", read in November 2026.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from stand_in.components import faults_of_options, faults_of_select, unknown_keys
from stand_in.measures import CHECKBOX, CHECKBOXES, LABEL, RADIOS, SELECT, SELECTS, TEXT, TEXT_INPUT, UPLOAD, length

_CHOICE = {"custom_id", "placeholder", "min_values", "max_values", "required", "disabled"}
KEYS = {
    TEXT: {"content"},
    LABEL: {"label", "description", "component"},
    TEXT_INPUT: {"custom_id", "style", "min_length", "max_length", "required", "value", "placeholder", "label"},
    SELECT: {*_CHOICE, "options"},
    **{key: {*_CHOICE, "default_values", "channel_types"} for key in SELECTS - {SELECT}},
    UPLOAD: {"custom_id", "min_values", "max_values", "required"},
    RADIOS: {"custom_id", "options", "required"},
    CHECKBOXES: {"custom_id", "options", "min_values", "max_values", "required"},
    CHECKBOX: {"custom_id", "default"},
}
FIELDS = frozenset(KEYS) - {TEXT, LABEL}


def faults_of_modal(data: Mapping[str, Any]) -> list[str]:
    """Check a form."""
    found = [f"form: unknown key {key}" for key in data if key not in {"title", "custom_id", "components"}]
    if not 1 <= length(data.get("title", "").strip()) <= 45:
        found.append("title takes 1 to 45")
    if not 1 <= length(data.get("custom_id", "")) <= 100:
        found.append("custom_id takes 1 to 100")
    parts = data.get("components", [])
    if not 1 <= len(parts) <= 5:
        found.append("a form takes 1 to 5 parts")
    ids = [part["component"]["custom_id"] for part in parts if part["type"] == LABEL]
    if len(set(ids)) != len(ids):
        found.append("two fields of one custom_id")
    return [*found, *(fault for part in parts for fault in _faults_of_part(part))]


def _faults_of_part(part: Mapping[str, Any]) -> Iterator[str]:
    yield from unknown_keys(part, KEYS.get(part["type"], set()))
    if part["type"] == TEXT:
        if not 1 <= length(part["content"].strip()) <= 4000:
            yield "a text takes 1 to 4000"
        return
    if part["type"] != LABEL:
        yield f"a component of type {part['type']} at the top of a form"
        return
    if not 1 <= length(part["label"].strip()) <= 45:
        yield f"label takes 1 to 45: {part['label']}"
    if length(part.get("description") or "") > 100:
        yield f"description takes 100: {part['description']}"
    yield from _faults_of_field(part["component"])


def _faults_of_field(field: Mapping[str, Any]) -> Iterator[str]:
    kind = field["type"]
    if kind not in FIELDS:
        yield f"a component of type {kind} under a label"
        return
    yield from unknown_keys(field, KEYS[kind])
    if not 1 <= length(field.get("custom_id", "")) <= 100:
        yield "custom_id of a field takes 1 to 100"
    if kind == TEXT_INPUT:
        yield from _faults_of_text_input(field)
    elif kind in SELECTS:
        yield from faults_of_select(field)
        if field.get("required", True) and field.get("min_values", 1) == 0:
            yield "a menu that must be filled cannot take 0 values"
    elif kind == RADIOS:
        yield from faults_of_options(field.get("options") or [], least=2, most=10)
    elif kind == CHECKBOXES:
        yield from faults_of_options(field.get("options") or [], least=1, most=10)


def _faults_of_text_input(field: Mapping[str, Any]) -> Iterator[str]:
    if field.get("style") not in {1, 2}:
        yield "a text field has one line or several"
    if length(field.get("placeholder") or "") > 100:
        yield "placeholder takes 100"
    least, most = field.get("min_length") or 0, field.get("max_length") or 4000
    if not (0 <= least <= 4000 and 1 <= most <= 4000 and least <= most):
        yield "a text field takes up to 4000"
    if length(field.get("value") or "") > most:
        yield f"what a text field begins with takes {most}"
    if field.get("label"):
        yield "a text field under a label has no label of its own"
