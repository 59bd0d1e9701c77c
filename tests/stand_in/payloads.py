"""What the platform sends when a person does something, as the gateway carries it. All people are invented."""

from collections.abc import Mapping
from typing import Any

from stand_in.messages import FILES_AT, numbered

APPLICATION = "700000000000000001"
BOT_USER = {"id": APPLICATION, "username": "platewright", "discriminator": "0000", "avatar": None, "bot": True}
CLUB = "800000000000000001"
CHANNEL = "810000000000000001"
PRETENDED = "820000000000000001"
"""A message that is told of without having been sent."""
WREN = {"id": "900000000000000001", "username": "wren_of_the_tool_library", "discriminator": "0", "avatar": None}
OWNER = {"id": "900000000000000009", "username": "keeper_of_the_tools", "discriminator": "0", "avatar": None}

JAY = {"id": "900000000000000002", "username": "jay_of_the_other_bench", "discriminator": "0", "avatar": None}

COMMAND, PRESS, AUTOCOMPLETE, MODAL_SUBMIT = 2, 3, 4, 5
TEXT_OPTION, BUTTON = 3, 2


def interaction(
    kind: int,
    data: Mapping[str, Any],
    *,
    direct: bool = False,
    locale: str = "en-GB",
    person: Mapping[str, Any] = WREN,
) -> dict[str, Any]:
    """Return a person's interaction, without id and token, which the stand-in gives."""
    channel = {"id": CHANNEL, "type": 1 if direct else 0}
    where: dict[str, Any] = {"channel_id": CHANNEL, "channel": channel, "context": 1 if direct else 0}
    if direct:
        where["user"] = person
    else:
        member = {"user": person, "roles": [], "joined_at": "2026-01-05T10:00:00+00:00", "deaf": False, "mute": False}
        where |= {
            "guild_id": CLUB,
            "guild": {"id": CLUB, "locale": "en-GB", "features": []},
            "guild_locale": "en-GB",
            "member": {**member, "permissions": "0", "flags": 0},
        }
        where["channel"] |= {
            "name": "failed-prints",
            "permissions": "0",
            "position": 0,
            "guild_id": CLUB,
            "parent_id": None,
        }
    return {**envelope(kind, data, locale=locale), **where}


def envelope(kind: int, data: Mapping[str, Any], *, locale: str, app_permissions: int = 0) -> dict[str, Any]:
    """Return what every interaction says, whoever asks and wherever."""
    return {
        "type": kind,
        "application_id": APPLICATION,
        "version": 1,
        "locale": locale,
        "app_permissions": str(app_permissions),
        "attachment_size_limit": 10 * 1024 * 1024,
        "authorizing_integration_owners": {},
        "entitlements": [],
        "data": dict(data),
    }


def slash(name: str, options: Mapping[str, str] | None = None, **how: Any) -> dict[str, Any]:
    """Return a slash command with text options."""
    given = [{"name": key, "type": TEXT_OPTION, "value": value} for key, value in (options or {}).items()]
    return interaction(COMMAND, {"id": "710000000000000001", "name": name, "type": 1, "options": given}, **how)


def typing(name: str, option: str, typed: str, **how: Any) -> dict[str, Any]:
    """Return a request for suggestions."""
    given = [{"name": option, "type": TEXT_OPTION, "value": typed, "focused": True}]
    return interaction(AUTOCOMPLETE, {"id": "710000000000000001", "name": name, "type": 1, "options": given}, **how)


def submit(form: Mapping[str, Any], values: Mapping[str, str], **how: Any) -> dict[str, Any]:
    """Return the submission of a form that was shown, with ``values`` by field, all others blank."""
    labels = [
        {
            "type": 18,
            "id": place,
            "component": {
                "type": 4,
                "id": place + 100,
                "custom_id": label["component"]["custom_id"],
                "value": values.get(label["component"]["custom_id"], ""),
            },
        }
        for place, label in enumerate(form["components"], start=1)
    ]
    return interaction(MODAL_SUBMIT, {"custom_id": form["custom_id"], "components": labels}, **how)


def press(message: Mapping[str, Any], custom_id: str, **how: Any) -> dict[str, Any]:
    """Return the press of a button of a message that was sent, or of one that pretends to be on it."""
    data = {"custom_id": custom_id, "component_type": BUTTON, "id": 1}
    return {**interaction(PRESS, data, **how), "message": shown(message)}


def shown(message: Mapping[str, Any]) -> dict[str, Any]:
    """Return a message of the bot as the platform tells of it, components and attachments numbered."""
    return {
        "id": PRETENDED,
        "type": 20,
        "channel_id": CHANNEL,
        "author": BOT_USER,
        "content": message.get("content") or "",
        "timestamp": "2026-11-25T10:00:00+00:00",
        "edited_timestamp": None,
        "tts": False,
        "mention_everyone": False,
        "mentions": [],
        "mention_roles": [],
        "attachments": [_attachment(one) for one in message.get("attachments") or []],
        "embeds": [],
        "pinned": False,
        "flags": message.get("flags") or 0,
        "components": numbered(message.get("components") or []),
    }


def _attachment(sent: Mapping[str, Any]) -> dict[str, Any]:
    url = f"{FILES_AT}{sent['filename']}"
    return {**sent, "id": f"83000000000000000{sent['id']}", "size": 100, "url": url, "proxy_url": url}
