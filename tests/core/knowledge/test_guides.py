"""Guides: every one can be said, in short numbered steps, and brings its cautions."""

import pytest

from core.errors import UnusableKnowledge
from core.knowledge import load_knowledge
from core.knowledge.guides import say_guide
from core.words import Words, load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")


@pytest.mark.parametrize("name", KNOWLEDGE.guides)
def test_a_guide_has_a_title_short_steps_and_cautions(name):
    guide = say_guide(name, KNOWLEDGE, WORDS)
    assert guide.title
    assert 5 <= len(guide.steps) <= 9
    assert max(map(len, guide.steps)) <= 220
    assert {"power_off", "protective_gear", "skin_contact"} <= set(guide.cautions)
    orders = [KNOWLEDGE.cautions[caution].order for caution in guide.cautions]
    assert orders == sorted(orders)


@pytest.mark.parametrize("name", KNOWLEDGE.guides)
def test_no_step_of_a_guide_is_lost_behind_a_gap_in_its_numbers(name):
    keys = {key for key, _ in WORDS.under(f"guides.{name}")}
    assert keys == {"title", *(str(number) for number in range(1, len(keys)))}


def test_every_guide_in_the_words_is_in_the_data():
    titled = {key.removesuffix(".title") for key, _ in WORDS.under("guides") if key.endswith(".title")}
    assert titled == set(KNOWLEDGE.guides)


@pytest.mark.parametrize(
    ("involves", "caution"),
    [("scrape", "blade"), ("isopropyl", "flammable_solvent"), ("screen", "eye_light")],
)
def test_what_a_step_involves_brings_its_caution(involves, caution):
    guides = [say_guide(name, KNOWLEDGE, WORDS) for name in KNOWLEDGE.guides]
    concerned = [guide for guide in guides if involves in " ".join(guide.steps).lower()]
    assert concerned
    assert [guide.id for guide in concerned if caution not in guide.cautions] == []


def test_every_kind_of_plate_that_can_be_adjusted_has_its_guide():
    assert all(kind.guide in KNOWLEDGE.guides for kind in KNOWLEDGE.adjusters.values())


def test_a_guide_without_a_title_is_its_authors_fault():
    with pytest.raises(UnusableKnowledge):
        say_guide("straightedge", KNOWLEDGE, Words("en", {}))
