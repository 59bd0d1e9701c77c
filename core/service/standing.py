"""Who may do what, decided here and not by the platform alone.

In: who asks and how their community wants things. Out: a rank, or a refusal. This file must never know a person.
"""

from core.cases.privacy import DIRECT
from core.cases.rows import Community
from core.commands import Asker, Command, Who
from core.errors import Refused

_RANKS: tuple[Who, ...] = ("everyone", "helpers", "moderators", "administrators")


def rank_of(asker: Asker, rules: Community) -> Who:
    """Return the highest rank somebody has in the community they ask in; in private everyone is alike."""
    if asker.community == DIRECT:
        return "everyone"
    if asker.administrator:
        return "administrators"
    if rules.moderators and rules.moderators in asker.roles:
        return "moderators"
    return "helpers" if rules.helpers and rules.helpers in asker.roles else "everyone"


def reaches(rank: Who, least: Who) -> bool:
    """Say whether a rank is at least another."""
    return _RANKS.index(rank) >= _RANKS.index(least)


def admit(command: Command, asker: Asker, rank: Who, rules: Community) -> None:
    """Let somebody use a command here.

    Raises:
        Refused: It needs a community, another channel or a higher rank.
    """
    if asker.community == DIRECT and not command.direct:
        raise Refused("not_in_private", command=f"/{command.name}")
    if not reaches(rank, command.who):
        raise Refused(f"only_{command.who}", command=f"/{command.name}")
    anywhere = _ANYWHERE if rank == "everyone" else (*_ANYWHERE, "case")
    about_a_print = command.who == "everyone" and not command.name.startswith(anywhere)
    if about_a_print and rules.channels and not {asker.channel, asker.parent} & set(rules.channels):
        raise Refused("other_channel", channels=rules.channels)


_ANYWHERE = ("my-data", "help")
"""What a person may ask wherever they are; helpers may look at cases where they like."""
