"""Nobody can keep the others waiting: how much may be asked, that it ends, and that it comes back."""

from datetime import UTC, datetime, timedelta

import pytest

from core.errors import Refused
from core.service.pace import MOST_KEPT, Allowance, Pace, Paces

AT = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)


def after(seconds):
    return AT + timedelta(seconds=seconds)


def test_a_burst_is_served_and_then_one_after_every_interval():
    pace = Pace(Allowance(burst=3, every_s=4.0))
    assert [pace.take("fern", AT) for _ in range(5)] == [0, 0, 0, 4, 4]
    assert pace.take("fern", after(3)) == pytest.approx(1)
    assert pace.take("fern", after(4)) == 0
    assert pace.take("fern", after(4)) == pytest.approx(4)


def test_waiting_longer_saves_up_no_more_than_the_burst():
    pace = Pace(Allowance(burst=3, every_s=4.0))
    pace.take("fern", AT)
    assert [pace.take("fern", after(10_000)) for _ in range(4)] == [0, 0, 0, 4]


def test_each_has_an_allowance_of_their_own():
    pace = Pace(Allowance(burst=1, every_s=4.0))
    assert (pace.take("fern", AT), pace.take("moss", AT), pace.take("fern", AT)) == (0, 0, 4)


def test_a_clock_set_back_gives_nothing_away():
    pace = Pace(Allowance(burst=1, every_s=4.0))
    pace.take("fern", after(100))
    assert pace.take("fern", AT) == 4
    assert pace.take("fern", after(102)) == pytest.approx(2)


def test_who_asked_longest_ago_is_forgotten_first():
    pace = Pace(Allowance(burst=1, every_s=1e9))
    for n in range(MOST_KEPT):
        pace.take(str(n), AT)
    pace.take("0", AT)
    pace.take("one more", AT)
    assert pace.take("0", AT) > 0
    assert pace.take("1", AT) == 0


def test_a_busy_community_is_told_so_and_another_is_served():
    paces = Paces(person=Pace(Allowance(burst=1, every_s=4.0)), community=Pace(Allowance(burst=2, every_s=0.5)))
    for person in ("fern", "moss"):
        paces.check("club", person, AT)
    with pytest.raises(Refused) as refusal:
        paces.check("club", "ash", AT)
    assert (refusal.value.code, refusal.value.values) == ("too_busy", {"seconds": 1})
    paces.check("other-club", "rowan", AT)
    with pytest.raises(Refused) as refusal:
        paces.check("other-club", "rowan", AT)
    assert (refusal.value.code, refusal.value.values) == ("too_fast", {"seconds": 4})


async def test_somebody_who_asks_without_end_is_told_when_to_come_back_and_the_others_are_served(club):
    """A good reader types one command in a few seconds; fifteen at once are nobody's."""
    before = club.stored()

    async def at_once(person, command):
        return await club.service.handle(club.inquiry(person, command))

    titles = [(await at_once("fern", "why")).conclusion for _ in range(30)]
    assert sum("no open case" in text for text in titles) == 15
    assert all("try again in" in text for text in titles[15:])
    assert "no open case" in (await at_once("rowan", "why")).conclusion
    assert "try again in" in (await at_once("fern", "my-data show")).conclusion
    assert "Erase it all?" in (await at_once("fern", "my-data erase")).conclusion, "that need not wait"
    assert club.stored() == before
    club.at += timedelta(minutes=2)
    assert "no open case" in (await at_once("fern", "why")).conclusion
