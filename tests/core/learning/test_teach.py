"""What confirmed outcomes teach: better predictions where the truth differs, no harm where not, bounds always."""

import dataclasses
import random
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.engine import triage
from core.learning import Lesson, learn, teach, try_out
from core.learning.lessons import tabulate
from core.learning.score import score_lessons
from core.learning.teach import _values_of
from core.report import Report
from core.words import load_words

SHED, OTHERS = "the tool shed", "the other shed"
FIRST = datetime(2025, 1, 1, tzinfo=UTC)


def odds(chance):
    return chance / (1 - chance)


def odds_ratios(learned, starting):
    """Return by how much the odds of every prior and link moved, as factors of 1 or more."""
    pairs = [(learned.causes[name].prior, one.prior) for name, one in starting.causes.items()]
    for name, one in starting.findings.items():
        pairs += [(learned.findings[name].links[cause], link) for cause, link in one.links.items()]
    ratios = [odds(now) / odds(before) for now, before in pairs]
    return [max(ratio, 1 / ratio) for ratio in ratios]


# ---- it helps, or does no harm --------------------------------------------------------------------


@pytest.mark.parametrize("seed", [1, 2])
def test_where_the_truth_differs_learned_values_predict_better_and_are_used(knowledge, shifted, draw_lessons, seed):
    """2,000 cases of an invented community whose odds differ up to three times from the starting ones."""
    taught = teach(draw_lessons(2000, shifted(knowledge, 3, seed), seed), knowledge, SHED)
    assert taught.trial.state == "used"
    assert taught.trial.learned_score > taught.trial.starting_score + 0.05
    assert taught.knowledge.version.startswith(f"{knowledge.version}+learned-2000-")


def test_helpers_who_name_one_cause_and_sometimes_a_wrong_one_still_teach(knowledge, shifted, draw_lessons):
    """Of the causes that hold one is named, and in one case of ten one that may not hold at all."""
    chance = random.Random(5)  # noqa: S311 - invented confirmations, no secret
    told = [
        dataclasses.replace(
            one,
            causes=frozenset(
                {chance.choice(sorted(one.causes) if chance.random() > 0.1 else sorted(knowledge.causes))}
            ),
        )
        for one in draw_lessons(2000, shifted(knowledge, 3, 1), 3)
    ]
    assert try_out(told, knowledge, SHED).state == "used"


@pytest.mark.parametrize("seed", [1, 2])
def test_where_the_starting_values_are_true_learning_does_no_harm(knowledge, draw_lessons, seed):
    """The trial keeps the starting values; even unwatched, learned ones would cost less than .05 nats a case."""
    taught = teach(draw_lessons(2000, knowledge, seed), knowledge, SHED)
    assert abs(taught.trial.learned_score - taught.trial.starting_score) < 0.05
    assert taught.trial.state == "not_better"
    assert taught.knowledge is knowledge


def test_learned_values_approach_the_truth(knowledge, shifted, draw_lessons):
    """With 4,000 cases the priors and links are on average closer to the truth than the starting values are."""
    truth = shifted(knowledge, 3, 5)
    learned = learn(draw_lessons(4000, truth, 5), knowledge, SHED)
    away, before = odds_ratios(learned, truth), odds_ratios(knowledge, truth)
    assert sum(away) / len(away) - 1 < 0.5 * (sum(before) / len(before) - 1)


def test_silence_is_not_taken_for_a_sighting(knowledge, draw_lessons):
    """People rarely tell what they do not see: links counted from what is told alone would all rise."""
    learned = learn(draw_lessons(2000, knowledge, 3, tells_seen=0.7, tells_absent=0.02), knowledge, SHED)
    pairs = [
        (learned.findings[name].links[cause], link)
        for name, one in knowledge.findings.items()
        for cause, link in one.links.items()
    ]
    rose = sum(now > before for now, before in pairs)
    assert 0.25 < rose / len(pairs) < 0.75
    assert abs(sum(now - before for now, before in pairs) / len(pairs)) < 0.03


def test_a_few_cases_change_little_and_are_not_used_yet(knowledge, shifted, draw_lessons):
    lessons = draw_lessons(60, shifted(knowledge, 3, 4), 4)
    taught = teach(lessons, knowledge, SHED)
    assert (taught.trial.state, taught.trial.cases, taught.trial.cases_least) == ("too_few", 60, 200)
    assert taught.knowledge is knowledge
    moved = odds_ratios(learn(lessons, knowledge, SHED), knowledge)
    assert sum(moved) / len(moved) < 1.3


def test_no_cases_teach_nothing(knowledge):
    trial = try_out([], knowledge, SHED)
    assert (trial.state, trial.cases, trial.gain_nats, trial.learned_score) == ("too_few", 0, 0.0, None)
    assert learn([], knowledge, SHED).causes == dict(knowledge.causes)


# ---- nobody can break it --------------------------------------------------------------------------


def wrong_confirmations(knowledge, count, *, always="burn_in_long"):
    """Return a run of lies: whatever is seen, it is one and the same cause, and its own findings are never there."""
    own = frozenset(name for name, one in knowledge.findings.items() if always in one.links)
    rest = frozenset(knowledge.findings) - own
    return [
        Lesson(
            at=FIRST + timedelta(minutes=k),
            community=SHED,
            causes=frozenset({always}),
            seen=frozenset(sorted(rest)[:3]),
            absent=own,
        )
        for k in range(count)
    ]


