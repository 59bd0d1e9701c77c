"""What confirmed cases taught is used once it has earned it, where it is wanted, and every verdict says so."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from card_reading import words_of
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_club import FIRST, KNOWLEDGE, verdict_of

from core.cases.bulk import WholeCase
from core.cases.lessons import judged_before_fix, read_lessons
from core.cases.rows import CaseKey, Judgement, Opinion
from core.diagnosis.explain import LEAST_TOLD
from core.diagnosis.priors import add_up, shift_priors
from core.engine import triage
from core.geometry import Geometry, measure
from core.knowledge import load_knowledge
from core.learning import Lesson, learn
from core.report import POSITIONS, Readings, Report, Seen, Settings
from core.service.teaching import teach_all
from core.words import load_words

CLUB = "club-7"
ENOUGH = round(KNOWLEDGE.norm("learning_cases_least"))


def confirmed(count, *, cause, seen, community=CLUB):
    """Return cases in which helpers confirmed one cause for one finding, one an hour."""
    report = Report(findings=(Seen(id=seen),))
    cases = []
    for number in range(count):
        at = FIRST + timedelta(hours=number)
        opinion = Opinion(helper="invented-helper", cause=cause, at=at, blind=True)
        cases.append(
            WholeCase(
                key=CaseKey(community, "invented", f"invented-{number}"),
                opened_at=at,
                judgements=(Judgement(attempt=1, at=at, report=report, verdict=verdict_of([("tilt", 0.5)])),),
                confirmations=(opinion,),
                cause=cause,
                outcome="not_fixed",
                ended_at=at,
            )
        )
    return cases


async def used(club, person="rowan"):
    """Ask something, and return the version of the knowledge that the stored verdict names."""
    await club.say(person, "readings", "1.30 1.30 1.00 1.00 1.15")
    (row,) = club.look("SELECT knowledge FROM judgements ORDER BY at DESC LIMIT 1")
    return row[0]


@pytest.fixture
async def taught(club):
    """The club with twice as many confirmed cases as a trial wants, all of one rare cause."""
    await club.store.add_whole(confirmed(2 * ENOUGH, cause="resin_low", seen="common_stop"))
    await club.service.learn()
    club.at = datetime(2026, 3, 14, 9, 0, tzinfo=UTC)
    return club


async def test_what_was_learned_is_used_and_every_stored_verdict_names_it(taught):
    assert (await used(taught)).startswith(f"{KNOWLEDGE.version}+learned-{2 * ENOUGH}-")


async def test_it_is_not_used_before_the_trial_has_enough_cases(club):
    await club.store.add_whole(confirmed(ENOUGH - 1, cause="resin_low", seen="common_stop"))
    await club.service.learn()
    assert await used(club) == KNOWLEDGE.version


async def test_it_is_not_used_where_a_club_switched_it_off(taught):
    await taught.say("yew", "setup", learning="no")
    assert await used(taught) == KNOWLEDGE.version
    await taught.say("yew", "setup", learning="yes")
    assert await used(taught, "fern") != KNOWLEDGE.version


async def test_moderators_are_told_that_it_is_used(taught):
    await taught.store.add_whole(confirmed(ENOUGH, cause="resin_low", seen="common_stop"))
    text = words_of(await taught.say("juniper", "stats quality"))
    assert f"learned from {2 * ENOUGH} confirmed cases" in text


async def test_learning_twice_gives_the_same_digits(taught):
    first = await used(taught)
    await taught.service.learn()
    assert await used(taught, "fern") == first


async def test_two_who_disagree_teach_nothing(club):
    (case,) = confirmed(1, cause="tilt", seen="thin_raft")
    await club.store.add_whole([replace(case, cause="")])
    assert await club.store.lessons() == ()


# ---- what a lesson holds ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "report",
    [
        Report(
            readings=Readings(
                front_left=(1.3,), front_right=(1.3,), back_left=(0.9,), back_right=(0.95,), centre=(1.1,)
            ),
            findings=(Seen(id="glossy_raft", where="back"),),
            settings=Settings(
                burn_in_layers=10, burn_in_s=50, exposure_s=2.5, transition_layers=0, raised_exposure=True
            ),
        ),
        Report(findings=(Seen(id="torn_supports"),), settings=Settings(lift_mm_per_min=200, rest_s=0)),
    ],
)
async def test_a_lesson_holds_what_readings_and_settings_said_of_each_cause(club, report):
    """What the diagnosis added to the prior odds, but for what is too little to be listed, and for rounding."""
    verdict = triage(report, KNOWLEDGE, load_words("en")).verdict
    (case,) = confirmed(1, cause="tilt", seen="glossy_raft")
    judged = Judgement(attempt=1, at=FIRST, report=report, verdict=verdict)
    await club.store.add_whole([replace(case, judgements=(judged,))])
    (lesson,) = await club.store.lessons()
    known = None if report.readings is None else measure(report.readings, KNOWLEDGE)
    shifts = shift_priors(report, known if isinstance(known, Geometry) else None, KNOWLEDGE)
    wanted = add_up(shifts)
    assert any(abs(value) > 0.3 for value in wanted.values())
    for cause in KNOWLEDGE.causes:
        pieces = sum(shift.cause == cause for shift in shifts)
        assert lesson.ratios.get(cause, 0.0) == pytest.approx(wanted.get(cause, 0.0), abs=pieces * LEAST_TOLD + 1e-3)


def test_what_is_judged_is_the_plate_before_anybody_worked_on_it():
    def told(corner, status):
        readings = Readings(
            front_left=(corner,), front_right=(corner,), back_left=(corner,), back_right=(corner,), centre=(1.0,)
        )
        return Report(readings=readings).model_dump(mode="json"), {"status": status, "n": corner}

    attempts = [told(1.3, "diagnosed"), told(1.3, "undecided"), told(1.0, "diagnosed")]
    assert judged_before_fix(attempts)[1]["n"] == 1.3
    assert judged_before_fix(attempts[:1])[1]["n"] == 1.3


def test_each_community_is_taught_apart():
    told = [
        Lesson(at=FIRST, community=club, causes=frozenset((cause,)), seen=frozenset((seen,)))
        for club, cause, seen in (("a", "resin_low", "common_stop"), ("b", "suction", "burst_hollow"))
        for _ in range(2 * ENOUGH)
    ]
    taught = teach_all(told, load_knowledge()).taught
    assert set(taught) == {"a", "b"}
    versions = {one.knowledge.version for one in taught.values()}
    assert len(versions) == 2
    priors = {club: one.knowledge.causes["resin_low"].prior for club, one in taught.items()}
    assert priors["a"] > priors["b"]


# ---- the law of the plan, with whatever anybody confirmed -------------------------------------------

LIES = tuple(
    Lesson(
        at=FIRST + timedelta(minutes=number),
        community=CLUB,
        causes=frozenset((cause,)),
        seen=frozenset(KNOWLEDGE.findings),
    )
    for number, cause in enumerate(("burn_in_short", "exposure_short") * 250)
)
thickness = st.floats(0.5, 1.6).map(lambda value: (round(value, 2),))


@pytest.fixture(scope="module")
def lied_to():
    """The knowledge after five hundred confirmations that everything is exposed too short, used as if it had passed."""
    return learn(LIES, KNOWLEDGE, CLUB)


@settings(max_examples=60, deadline=None)
@given(
    given_readings=st.one_of(st.none(), st.builds(Readings, **{place.value: thickness for place in POSITIONS})),
    seen=st.lists(st.sampled_from(list(KNOWLEDGE.findings)), max_size=4, unique=True),
)
def test_five_hundred_lies_raise_no_exposure_on_a_bad_plate_and_silence_no_cause(lied_to, given_readings, seen):
    report = Report(readings=given_readings, findings=tuple(Seen(id=name) for name in seen))
    verdict = triage(report, lied_to, load_words("en")).verdict
    corners = (
        [] if given_readings is None else [given_readings.at(place)[0] for place in POSITIONS if place != "centre"]
    )
    plainly_bad = not corners or max(corners) - min(corners) > 0.20
    if plainly_bad:
        assert not [step.id for step in verdict.steps if KNOWLEDGE.remedies[step.id].raises_exposure]
    assert min(cause.probability for cause in verdict.causes) > 0


async def test_a_store_tells_what_its_cases_teach_in_one_order(club):
    await club.store.add_whole(confirmed(3, cause="resin_low", seen="common_stop"))
    told = await club.store.lessons()
    assert told == tuple(sorted(told, key=lambda one: one.at))
    assert await club.store._run(read_lessons) == told
