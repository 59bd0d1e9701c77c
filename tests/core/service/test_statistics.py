"""What moderators are told of many cases: from how many, in kind words, never another club's, and nothing of a few."""

import csv
import io
import json
import re
from datetime import UTC, datetime

import pytest
from card_reading import words_of
from invented_club import CAUSES, invent

from core.cases.belongings import forget_community
from core.cases.rows import Opinion
from core.commands import COMMANDS

CLUB, OTHER_CLUB, INVENTED = "club-7", "club-8", "invented-club"
VIEWS = tuple(one.name for one in COMMANDS if one.name.startswith("stats "))
PER_YEAR = datetime(2026, 2, 1, tzinfo=UTC)


async def ask(club, view, *, at=PER_YEAR, community=CLUB, speaks="en", **options):
    """Ask as an administrator, who may see what moderators may."""
    club.at = at
    return await club.service.handle(club.inquiry("yew", view, community=community, speaks=speaks, **options))


@pytest.fixture
async def busy(club):
    """The club with 1,800 invented cases of a year."""
    await club.store.add_whole(invent(1800, 1, community=CLUB))
    return club


@pytest.mark.parametrize("view", VIEWS)
async def test_every_card_says_from_how_many_cases(busy, view):
    text = words_of(await ask(busy, view))
    assert re.search(r"From \d{4} cases that ended 2025-01 to 2025-\d\d\. \d+ ended since", text)
    assert "fewer than 10 cases" in text


@pytest.mark.parametrize("view", VIEWS)
async def test_a_small_club_gets_a_kind_not_yet_with_numbers(club, view):
    await club.store.add_whole(invent(20, 1, community=CLUB))
    card = await ask(club, view)
    assert card.conclusion.startswith("Not yet: 20 cases")
    assert "30 in 3 months" in card.conclusion
    assert (card.sections, card.pictures, card.files) == ((), (), ())


async def test_a_club_without_any_case_gets_the_same_answer(club):
    assert (await ask(club, "stats causes")).conclusion.startswith("Not yet: 0 cases")


@pytest.mark.parametrize("view", VIEWS)
async def test_one_club_never_sees_anothers(busy, view):
    """What the other club does changes nothing here, and there nothing of this one is shown."""
    before = words_of(await ask(busy, view))
    await busy.store.add_whole(invent(900, 2, community=OTHER_CLUB))
    assert words_of(await ask(busy, view)) == before
    assert (await ask(busy, view, community="club-9")).conclusion.startswith("Not yet: 0 cases")


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("language", ["en", "de"])
async def test_invented_data_is_called_so_in_every_card_and_picture(club, view, language):
    await club.store.add_whole(invent(700, 3, community=INVENTED))
    card = await ask(club, view, community=INVENTED, speaks=language)
    assert card.conclusion.startswith({"en": "INVENTED DATA", "de": "ERFUNDENE DATEN"}[language])


@pytest.mark.parametrize("view", VIEWS)
async def test_a_chart_is_drawn_once_for_each_language_and_no_other_club_gets_it(busy, view):
    """What is published does not change until another period is over."""
    await busy.store.add_whole(invent(900, 2, community=OTHER_CLUB))
    first, again = await ask(busy, view), await ask(busy, view)
    assert [one is other for one, other in zip(first.pictures, again.pictures, strict=True)] == [True] * len(
        first.pictures
    )
    for other in (await ask(busy, view, speaks="de"), await ask(busy, view, community=OTHER_CLUB)):
        assert not {id(one) for one in first.pictures} & {id(one) for one in other.pictures}


async def test_pictures_have_words_that_say_what_they_show(busy):
    for view in VIEWS:
        for picture in (await ask(busy, view)).pictures:
            assert re.search(r"\d", picture.alt), view


async def test_who_had_raised_exposure_is_told_plainly_with_what_was_really_wrong(busy):
    text = (await ask(busy, "stats causes", by="raised")).conclusion
    assert re.match(r"\d+ of \d+ who told had raised exposure before: \d+ % \(\d+ % to \d+ %\)\.", text)
    assert re.search(r"It was mechanical in at least \d+ % of their \d+ confirmed cases", text)


async def test_two_steps_are_compared_with_the_interval_of_their_difference(busy):
    text = words_of(
        await ask(busy, "stats remedies", step="level the plate to the screen", other="shorten the burn-in")
    )
    assert re.search(r"difference is (between )?-?\d+ (to|and) -?\d+ points|cannot be compared", text)


async def test_how_much_a_fix_improved_is_told_once_enough_measured_again(busy):
    assert "Measured again" not in words_of(await ask(busy, "stats readings"))


