"""Counts kept beside the cases: whatever happens to cases, they are what a recount from the cases alone gives."""

from datetime import timedelta

import numpy as np
import pytest
from invented_club import FIRST, invent, readings_of, verdict_of

from core.cases import belongings, bulk, follow_up, record, tallies
from core.cases.database import open_database, writing
from core.cases.lessons import count_lessons, read_lessons
from core.cases.rows import CaseKey, Opinion
from core.report import Report

CLUBS = ("club-a", "club-b")
PEOPLE = tuple(f"{letter}" * 32 for letter in "abcdef")
HELPERS = tuple(f"{digit}" * 32 for digit in "123")
CAUSES = ("tilt", "start_close", "burn_in_long", "other")
STEPS = 160


@pytest.fixture
def db(tmp_path):
    db = open_database(tmp_path / "cases.db")
    yield db
    db.conn.close()


def is_equal(db):
    with writing(db):
        return tallies.recount(db)


class Life:
    """Random things that happen to random cases, in an order that a seed decides."""

    def __init__(self, db, seed):
        self.db, self.rng, self.at = db, np.random.default_rng(seed), FIRST

    def pick(self, options):
        return options[int(self.rng.integers(0, len(options)))]

    def happen(self):
        self.at += timedelta(hours=float(self.rng.exponential(30)))
        events = (
            self.tell,
            self.tell,
            self.hold,
            self.hold,
            self.settle,
            self.settle,
            self.close,
            self.erase,
            self.wait,
        )
        self.pick(events)()

    def case(self):
        row = self.db.execute("SELECT community, number FROM cases ORDER BY random() LIMIT 1").fetchone()
        return None if row is None else record.read_case(self.db, *row)

    def tell(self):
        key = CaseKey(self.pick(CLUBS), "help", self.pick(PEOPLE))
        spread = self.pick((None, 0.1, 0.3, 0.6))
        report = Report(readings=None if spread is None else readings_of(spread))
        ranked = [(self.pick(CAUSES[:3]), 0.8), ("crown", 0.1)]
        verdict = verdict_of(ranked, spread, self.pick(("diagnosed", "undecided", "no_fault")))
        fixed = record.read_last_fixed(self.db, key)
        record.record(self.db, key, report, verdict, self.at, record.read_open_case(self.db, key), fixed)

    def hold(self):
        case = self.case()
        if case is not None:
            opinion = Opinion(
                helper=self.pick(HELPERS), cause=self.pick(CAUSES), at=self.at, blind=bool(self.rng.random() < 0.7)
            )
            follow_up.hold(self.db, self.pick(("opinions", "confirmations")), case, opinion)

    def settle(self):
        case = self.case()
        if case is not None:
            outcome = self.pick(("fixed_by_step", "fixed_otherwise", "not_fixed"))
            follow_up.settle(self.db, case, outcome, "level_plate" if outcome == "fixed_by_step" else "", self.at)

    def close(self):
        case = self.case()
        if case is not None:
            follow_up.close(self.db, case, self.at)

    def erase(self):
        belongings.erase_person(self.db, [(self.pick(CLUBS), self.pick((*PEOPLE, *HELPERS)))])

    def wait(self):
        self.at += timedelta(days=float(self.rng.integers(1, 40)))
        belongings.tidy(self.db, self.at)


@pytest.mark.parametrize("seed", range(6))
def test_after_anything_that_may_happen_the_kept_counts_equal_a_recount(db, seed):
    life = Life(db, seed)
    for step in range(STEPS):
        life.happen()
        if step == STEPS // 2:
            assert is_equal(db)
    assert is_equal(db)
    assert db.execute("SELECT count(*) FROM tallies").fetchone()[0] > 0
    belongings.forget_community(db, CLUBS[0])
    assert is_equal(db)
    assert {row[0] for row in db.execute("SELECT DISTINCT community FROM tallies")} <= {CLUBS[1]}


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE tallies SET count = count + 1 WHERE kind = 'ended'",
        "DELETE FROM tallies WHERE kind = 'hours'",
        "UPDATE tallies SET total = total + 0.5 WHERE kind = 'stated_result'",
        "DELETE FROM lessons WHERE case_id = (SELECT min(case_id) FROM lessons)",
        "DELETE FROM shares WHERE case_id = (SELECT min(case_id) FROM shares)",
    ],
)
def test_a_recount_says_that_counts_were_wrong_and_mends_them(db, damage):
    bulk.add_whole(db, invent(40, 1, community="club-a"))
    assert is_equal(db)
    assert db.execute(damage).rowcount > 0
    assert not is_equal(db)
    assert is_equal(db)


