"""Cross-checks: what each identifier needs beyond its own entry."""

from dataclasses import replace

import pytest

from core.knowledge import Knowledge, load_knowledge
from core.knowledge.check import check_completeness, check_knowledge, check_references, check_words
from core.words import Words, load_words


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge()


@pytest.fixture(scope="module")
def words() -> Words:
    return load_words()


def spoken(texts: dict[str, str]) -> Words:
    return Words("en", texts)


def test_what_ships_fits_together(knowledge: Knowledge, words: Words):
    assert [words.fault(fault) for fault in check_knowledge(knowledge, words)] == []


def test_a_language_without_texts_lacks_each_of_them_once(knowledge: Knowledge):
    """Three texts for a cause, finding and remedy, one for a place, caution and check, and one for no place."""
    faults = check_words(knowledge, spoken({}))
    threefold = len(knowledge.causes) + len(knowledge.findings) + len(knowledge.remedies)
    single = len(knowledge.places) + len(knowledge.cautions) + len(knowledge.checks)
    assert len({fault.field for fault in faults}) == len(faults) == 3 * threefold + single + 1
    assert {fault.code for fault in faults} == {"words_missing"}


@pytest.mark.parametrize(
    "key",
    [
        "causes.tilt.name",
        "findings.glossy_raft.asks",
        "remedies.level_plate.worked_if",
        "places.unknown",
        "cautions.blade",
        "checks.measure_coupons",
    ],
)
def test_a_missing_text_is_named_by_its_key(knowledge: Knowledge, words: Words, key: str):
    texts = {name: text for name, text in words.texts.items() if name != key}
    (fault,) = check_knowledge(knowledge, spoken(texts))
    assert (fault.field, fault.code) == (f"words/en: {key}", "words_missing")


def test_texts_of_an_identifier_that_does_not_exist_are_a_slip(knowledge: Knowledge, words: Words):
    (fault,) = check_words(knowledge, spoken({**words.texts, "causes.tillt.name": "a plate"}))
    assert (fault.given, fault.code, fault.values["meant"]) == ("tillt", "unknown_reference", "tilt")


def test_a_check_is_no_remedy(knowledge: Knowledge):
    """Measuring is for tilt too, but it puts nothing right."""
    without = {name: remedy for name, remedy in knowledge.remedies.items() if name != "level_plate"}
    faults = check_completeness(replace(knowledge, remedies=without))
    assert [(fault.given, fault.code) for fault in faults] == [("tilt", "cause_without_remedy")]


def test_a_cause_that_nothing_shows_is_a_fault(knowledge: Knowledge):
    findings = {
        name: finding.model_copy(
            update={"links": {cause: link for cause, link in finding.links.items() if cause != "suction"}}
        )
        for name, finding in knowledge.findings.items()
    }
    faults = check_completeness(replace(knowledge, findings=findings))
    # Only suction explained a burst hollow, so that finding is left without a cause as well.
    assert sorted((fault.given, fault.code) for fault in faults) == [
        ("burst_hollow", "finding_without_cause"),
        ("suction", "cause_without_finding"),
    ]


@pytest.mark.parametrize(("excess", "faults"), [(0.0, 0), (5e-10, 0), (5e-9, 1), (-5e-9, 1)])
def test_a_profile_sums_to_one_within_a_billionth(knowledge: Knowledge, excess: float, faults: int):
    tilt = knowledge.profiles["tilt"]
    profiles = {"tilt": tilt.model_copy(update={"everywhere": tilt.everywhere + excess})}
    assert len(check_references(replace(knowledge, profiles=profiles))) == faults
