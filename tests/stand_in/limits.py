"""The platform's documented limits as checks: a body in, sentences about what it breaks out.

Source: the platform's developer documentation, API v10 ("Message resource", "Component reference", "Application
commands", "Receiving and responding to interactions", "Reference: uploading files"), read in November 2026.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from stand_in.components import V2_ONLY, faults_of_components
from stand_in.forms import faults_of_modal
from stand_in.measures import (
    COMPONENTS_V2,
    EPHEMERAL,
    FILE,
    FILE_KEY,
    LOADING,
    ROW,
    TEXT,
    length,
    references,
    walk,
    written,
)
from stand_in.registration import faults_of_commands

__all__ = [
    "COMPONENTS_V2",
    "EPHEMERAL",
    "FILE",
    "FILE_KEY",
    "LOADING",
    "MENTIONS",
    "faults_of_commands",
    "faults_of_keys",
    "faults_of_mentions",
    "faults_of_message",
    "faults_of_modal",
    "faults_of_suggestions",
    "faults_of_thread",
    "length",
    "references",
    "walk",
    "written",
]

FILE_NAME = re.compile(r"^[-_.A-Za-z0-9]+$")
FILE_BYTES = 10 * 1024 * 1024
SENDABLE_FLAGS = COMPONENTS_V2 | EPHEMERAL | 1 << 2 | 1 << 12
"""Also: no link previews, no sound."""
MESSAGE_KEYS = frozenset(
    [
        "tts",
        "content",
        "embeds",
        "allowed_mentions",
        "flags",
        "components",
        "attachments",
        "poll",
        "nonce",
        "enforce_nonce",
        "message_reference",
        "sticker_ids",
        "username",
        "avatar_url",
        "thread_name",
        "applied_tags",
    ]
)
ATTACHMENT_KEYS = frozenset(
    [
        "id",
        "filename",
        "title",
        "description",
        "content_type",
        "size",
        "url",
        "proxy_url",
        "height",
        "width",
        "ephemeral",
        "duration_secs",
        "waveform",
        "flags",
        "placeholder",
        "placeholder_version",
        "spoiler",
    ]
)
MENTIONS = re.compile(r"<@[!&]?\d+>|@everyone|@here")


def faults_of_message(data: Mapping[str, Any], files: Mapping[str, bytes]) -> list[str]:
    """Check a message, together with the files that came with it."""
    found = faults_of_keys(data)
    top = data.get("components") or []
    everything = list(walk(top))
    flags = data.get("flags") or 0
    if flags & ~(SENDABLE_FLAGS | LOADING):
        found.append(f"flags {flags}")
    if flags & COMPONENTS_V2:
        found += _faults_of_components_v2(data, everything)
    else:
        found += _faults_of_classic_message(data, everything)
    return [*found, *faults_of_components(top, everything), *_faults_of_attachments(data, everything, files)]


def faults_of_keys(data: Mapping[str, Any]) -> list[str]:
    """Say which keys a message may not have."""
    return [f"message: unknown key {key}" for key in data if key not in MESSAGE_KEYS]


def faults_of_mentions(data: Mapping[str, Any]) -> list[str]:
    """Check that a message can ping nobody, whatever it says; the library's default would let it."""
    allowed = data.get("allowed_mentions")
    if allowed is None:
        return ["allowed_mentions is missing: everybody mentioned would be pinged"]
    pings = {key: value for key, value in allowed.items() if value}
    return [f"allowed_mentions lets {pings} be pinged"] if pings or "parse" not in allowed else []


def faults_of_suggestions(data: Mapping[str, Any]) -> list[str]:
    """Check an answer to autocompletion."""
    choices = data.get("choices", [])
    wrong = [c for c in choices if not 1 <= length(c["name"]) <= 100 or not 1 <= length(str(c["value"])) <= 100]
    return (["at most 25 suggestions"] if len(choices) > 25 else []) + [f"suggestion {c}" for c in wrong]


