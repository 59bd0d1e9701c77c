"""Law: every finding has a drawing, a thing it is seen on, and words that show it and tell it from another."""

import pytest

from core.knowledge import load_knowledge
from core.pictures.finding_sketches import SKETCHES, group_findings
from core.words import languages, load_words

KNOWLEDGE = load_knowledge()
TEXTS = ("looks_like", "tell_apart", "mark", "drawn")


def test_every_finding_has_a_drawing_of_its_own():
    named = [finding.sketch for finding in KNOWLEDGE.findings.values()]
    assert [name for name, finding in KNOWLEDGE.findings.items() if finding.sketch not in SKETCHES] == []
    assert len(set(named)) == len(named)


def test_every_drawing_belongs_to_a_finding():
    assert SKETCHES.keys() - {finding.sketch for finding in KNOWLEDGE.findings.values()} == set()


def test_every_finding_is_mistaken_for_another():
    wrong = {
        name: finding.mistaken_for
        for name, finding in KNOWLEDGE.findings.items()
        if finding.mistaken_for not in KNOWLEDGE.findings.keys() - {name}
    }
    assert wrong == {}


def test_every_finding_stands_on_one_sheet():
    held = [name for names in group_findings(KNOWLEDGE).values() for name in names]
    assert sorted(held) == sorted(KNOWLEDGE.findings)


@pytest.mark.parametrize("language", languages())
def test_every_finding_is_told_in_every_language(language):
    words = load_words(language)
    missing = [
        f"findings.{name}.{text}"
        for name in KNOWLEDGE.findings
        for text in TEXTS
        if not words.has(f"findings.{name}.{text}")
    ]
    missing += [group for group in group_findings(KNOWLEDGE) if not words.has(f"finding_guide.groups.{group}")]
    assert missing == []


@pytest.mark.parametrize("language", languages())
def test_no_group_is_named_that_holds_nothing(language):
    named = {name for name, _ in load_words(language).under("finding_guide.groups")}
    assert named == set(group_findings(KNOWLEDGE))


def test_whoever_touches_something_is_told_to_wear_gloves():
    """Every check that looks for a finding carries the caution about skin; only listening touches nothing."""
    about = {check.about: check.cautions for check in KNOWLEDGE.checks.values()}
    bare = [name for name in KNOWLEDGE.findings if "skin_contact" not in about[f"finding:{name}"]]
    assert bare == ["loud_peel"]
