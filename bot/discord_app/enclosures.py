"""Pictures and files of a card in, those that fit one message out, under names the platform takes and keeps.

What a picture shows can be said in words and what a file holds cannot, so files have the room first. This file must
never know the library's objects or what is in a file.

Limits: 10 files to one message, 10 pictures in one gallery, 1,024 characters of alt text; a reference to a file
takes ASCII letters, digits, ``-``, ``_`` and ``.`` only (the platform's developer documentation, "Message resource",
"Component reference" and "Reference: uploading files", API v10).
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count

from bot.discord_app.writing import NOT_SHOWN, clip
from core.card import Attachment, Picture

MOST_ENCLOSED = 10
MOST_FILES = 4
LONGEST_ALT = 1024
LONGEST_NAME = 60
LONGEST_ENDING = 10

_ROOM_FOR_NUMBER = 4
_FOLDERS = re.compile(r"[/\\]")
_UNSAFE = re.compile(r"[^\w.-]", re.ASCII)
_HIDES = "SPOILER_"
"""The platform hides what a file of such a name shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Enclosures:
    """What goes with a message, and what had to be left out, all names made safe and different from each other."""

    pictures: tuple[Picture, ...]
    files: tuple[Attachment, ...]
    pictures_left_out: tuple[Picture, ...]
    files_left_out: tuple[Attachment, ...]


def enclose(pictures: Iterable[Picture], files: Iterable[Attachment], most_bytes: int) -> Enclosures:
    """Keep files and pictures in order while they fit together.

    Args:
        pictures: To be shown.
        files: To be kept by whoever gets them.
        most_bytes: How large all may be together.
    """
    kept_files: list[Attachment] = []
    other_files: list[Attachment] = []
    room = most_bytes
    for file in files:
        fits = len(kept_files) < MOST_FILES and len(file.content) <= room
        (kept_files if fits else other_files).append(file)
        room -= len(file.content) if fits else 0
    kept_pictures: list[Picture] = []
    other_pictures: list[Picture] = []
    for picture in pictures:
        fits = len(kept_pictures) + len(kept_files) < MOST_ENCLOSED and len(picture.png) <= room
        (kept_pictures if fits else other_pictures).append(picture)
        room -= len(picture.png) if fits else 0
    taken: set[str] = set()
    return Enclosures(
        pictures=tuple(_name_picture(picture, taken) for picture in kept_pictures),
        files=tuple(_name_file(file, taken) for file in kept_files),
        pictures_left_out=tuple(other_pictures),
        files_left_out=tuple(_name_file(file, taken) for file in other_files),
    )


def _name_picture(picture: Picture, taken: set[str]) -> Picture:
    stem, ending = _parts(picture.name)
    if ending.lower() != ".png":
        # Without its ending the platform may not take it for a picture.
        stem, ending = f"{stem}{ending}", ".png"
    name = _unlike(taken, stem or "picture", ending)
    alt = NOT_SHOWN.sub("", picture.alt).strip() or name
    return Picture(name, picture.png, clip(alt, LONGEST_ALT))


def _name_file(file: Attachment, taken: set[str]) -> Attachment:
    stem, ending = _parts(file.name)
    return Attachment(_unlike(taken, stem or "file", ending), file.content)


def _parts(given: str) -> tuple[str, str]:
    """Return a bare, safe name as what is before its ending, possibly nothing, and the ending with its dot."""
    safe = _UNSAFE.sub("-", _FOLDERS.split(given)[-1]).strip(".-")
    while safe.startswith(_HIDES):
        safe = safe.removeprefix(_HIDES).lstrip(".-")
    stem, dot, ending = safe.rpartition(".")
    if not dot or len(ending) >= LONGEST_ENDING:
        return safe, ""
    return stem.rstrip(".-"), f".{ending}"


def _unlike(taken: set[str], stem: str, ending: str) -> str:
    """Return a name that none taken is like, in any case of letters, and take it."""
    stem = stem[: LONGEST_NAME - len(ending) - _ROOM_FOR_NUMBER]
    numbered = (f"{stem}-{number}{ending}" for number in count(2))
    name = f"{stem}{ending}"
    while name.casefold() in taken:
        name = next(numbered)
    taken.add(name.casefold())
    return name