async def test_the_queue_is_counted_beyond_what_it_lists(club):
    """The list of open cases ends somewhere; how many there are does not."""
    open_ones = [
        one.__class__(**{f: getattr(one, f) for f in ("key", "opened_at", "judgements")})
        for one in invent(250, 5, community=CLUB)
    ]
    await club.store.add_whole([*invent(600, 1, community=CLUB), *open_ones])
    assert "Open now: 250 cases, 250 of them with nobody yet." in words_of(await ask(club, "stats trend"))


async def test_learning_says_not_yet_with_numbers_and_when_it_is_off(busy):
    text = words_of(await ask(busy, "stats quality"))
    assert re.search(r"Not yet: verdicts use the starting values\. .*200 cases are confirmed", text)
    await busy.say("yew", "setup", learning="no")
    assert "switched off" in words_of(await ask(busy, "stats quality"))


# ---- export, dates, and what cannot be found out ----------------------------------------------------


async def exported(club, at):
    card = await ask(club, "stats export", at=at)
    files = {one.name: one.content.decode() for one in card.files}
    rows = list(csv.DictReader(io.StringIO(files["figures.csv"])))
    assert [{name: str(value) for name, value in row.items()} for row in json.loads(files["figures.json"])] == rows
    return {(row["table"], row["group"], row["name"]): row for row in rows}


async def test_the_export_holds_every_table_with_its_numbers_of_cases(busy):
    rows = await exported(busy, PER_YEAR)
    assert {"confirmed", "suspected", "fixed_by_first_step", "confirmed_by_raised", "spread_mm"} <= {
        t for t, *_ in rows
    }
    for (table, *_), row in rows.items():
        assert 0 <= int(row["at_least"]) <= int(row["at_most"]) <= int(row["of"]), (table, row)


@pytest.mark.parametrize("seed", [1, 2, 3])
async def test_two_dates_and_every_table_leave_a_small_count_open(club, seed):
    """One export less an earlier one gives a period; a cause with few cases in it may still have any of ten counts."""
    cases = invent(1500, seed, community=CLUB, months=16)
    await club.store.add_whole(cases)
    dates = [datetime(2025 + month // 12, month % 12 + 1, 1, tzinfo=UTC) for month in range(7, 16)]
    tables = [await exported(club, at) for at in dates]
    before = tables[0]
    after = next(one for one in tables if one["confirmed", "", "tilt"]["of"] != before["confirmed", "", "tilt"]["of"])
    published = sorted(cases, key=lambda one: one.ended_at.strftime("%Y-%m"))
    small = 0
    for cause in CAUSES:
        of = [
            sum(one.cause == cause for one in published[: int(held["confirmed", "", cause]["of"])])
            for held in (before, after)
        ]
        assert (
            int(before["confirmed", "", cause]["at_least"]) <= of[0] <= int(before["confirmed", "", cause]["at_most"])
        )
        assert int(after["confirmed", "", cause]["at_least"]) <= of[1] <= int(after["confirmed", "", cause]["at_most"])
        if of[1] - of[0] < 10:
            small += 1
            low = int(after["confirmed", "", cause]["at_least"]) - int(before["confirmed", "", cause]["at_most"])
            high = int(after["confirmed", "", cause]["at_most"]) - int(before["confirmed", "", cause]["at_least"])
            assert high - max(low, 0) >= 9, cause
    assert small


async def test_what_was_published_never_changes_whatever_happens_to_a_case_later(busy):
    """Or a change would tell of the case: erased, confirmed late, ended anew."""
    before = {view: (await ask(busy, view)).sections for view in VIEWS if view != "stats trend"}
    case = await busy.store.case(CLUB, 3)
    await busy.store.hold("confirmations", case, Opinion(helper="a" * 32, cause="resin_low", at=PER_YEAR, blind=False))
    await busy.store.settle(await busy.store.case(CLUB, 4), "fixed_otherwise", "", PER_YEAR)
    await busy.store.erase([(CLUB, case.key.author)])
    assert {view: (await ask(busy, view)).sections for view in before} == before


async def test_an_earlier_date_is_answered_with_what_was_known_then(busy):
    """A report of last spring, made again today, is the same page."""
    spring = datetime(2025, 7, 1, tzinfo=UTC)
    first = await exported(busy, spring)
    await exported(busy, PER_YEAR)
    assert await exported(busy, spring) == first


async def test_figures_are_made_of_what_was_published_and_of_no_count(busy):
    """Without a single kept count every figure is still the same: none is derived from one."""
    before = await exported(busy, PER_YEAR)
    await busy.store._run(lambda db: db.execute("DELETE FROM tallies"))
    assert await exported(busy, PER_YEAR) == before


async def test_a_club_that_leaves_takes_its_figures_with_it(busy):
    await exported(busy, PER_YEAR)
    await busy.store._run(lambda db: forget_community(db, CLUB))
    assert (await ask(busy, "stats causes")).conclusion.startswith("Not yet: 0 cases")
