"""The platform's published interface description, where it is at hand: a body in, what it breaks out.

The description lies beside the checkout and is not part of it; without it, nothing is checked here.
"""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, ValidationError

DESCRIPTION = Path(__file__).parents[3] / "shared" / "chat-platform-openapi.json"

MESSAGE_CALLBACK = "CreateMessageInteractionCallbackRequest"
BY_CALLBACK_TYPE = {
    4: MESSAGE_CALLBACK,
    5: MESSAGE_CALLBACK,
    6: "UpdateMessageInteractionCallbackRequest",
    7: "UpdateMessageInteractionCallbackRequest",
    8: "ApplicationCommandAutocompleteCallbackRequest",
    9: "ModalInteractionCallbackRequest",
}
COMMAND = "ApplicationCommandUpdateRequest"
EDIT = "IncomingWebhookUpdateRequestPartial"
FOLLOW_UP = "IncomingWebhookRequestPartial"
POST = "MessageCreateRequest"
CHANGE = "MessageEditRequestPartial"


@cache
def _description() -> dict[str, Any] | None:
    return json.loads(DESCRIPTION.read_text(encoding="utf-8")) if DESCRIPTION.is_file() else None


@cache
def _validator(name: str) -> Draft202012Validator:
    schemas = _description()["components"]["schemas"]
    return Draft202012Validator({"$ref": f"#/components/schemas/{name}", "components": {"schemas": schemas}})


def faults_by_description(name: str, body: Any) -> list[str]:
    """Say what in ``body`` breaks the schema called ``name``."""
    if _description() is None:
        return []
    return [
        f"{name}: {'/'.join(map(str, error.absolute_path))}: {error.message[:200]}"
        for top in _validator(name).iter_errors(_with_text_ids(body))
        for error in _of_the_meant_branch(top)
    ]


def _with_text_ids(body: Any) -> Any:
    """The library sends some ids as numbers, which the platform takes: of attachments, of a message replied to."""
    if isinstance(body, dict):
        return {key: _with_text_id(key, value) for key, value in body.items()}
    return [_with_text_ids(one) for one in body] if isinstance(body, list) else body


def _with_text_id(key: str, value: Any) -> Any:
    if key == "attachments" and isinstance(value, list):
        return [{**one, "id": str(one["id"])} if "id" in one else one for one in value]
    if key == "message_reference" and isinstance(value, dict):
        return {name: str(one) if name.endswith("_id") else one for name, one in value.items()}
    return _with_text_ids(value)


def _of_the_meant_branch(error: ValidationError) -> Iterator[ValidationError]:
    """Of alternatives, follow the one whose ``type`` the body has; the others' complaints mean nothing."""
    branches: dict[int, list[ValidationError]] = {}
    for inner in error.context or ():
        branches.setdefault(inner.relative_schema_path[0], []).append(inner)
    meant = [one for one in branches.values() if not any(list(e.path)[-1:] == ["type"] for e in one)]
    if len(meant) == 1:
        for inner in meant[0]:
            yield from _of_the_meant_branch(inner)
    else:
        yield error
