"""How a community wants things: shown, and changed by who administers it.

In: a Request. Out: a Card. This file must never know a platform's roles and channels beyond their identifiers.
"""

from collections.abc import Awaitable, Callable, Iterator, Mapping

from core.card import Card, Section, channel, role
from core.cases.rows import Community
from core.errors import Fault, UnusableInput
from core.intake.choices import read_choice, read_yes_no
from core.service.request import Request

MOST_CHANNELS = 25
LEAST_DAYS, MOST_DAYS = 1, 3650


async def setup(request: Request) -> Card:
    """Change what is given, then show everything."""
    changed = _changes(request)
    rules = request.rules.model_copy(update=changed)
    if changed:
        await request.store.keep_community(request.key.community, rules)
    words = request.words
    lines = tuple(_lines(rules, request))
    return Card(
        title=words.say("card.titles.setup"),
        conclusion=words.say("setup.changed" if changed else "setup.shown"),
        sections=(
            Section("list", "", lines),
            Section("notes", "", (words.say("setup.checked"),)),
        ),
        private=True,
    )


HANDLERS: Mapping[str, Callable[[Request], Awaitable[Card]]] = {"setup": setup}


def _changes(request: Request) -> dict[str, object]:
    """Read every option that is given.

    Raises:
        UnusableInput: One line for each that cannot be used; nothing was changed.
    """
    if request.inquiry.text.strip():
        raise UnusableInput((Fault("setup", request.inquiry.text, "name_wanted"),))
    changed: dict[str, object] = {}
    faults: list[Fault] = []
    for name, given in request.inquiry.options.items():
        read = _READERS.get(name)
        if read is None or not given.strip():
            continue
        try:
            changed |= read(given.strip(), request)
        except UnusableInput as error:
            faults.extend(error.faults)
    if faults:
        raise UnusableInput(tuple(faults))
    return changed


def _role(name: str) -> Callable[[str, Request], dict[str, object]]:
    return lambda given, _request: {name: given}


def _channels(given: str, request: Request) -> dict[str, object]:
    """Read what is to become of the channel that stands in ``channel``, or of all."""
    rule = _choice("channel_rules", given, "channels", request)
    if rule == "everywhere":
        return {"channels": ()}
    named = request.option("channel")
    if not named:
        raise UnusableInput((Fault("channel", "", "no_channel"),))
    return {"channels": _with(named, request) if rule == "add" else _without(named, request)}


def _channel(given: str, request: Request) -> dict[str, object]:
    return {} if request.option("channels") else {"channels": _with(given, request)}


def _with(named: str, request: Request) -> tuple[str, ...]:
    channels = (*(one for one in request.rules.channels if one != named), named)
    if len(channels) > MOST_CHANNELS:
        raise UnusableInput((Fault("channel", named, "too_many_channels", {"most": MOST_CHANNELS}),))
    return channels


def _without(named: str, request: Request) -> tuple[str, ...]:
    return tuple(one for one in request.rules.channels if one != named)


def _retention(given: str, _request: Request) -> dict[str, object]:
    number = given.split(maxsplit=1)[0]
    days = int(number) if number.isascii() and number.isdigit() and len(number) <= len(str(MOST_DAYS)) else 0
    if not LEAST_DAYS <= days <= MOST_DAYS:
        raise UnusableInput((Fault("retention", given, "not_days", {"least": LEAST_DAYS, "most": MOST_DAYS}),))
    return {"retention_days": days}


def _replies(given: str, request: Request) -> dict[str, object]:
    return {"replies": _choice("replies", given, "replies", request)}


def _reminders(given: str, request: Request) -> dict[str, object]:
    return {"reminders": read_yes_no(given, "reminders", lexicon=request.tools.lexicon)}


def _language(given: str, request: Request) -> dict[str, object]:
    chosen = _choice("languages", given, "language", request)
    return {"language": "" if chosen == _EACH else chosen}


def _learning(given: str, request: Request) -> dict[str, object]:
    return {"learning": read_yes_no(given, "learning", lexicon=request.tools.lexicon)}


_EACH = "each"
"""Everybody is answered in the language of their own client."""

_READERS: Mapping[str, Callable[[str, Request], dict[str, object]]] = {
    "helpers": _role("helpers"),
    "moderators": _role("moderators"),
    "channel": _channel,
    "channels": _channels,
    "retention": _retention,
    "replies": _replies,
    "reminders": _reminders,
    "language": _language,
    "learning": _learning,
}


def _choice(key: str, given: str, field: str, request: Request) -> str:
    return read_choice(given, {name: (label,) for name, label in request.words.under(f"choices.{key}")}, field)


def _lines(rules: Community, request: Request) -> Iterator[str]:
    words = request.words
    for name, held in (("helpers", rules.helpers), ("moderators", rules.moderators)):
        yield words.say(f"setup.{name}", role=role(held)) if held else words.say(f"setup.no_{name}")
    if rules.channels:
        yield words.say("setup.channels", channels=words.listed([channel(one) for one in rules.channels]))
    else:
        yield words.say("setup.everywhere")
    yield words.say("setup.retention", days=rules.retention_days)
    yield words.say(f"setup.replies_{rules.replies}")
    yield words.say(f"setup.reminders_{'on' if rules.reminders else 'off'}")
    yield words.say("setup.language", language=words.say(f"choices.languages.{rules.language or _EACH}"))
    yield words.say(f"setup.learning_{'on' if rules.learning else 'off'}")