def test_a_recount_that_fails_leaves_the_counts_as_they_were(db):
    bulk.add_whole(db, invent(40, 1, community="club-a"))
    before = db.execute("SELECT * FROM tallies ORDER BY 1, 2, 3, 4, 5").fetchall()
    db.execute("UPDATE judgements SET verdict = x'00' WHERE case_id = (SELECT max(id) FROM cases)")
    with pytest.raises(Exception, match=r"decompress"):
        is_equal(db)
    assert db.execute("SELECT * FROM tallies ORDER BY 1, 2, 3, 4, 5").fetchall() == before


def test_a_case_counts_for_the_month_in_which_it_first_ended(db):
    """Told anew in summer, a case of spring must not be published a second time."""
    key = CaseKey("club-a", "help", PEOPLE[0])
    case = record.record(db, key, Report(), verdict_of([("tilt", 0.9)]), FIRST, None, None)
    follow_up.settle(db, case, "not_fixed", "", FIRST + timedelta(days=5))
    follow_up.settle(db, case, "fixed_by_step", "level_plate", FIRST + timedelta(days=150))
    follow_up.hold(
        db, "confirmations", case, Opinion(helper=HELPERS[0], cause="tilt", at=FIRST + timedelta(days=200), blind=True)
    )
    assert list(tallies.read_table(db, "club-a", "ended")) == ["2025-01"]
    assert tallies.read_table(db, "club-a", "step_ending")["2025-01"] == {("level_plate", "step"): (1, 0.0)}


def test_a_check_is_no_step_that_could_have_fixed_it(db):
    """Measuring finds out what is wrong: it is the first step against a cause that counts."""
    bulk.add_whole(db, invent(60, 2, community="club-a"))
    rows = {row for cells in tallies.read_table(db, "club-a", "step_ending").values() for row, _ in cells}
    assert rows
    assert "measure_coupons" not in rows


def test_measuring_a_fix_again_counts_as_that_and_not_as_another_failure(db):
    key = CaseKey("club-a", "help", PEOPLE[0])
    first = record.record(
        db, key, Report(readings=readings_of(0.4)), verdict_of([("tilt", 0.9)], 0.4), FIRST, None, None
    )
    follow_up.settle(db, first, "fixed_by_step", "level_plate", FIRST)
    again = record.record(
        db,
        key,
        Report(readings=readings_of(0.1)),
        verdict_of([], 0.1, "no_fault"),
        FIRST,
        None,
        record.read_case(db, "club-a", 1),
    )
    follow_up.close(db, again, FIRST)
    assert tallies.read_table(db, "club-a", "ended")["2025-01"] == {("", ""): (1, 0.0)}
    (cell,) = tallies.read_table(db, "club-a", "improved")["2025-01"]
    start, _ = tallies.IMPROVED
    assert start + tallies.MM_BIN * int(cell[0]) == pytest.approx(0.3)


def test_a_case_is_one_lesson_however_many_confirm_it_how_often(db):
    """One confirmation per helper per case, and one lesson per case."""
    key = CaseKey("club-a", "help", PEOPLE[0])
    case = record.record(db, key, Report(), verdict_of([("tilt", 0.9)]), FIRST, None, None)
    for minute, helper in enumerate((*HELPERS, *HELPERS, HELPERS[0])):
        opinion = Opinion(helper=helper, cause="tilt", at=FIRST + timedelta(minutes=minute), blind=True)
        follow_up.hold(db, "confirmations", case, opinion)
    assert count_lessons(db) == {"club-a": 1}
    assert read_lessons(db)[0].causes == {"tilt"}
    assert len(follow_up.read_held(db, "confirmations", case)) == len(HELPERS)
