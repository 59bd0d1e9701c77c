"""Who speaks at this terminal: one person by default, a whole invented club with ``/as``.

In: a line such as ``/as moss helpers in workshop``. Out: the Asker of the lines that follow. This file must never
know what anybody may do.
"""

import re
from dataclasses import dataclass, field, replace

from core.cases.privacy import DIRECT
from core.commands import Asker
from core.errors import Fault, UnusableInput
from core.words import Words

COMMAND = "/as"
IN, PRIVATE = "in", "private"
ADMINISTRATOR = "administrator"
"""The role that is the platform's to give: whoever has it may use ``/setup``."""

_COMMUNITY = "terminal"
YOU = Asker(community=_COMMUNITY, channel="terminal", person="you", administrator=True)

# What a shell shows and a person can type again: no spaces, no signs that options are made of.
_NAME = re.compile(r"\w[\w.-]{0,31}")


@dataclass(slots=True)
class People:
    """Everybody who spoke here, and who speaks now. Each keeps their roles and channel until they are named anew."""

    speaker: Asker = YOU
    _known: dict[str, Asker] = field(default_factory=lambda: {YOU.person: YOU})

    def turn_to(self, line: str) -> None:
        """Let somebody else speak: ``/as NAME [ROLE ...] [in CHANNEL]``; ``/as`` alone changes nothing.

        Raises:
            UnusableInput: A name cannot be used, or one is missing.
        """
        names = [name.lstrip("@#") for name in line.removeprefix(COMMAND).split()]
        wrong = next((name for name in names if not _NAME.fullmatch(name)), None)
        if wrong is not None or names[:1] == [IN] or names[-1:] == [IN] or IN in names[:-2]:
            raise UnusableInput((Fault(COMMAND, wrong or " ".join(names), "not_as"),))
        if not names:
            return
        name, *roles = names
        channel = roles.pop() if roles[-2:-1] == [IN] else ""
        roles = roles[:-1] if channel else roles
        before = self._known.get(name) or replace(YOU, person=name, administrator=False)
        now = _placed(before, channel) if channel else before
        if roles:
            now = replace(now, roles=frozenset(roles) - {ADMINISTRATOR}, administrator=ADMINISTRATOR in roles)
        self.speaker = self._known[name] = now

    @property
    def prompt(self) -> str:
        """What stands before a line of the one who speaks."""
        return "platewright> " if self.speaker.person == YOU.person else f"{self.speaker.person}> "

    def describe(self, words: Words) -> str:
        """Say who speaks now, where and in which roles."""
        one = self.speaker
        if one.community == DIRECT:
            return words.say("terminal.speaks_privately", name=one.person)
        roles = words.listed(sorted({*one.roles, *({ADMINISTRATOR} if one.administrator else ())}))
        told = words.say("terminal.with_roles", roles=roles) if roles else words.say("terminal.without_roles")
        return words.say("terminal.speaks", name=one.person, channel=one.channel, roles=told)


def _placed(asker: Asker, channel: str) -> Asker:
    """Put somebody into a channel, or into a private conversation, which its own channel is."""
    if channel == PRIVATE:
        return replace(asker, community=DIRECT, channel=asker.person)
    return replace(asker, community=_COMMUNITY, channel=channel)
