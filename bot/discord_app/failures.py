"""An exception in; a card for the person and fields for the log out.

The person never sees more than words and a reference.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import discord
from discord import app_commands

from core.card import Card
from core.errors import Refused, ServiceFailure
from core.words import Words


@dataclass(frozen=True, slots=True)
class Handler:
    """What to say of one kind of exception.

    Attributes:
        kind: The type, subclasses included.
        say: Words and the exception to the text.
        ours: Whether it is worth an error in the log.
    """

    kind: type[BaseException]
    say: Callable[[Words, Any], str]
    ours: bool = True


def _service_failure(words: Words, error: ServiceFailure) -> str:
    key = f"failures.{error.code}"
    # Values are for whoever runs the service: paths and reasons that no one in a chat should read.
    return words.say(key) if words.has(key) and not error.values else words.say("discord.failures.unexpected")


def _text(key: str) -> Callable[[Words, BaseException], str]:
    return lambda words, _error: words.say(f"discord.failures.{key}")


HANDLERS: tuple[Handler, ...] = (
    Handler(Refused, lambda words, error: words.say(f"refusals.{error.code}", **error.values), ours=False),
    Handler(ServiceFailure, _service_failure),
    Handler(TimeoutError, _text("slow")),
    Handler(app_commands.CommandNotFound, _text("outdated"), ours=False),
    Handler(app_commands.CommandSignatureMismatch, _text("outdated"), ours=False),
    Handler(Exception, _text("unexpected")),
)
"""In order: the first whose kind fits is used."""


def handler_of(error: Exception) -> Handler:
    """Return the first handler that fits."""
    return next(handler for handler in HANDLERS if isinstance(error, handler.kind))


def unwrap(error: Exception) -> Exception:
    """Return what a command raised, out of the library's wrapping."""
    return error.original if isinstance(error, app_commands.CommandInvokeError) else error


def apology(error: Exception, reference: str, words: Words) -> Card:
    """Return what to tell the person."""
    return Card(
        title=words.say("discord.failures.title"),
        conclusion=handler_of(error).say(words, error),
        tone="plain",
        private=True,
        footer=words.say("discord.reference", reference=reference),
    )


def closed_for_now(words: Words) -> Card:
    """Return what to tell someone who asks while the service is shutting down."""
    return Card(
        title=words.say("discord.failures.restarting_title"),
        conclusion=words.say("discord.failures.restarting"),
        private=True,
    )


def refused(why: str, words: Words) -> Card:
    """Return what to tell someone whose press, form or choice asks nothing; ``why`` is such as ``presses.outdated``."""
    return Card(
        title=words.say(f"discord.{why}_title"),
        conclusion=words.say(f"discord.{why}"),
        private=True,
    )


def log_fields(error: BaseException) -> dict[str, object]:
    """Return what a log line may say of an exception beyond its type: codes, never texts."""
    if isinstance(error, discord.HTTPException):
        return {"status": error.status, "code": error.code}
    return {"code": error.code} if isinstance(error, (ServiceFailure, Refused)) else {}
