"""An invented club on a real database: people in roles who ask, on a clock that goes on."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest
from invented_case import TILTED, look

from bot import compose as compose_module
from bot.compose import compose
from bot.settings import Settings
from core.commands import Asker, Inquiry

CLUB = "club-7"
ROLES = {"moss": {"r-help"}, "ash": {"r-help", "r-other"}, "juniper": {"r-mod"}, "rowan": set(), "fern": set()}
"""Invented people and their roles: two helpers, a moderator, two askers. The administrator is ``yew``."""


class Club:
    """Whoever asks, the service answers; ``at`` is when."""

    def __init__(self, house, path):
        self.house, self.service, self.store = house, house.service, house.store
        self.path = path
        self.at = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)

    def inquiry(
        self,
        person,
        command,
        text="",
        *,
        community=CLUB,
        here="c-help",
        parent="",
        speaks="en",
        author="",
        **options,
    ):
        at_home = community == CLUB
        asker = Asker(
            community=community,
            channel=here,
            person=f"person-{person}",
            language=speaks,
            roles=frozenset(ROLES.get(person, ())) if at_home else frozenset(),
            administrator=person == "yew",
            parent=parent,
        )
        return Inquiry(
            command=command,
            options=options,
            text=text,
            author=author and f"person-{author}",
            asker=asker,
            at=self.at,
            reference="r-1",
        )

    async def say(self, person, command, text="", **more):
        """Ask; ten seconds later the next may."""
        self.at += timedelta(seconds=10)
        return await self.service.handle(self.inquiry(person, command, text, **more))

    def stored(self):
        """Return every row of every table, read with nothing of ours in between."""
        with closing(sqlite3.connect(self.path)) as connection:
            tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
            return {name: connection.execute(f"SELECT * FROM {name}").fetchall() for (name,) in tables}  # noqa: S608 - read from the file

    def look(self, query):
        """Read the file with nothing of ours in between."""
        return look(self.path, query)


@pytest.fixture(autouse=True, scope="session")
def loaded_once():
    """Data files are frozen values once read: no test needs them read again."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("load_knowledge", "load_lexicon", "load_sentence_lexicons", "load_words", "load_called"):
            patch.setattr(compose_module, name, cache(getattr(compose_module, name)))
        yield


@pytest.fixture
async def club(tmp_path):
    """The club, its roles set up."""
    path = tmp_path / "cases.db"
    async with compose(Settings(database=path, secret_file=tmp_path / "secret.key")) as house:
        club = Club(house, path)
        await club.say("yew", "setup", helpers="r-help", moderators="r-mod")
        yield club


@pytest.fixture
async def case(club):
    """An open case of rowan's, number 1."""
    return await club.say("rowan", "readings", TILTED)