@pytest.mark.parametrize("community", [SHED, None], ids=["own values", "common values"])
def test_five_hundred_wrong_confirmations_push_nothing_beyond_the_bound(knowledge, community):
    learned = learn(wrong_confirmations(knowledge, 500), knowledge, community)
    moved = odds_ratios(learned, knowledge)
    factor = knowledge.norm("learning_odds_factor")
    assert max(moved) <= factor * (1 + 1e-3)
    assert max(moved) > factor * (1 - 1e-3)


def test_lies_elsewhere_move_a_community_no_further_than_the_bound(knowledge):
    lies = [dataclasses.replace(one, community=OTHERS) for one in wrong_confirmations(knowledge, 500)]
    moved = odds_ratios(learn(lies, knowledge, SHED), knowledge)
    assert max(moved) <= knowledge.norm("learning_odds_factor") * (1 + 1e-3)


def test_lies_do_not_break_the_rule_of_the_plan(knowledge):
    """Taught that everything is a short burn-in, the service still levels a crooked plate and raises no exposure."""
    learned = learn(wrong_confirmations(knowledge, 500, always="burn_in_short"), knowledge, SHED)
    report = Report.model_validate(
        {
            "readings": {
                "front_left": [0.7], "front_right": [1.3], "back_left": [0.7], "back_right": [1.3], "centre": [1.0]
            },
            "findings": [{"id": "missing_parts", "where": "right"}],
        }
    )  # fmt: skip
    verdict = triage(report, learned, load_words("en")).verdict
    assert verdict.causes[0].id == "tilt"
    assert not any(learned.remedies[step.id].raises_exposure for step in verdict.steps)
    assert verdict.knowledge == learned.version != knowledge.version


# ---- the same cases, the same digits --------------------------------------------------------------


def test_the_order_of_telling_changes_no_digit(knowledge, shifted, draw_lessons):
    """Also among cases confirmed at the same time."""
    lessons = [
        dataclasses.replace(one, at=FIRST + timedelta(days=k // 40))
        for k, one in enumerate(draw_lessons(400, shifted(knowledge, 3, 6), 6))
    ]
    mixed = random.Random(1).sample(lessons, len(lessons))  # noqa: S311 - an invented order, no secret
    assert learn(mixed, knowledge, SHED) == learn(lessons, knowledge, SHED)
    assert try_out(mixed, knowledge, SHED) == try_out(lessons, knowledge, SHED)


def test_a_batch_is_predicted_from_the_cases_before_it_and_no_others(knowledge, shifted, draw_lessons):
    """The first 50 cases gain nothing; the third 50 gain what values learned from the first 100 gain on them."""
    lessons = draw_lessons(150, shifted(knowledge, 3, 7), 7)
    assert try_out(lessons[:50], knowledge, SHED).gain_nats == pytest.approx(0.0, abs=1e-9)
    table = tabulate(lessons, knowledge)
    third = np.arange(150) >= 100
    before, after = (
        score_lessons(_values_of(one), table, third).sum() for one in (knowledge, learn(lessons[:100], knowledge, SHED))
    )
    gained = try_out(lessons, knowledge, SHED).gain_nats - try_out(lessons[:100], knowledge, SHED).gain_nats
    assert gained == pytest.approx(after - before, abs=0.01)
    assert abs(after - before) > 0.1


# ---- communities ----------------------------------------------------------------------------------


def test_a_small_community_leans_on_the_others_and_a_large_one_on_itself(knowledge):
    """Others see only tilt; whoever has seen only debris moves away from them with its own cases."""

    def only(cause, community, count):
        return [
            Lesson(
                at=FIRST + timedelta(hours=k),
                community=community,
                causes=frozenset({cause}),
                seen=frozenset({"thin_raft"}),
            )
            for k in range(count)
        ]

    others = only("tilt", OTHERS, 60)
    priors = [
        learn([*others, *only("debris", SHED, own)], knowledge, SHED).causes["debris"].prior for own in (0, 5, 20)
    ]
    assert priors[0] < knowledge.causes["debris"].prior < priors[2]
    assert priors == sorted(priors)


def test_a_community_learns_nothing_from_its_own_cases_twice(knowledge, shifted, draw_lessons):
    """Alone in the world, its own values are the common ones: the starting values are not added once more."""
    lessons = draw_lessons(300, shifted(knowledge, 3, 8), 8)
    assert learn(lessons, knowledge, SHED) == learn(lessons, knowledge)


def test_only_cases_with_a_known_cause_count(knowledge):
    lesson = Lesson(at=FIRST, community=SHED, causes=frozenset({"tilt"}), seen=frozenset({"thin_raft"}))
    unknown = dataclasses.replace(lesson, causes=frozenset())
    renamed = dataclasses.replace(lesson, causes=frozenset({"a_cause_of_an_older_version"}))
    elsewhere = dataclasses.replace(unknown, community=OTHERS)
    trial = try_out([lesson, unknown, renamed, elsewhere], knowledge, SHED)
    assert (trial.cases, trial.left_out) == (1, 2)
    assert learn([lesson, unknown, renamed], knowledge) == learn([lesson], knowledge)


def test_a_finding_that_is_gone_is_passed_over(knowledge):
    lesson = Lesson(at=FIRST, community=SHED, causes=frozenset({"tilt"}), seen=frozenset({"thin_raft"}))
    odd = dataclasses.replace(lesson, seen=frozenset({"thin_raft", "a_finding_of_an_older_version"}))
    assert learn([odd], knowledge) == learn([lesson], knowledge)