def faults_of_thread(body: Mapping[str, Any], *, at_message: bool) -> list[str]:
    """Check the wish for a thread, at a message or beside all messages."""
    known = {"name", "auto_archive_duration", "rate_limit_per_user"} | (set() if at_message else {"type", "invitable"})
    found = [f"thread: unknown key {key}" for key in body if key not in known]
    if not 1 <= length(body.get("name", "").strip()) <= 100:
        found.append("name of a thread takes 1 to 100")
    if body.get("auto_archive_duration", 1440) not in {None, 60, 1440, 4320, 10080}:
        found.append("a thread rests after 60, 1440, 4320 or 10080 minutes")
    if not 0 <= (body.get("rate_limit_per_user") or 0) <= 21600:
        found.append("slow mode takes 0 to 21600 seconds")
    if body.get("type", 11) not in {10, 11, 12}:
        found.append(f"a thread of type {body['type']}")
    return found


def _faults_of_components_v2(data: Mapping[str, Any], everything: list[Mapping[str, Any]]) -> list[str]:
    found: list[str] = []
    if data.get("content") or data.get("embeds") or data.get("sticker_ids") or data.get("poll"):
        found.append("components v2 exclude content and embeds")
    if not everything:
        found.append("an empty message")
    if len(everything) > 40:
        found.append(f"{len(everything)} components, at most 40")
    text = sum(length(one["content"]) for one in everything if one["type"] == TEXT)
    if text > 4000:
        found.append(f"{text} characters of text, at most 4000")
    return found


def _faults_of_classic_message(data: Mapping[str, Any], everything: list[Mapping[str, Any]]) -> list[str]:
    found: list[str] = []
    if length(data.get("content") or "") > 2000:
        found.append("content over 2000")
    if any(one["type"] in V2_ONLY for one in everything):
        found.append("a component of v2 without its flag")
    if sum(one["type"] == ROW for one in everything) > 5:
        found.append("at most 5 rows")
    if not (data.get("content") or data.get("embeds") or data.get("attachments") or everything):
        found.append("an empty message")
    return [*found, *_faults_of_embeds(data.get("embeds") or [])]


def _faults_of_embeds(embeds: list[Mapping[str, Any]]) -> list[str]:
    found = ["at most 10 embeds"] if len(embeds) > 10 else []
    total = 0
    for embed in embeds:
        fields = embed.get("fields") or []
        footer, author = embed.get("footer") or {}, embed.get("author") or {}
        parts = [
            ("title", embed.get("title") or "", 256),
            ("description", embed.get("description") or "", 4096),
            ("footer", footer.get("text") or "", 2048),
            ("author", author.get("name") or "", 256),
            *(("name of a field", field["name"], 256) for field in fields),
            *(("value of a field", field["value"], 1024) for field in fields),
        ]
        found += [f"{name} of an embed takes {most}" for name, text, most in parts if length(text) > most]
        if len(fields) > 25:
            found.append("at most 25 fields")
        total += sum(length(text) for _, text, _ in parts)
    return [*found, *([f"{total} characters in embeds, at most 6000"] if total > 6000 else [])]


def _faults_of_attachments(
    data: Mapping[str, Any], everything: Iterable[Mapping[str, Any]], files: Mapping[str, bytes]
) -> list[str]:
    found: list[str] = []
    attached = {one.get("filename"): one for one in data.get("attachments") or []}
    if len(attached) != len(data.get("attachments") or []):
        found.append("two attachments of one name")
    if len(attached) > 10:
        found.append(f"{len(attached)} attachments, at most 10")
    for name, one in attached.items():
        if length(one.get("description") or "") > 1024:
            found.append(f"alt text of {length(one['description'])}")
        found += [f"attachment: unknown key {key}" for key in one if key not in ATTACHMENT_KEYS]
        if name not in files:
            found.append(f"{name}: no such file came along")
        if not FILE_NAME.match(name):
            found.append(f"{name}: not a name that can be referred to")
    found += [f"{name}: over 10 MiB" for name, content in files.items() if len(content) > FILE_BYTES]
    shown = list(references(everything))
    names = [url.removeprefix("attachment://") for url in shown if url.startswith("attachment://")]
    found += [f"attachment://{name} is not attached" for name in names if name not in attached]
    if (data.get("flags") or 0) & COMPONENTS_V2:
        # A message of components shows no attachment by itself.
        found += [f"{name}: attached and nowhere shown" for name in attached if name not in names]
    return found
