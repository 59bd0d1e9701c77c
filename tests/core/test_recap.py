"""A report is said back whole: everything that was given, nothing that was not."""

from typing import Literal, get_args, get_origin

from core.knowledge import load_knowledge
from core.recap import recap
from core.report import Machine, Raft, Readings, Report, Resin, Seen, Settings
from core.words import load_words

WORDS = load_words("en")


def test_an_empty_report_says_nothing():
    assert recap(Report(), WORDS) == ()


def test_readings_keep_their_repeats_and_what_was_lost():
    (line,) = recap(Report(readings=Readings(front_left=(1.02, 1.03), back_right=None)), WORDS)
    assert "front left 1.02/1.03" in line
    assert "back right lost" in line
    assert "centre" not in line


def test_a_finding_at_two_places_is_one_entry():
    report = Report(findings=(Seen(id="glossy_raft", where="left"), Seen(id="glossy_raft", where="front")))
    (line,) = recap(report, WORDS)
    assert line.count(WORDS.say("findings.glossy_raft.name")) == 1
    assert "on the left" in line


def test_every_field_of_every_part_has_its_words():
    """Adding a field to the report without words for it fails here."""
    for part in (Settings, Raft, Machine, Resin):
        for field in part.model_fields:
            assert WORDS.has(f"recap.fields.{part.__name__.lower()}.{field}")


def test_every_finding_can_be_named():
    knowledge = load_knowledge()
    report = Report(findings=tuple(Seen(id=name) for name in knowledge.findings), absent=())
    (line,) = recap(report, WORDS)
    assert all(WORDS.say(f"findings.{name}.name") in line for name in knowledge.findings)


def test_every_choice_is_said_in_words():
    """A value out of a fixed list is named in the reader's language, not by its identifier."""
    for part in (Settings, Raft, Machine, Resin):
        for field in part.model_fields.values():
            for choice in chosen_from(field.annotation):
                assert choice == "unknown" or WORDS.has(f"recap.values.{choice}")


def chosen_from(annotation: object) -> set[str]:
    if get_origin(annotation) is Literal:
        return set(get_args(annotation))
    return {choice for inner in get_args(annotation) for choice in chosen_from(inner)}
