"""Reading German sentences: what lies in the data of the language, and how well it is read.

As first measured, before anything was changed for them, over placed findings, absences and settings:

* the held-out half of ``sentences_de.toml``: precision .947, recall .947. It was written just before the lexicon and by
  the same author, so that figure flatters;
* ``sentences_de_later.toml``, written after the lexicon: precision .914, recall .571; findings by id alone .909 and
  .526; something taken from 1 of 10 that hold nothing. The lexicon was mended for these;
* ``sentences_de_last.toml``, written after that: precision .974, recall .731; findings by id alone .966 and .737;
  something taken from 1 of 8 that hold nothing. That is the fair estimate of how a stranger is read, though one author
  wrote all.

Then the lexicon was mended for the last too: precision 1.000 and 1.000, recall .929 and .942. These figures only guard
against falling back.
"""

from functools import partial

import pytest
from benchmarks import sentences_quality

from core.intake.choices import read_yes_no
from core.intake.sentence_lexicon import build_sentence_lexicon
from core.intake.sentences import describe, load_sentence_lexicon, read_sentence
from core.knowledge import load_knowledge
from core.words import load_words

KNOWLEDGE, WORDS = load_knowledge(), load_words()
LEXICON = load_sentence_lexicon("de")
FIRST = sentences_quality.load_cases(sentences_quality.first_set("de"))
LATER, LAST = (sentences_quality.load_cases(path) for path in sentences_quality.SETS["de"].values())
hear = partial(read_sentence, lexicon=LEXICON, knowledge=KNOWLEDGE)


def findings(text: str) -> set[str]:
    return {f"{found.id}@{found.where}" for found in hear(text).findings}


def absences(text: str) -> set[str]:
    return {one.id for one in hear(text).absences}


def told(text: str) -> dict[str, object]:
    return {setting.field: setting.value for setting in hear(text).settings}


def score(cases):
    return sentences_quality.score_cases(cases, tuple(hear(case.text) for case in cases))


# ---- the cases ----------------------------------------------------------------------------------------


def test_the_sentences_tuned_on_are_read_with_few_mistakes():
    tuned = score(tuple(case for case in FIRST if not case.held_out))
    assert tuned.sentences >= 50
    assert tuned.precision() >= 0.97
    assert tuned.recall() >= 0.97
    assert tuned.empty_with_findings == 0


def test_the_held_out_sentences_are_read_as_well_as_measured():
    held_out = score(tuple(case for case in FIRST if case.held_out))
    assert held_out.sentences >= 50
    assert held_out.precision() >= 0.93
    assert held_out.recall() >= 0.92
    assert held_out.empty_with_findings <= 1


@pytest.mark.parametrize("cases", [LATER, LAST], ids=["later", "last"])
def test_the_sentences_written_later_are_read_no_worse_than_measured(cases):
    later = score(cases)
    assert later.sentences >= 50
    assert later.precision() >= 0.96
    assert later.recall() >= 0.9
    assert later.empty_with_findings == 0


def test_cases_name_only_findings_and_places_that_exist_and_every_finding():
    tuned, held_out = (tuple(case for case in FIRST if case.held_out is held_out) for held_out in (False, True))
    for cases in (tuned, held_out, LATER, LAST):
        named = {item.partition("@") for case in cases for kind, item in case.items if kind == "finding with place"}
        assert {where for _, _, where in named} <= {"", "unknown", *KNOWLEDGE.places}
        assert {name for name, _, _ in named} == set(KNOWLEDGE.findings)


def test_every_sentence_can_be_shown_back():
    """Each phrase is the verbatim slice of the input, though spelling is put right and words are taken apart."""
    for case in (*FIRST, *LATER, *LAST):
        heard = hear(case.text)
        assert len(describe(heard, WORDS)) >= len(heard.findings)
        for one in (*heard.findings, *heard.absences, *heard.settings, *heard.unsure):
            assert one.words.text == case.text[one.words.start : one.words.end]


# ---- what the language needs --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ("links", "left"),
        ("auf der rechten Seite", "right"),
        ("vorne", "front"),
        ("im hinteren Bereich", "back"),
        ("vorne links", "front_left"),
        ("rechts vorn", "front_right"),
        ("in der hinteren linken Ecke", "back_left"),
        ("hinten rechts auf der Druckplatte", "back_right"),
        ("in der Mitte", "centre"),
        ("am Rand", "edges"),
        ("überall", "everywhere"),
        ("hier und da", "scattered"),
        ("überall außer rechts", "left"),
        ("überall bis auf die Mitte", "edges"),
        ("an der linken Plattenkante", "left"),
        ("auf der rechten Plattenhälfte", "right"),
        ("an der Vorderkante", "front"),
    ],
)
def test_places_are_named_as_people_name_them(said, where):
    assert findings(f"Raft glänzt {said}") == {f"glossy_raft@{where}"}


@pytest.mark.parametrize("said", ["und links ist alles gut", "aber links passt es"])
def test_a_place_where_all_is_well_is_no_place_of_a_finding(said):
    assert findings(f"Raft glänzt rechts, {said}") == {"glossy_raft@right"}


@pytest.mark.parametrize(
    "text",
    [
        "kein glänzendes Raft",
        "Raft ist nicht glänzend",
        "das Raft glänzt nicht",
        "das Raft glänzt gar nicht",
        "das Raft glänzt auch nicht",
        "das Raft ist überhaupt nicht glänzend",
    ],
)
def test_a_no_stands_before_between_or_behind_what_it_denies(text):
    assert findings(text) == set()
    assert absences(text) == {"glossy_raft"}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("das Raft glänzt nicht nur links", {"glossy_raft"}),
        ("Raft glänzt, nicht schön", {"glossy_raft"}),
        ("nicht schön: das Raft glänzt", {"glossy_raft"}),
    ],
)
def test_a_no_that_denies_something_else_does_not_deny_the_finding(text, found):
    assert {one.partition("@")[0] for one in findings(text)} == found


@pytest.mark.parametrize("text", ["keine Risse", "Risse hab ich keine", "es gibt keine Risse im Modell"])
def test_no_cracks_are_an_absence(text):
    assert absences(text) == {"layer_cracks"}


def test_a_place_of_one_thing_is_not_the_place_of_what_is_absent_later():
    """A place after a noun is no heading for the sentence, so that what follows is absent everywhere."""
    heard = hear("Rafts hinten links glänzen, keine Risse")
    assert [(one.id, one.where) for one in heard.findings] == [("glossy_raft", "back_left")]
    assert [one.id for one in heard.absences] == ["layer_cracks"]


def test_a_verb_in_two_parts_is_read_over_the_words_between():
    assert findings("das Raft biegt sich rechts am Rand hoch") == {"curled_edges@right"}
    assert findings("die Stützen hören vorne einfach auf") == {"clipped_supports@front"}


@pytest.mark.parametrize(
    ("written", "other"),
    [
        ("Stützen abgeschnitten", "stuetzen abgeschnitten"),
        ("Raft glänzt", "raft glaenzt"),
        ("Elefantenfuß", "elefantenfuss"),
        ("LÖCHER SIND ZU", "loecher sind zu"),
        ("Raft ist zu du\u0308nn", "raft ist zu dünn"),
        ("Stützen sind gerissen", "stutzen sind gerisen"),
        ("Raft glänzend hinten", "raft glaezend hinten"),
    ],
)
def test_umlauts_and_slips_make_no_difference(written, other):
    assert findings(written) == findings(other) != set()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("die Raftränder biegen sich hoch", "curled_edges@edges"),
        ("Stützenspitzen abgerissen", "torn_supports@unknown"),
        ("Haarrisse im Modell", "layer_cracks@unknown"),
        ("FEP-Folie trüb", "clouded_film@unknown"),
    ],
)
def test_words_written_as_one_are_read_as_two(text, found):
    assert findings(text) == {found}


@pytest.mark.parametrize(
    "text",
    [
        "kleine Risse im Modell",
        "ca. zwei Risse im Modell",
        "welche Stützen sind gerissen, ich zeig euch ein Bild",
        "recht dünnes Raft",
        "das Raft hat eine Folge von dünnen Stellen",
    ],
)
def test_common_words_are_no_slips_of_others(text):
    """Of a little crack, "kleine" is no "keine", "recht" no "rechte", "Folge" no "Folie"."""
    heard = hear(text)
    assert heard.absences == ()
    assert all(found.where == "unknown" for found in heard.findings)
    assert "clouded_film" not in {found.id for found in heard.findings}


@pytest.mark.parametrize(
    "frame",
    [
        "wenn {} ist die Platte zu nah",
        "was heißt es, dass {}",
        "{} aber jetzt ist alles gut",
        "letztes Jahr: {}",
        "Prüf mal, {}",
        "Kann es sein, dass {}?",
        "{} bedeutet meist eine schiefe Platte",
        "mir wurde gesagt {}",
    ],
)
def test_what_says_nothing_of_the_print_in_hand_is_not_taken(frame):
    assert findings(frame.replace("{}", "das Raft glänzt")) == set()


@pytest.mark.parametrize(
    "text",
    [
        "vielleicht ist das Raft glänzend",
        "ich glaube das Raft glänzt",
        "ich glaube, das Raft glänzt",
        "ich glaube, dass das Raft glänzt",
        "das Raft glänzt glaub ich",
        "bei meinem Kumpel glänzt das Raft",
        "das Raft glänzt?",
        "warum glänzt das Raft?",
    ],
)
def test_what_is_said_with_doubt_is_asked_and_not_taken(text):
    heard = hear(text)
    assert heard.findings == ()
    assert [unsure.about for unsure in heard.unsure] == ["glossy_raft"]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("6 Anfangsschichten mit je 35 s", {"settings.burn_in_layers": 6, "settings.burn_in_s": 35}),
        ("Anfangsbelichtung 1 min", {"settings.burn_in_s": 60}),
        ("Belichtungszeit 2,5 s", {"settings.exposure_s": 2.5}),
        ("Anfangsbelichtung 35,25 s", {"settings.burn_in_s": 35.25}),
        ("Belichtung: 2500 ms", {"settings.exposure_s": 2.5}),
        ("Schichthöhe 0,05 mm", {"settings.layer_height_mm": 0.05}),
        ("50 µm Schichten", {"settings.layer_height_mm": 0.05}),
        ("Abhebegeschwindigkeit 1 mm/s", {"settings.lift_mm_per_min": 60}),
        ("Harz hat 19,5 °C", {"resin.temperature_c": 19.5}),
        ("Ruhezeit 0,5 s", {"settings.rest_s": 0.5}),
        ("ohne Übergangsschichten", {"settings.transition_layers": 0}),
        ("Raft laut Slicer 0,8, gemessen 0,65", {"raft.sliced_mm": 0.8, "raft.measured_mm": 0.65}),
        ("hab die Belichtung nicht verändert", {"settings.raised_exposure": False}),
        ("Belichtungszeit schon erhöht", {"settings.raised_exposure": True}),
    ],
)
def test_settings_are_read_with_decimal_commas_and_german_units(text, values):
    assert told(text) == values


def test_an_abbreviation_ends_no_sentence():
    assert told("Harz hat ca. 16 Grad") == {"resin.temperature_c": 16}
    assert told("Harz hat gelitten. 16 Grad") == {}


def test_five_named_readings_are_taken():
    readings = hear("vorne links 0,98, vorne rechts 1,02, hinten links 1,31, hinten rechts 1,28, Mitte 1,10").readings
    assert readings is not None
    assert (readings.front_left, readings.back_right, readings.centre) == ((0.98,), (1.28,), (1.1,))


@pytest.mark.parametrize(
    ("text", "answer"), [("Ja", True), ("stimmt", True), ("passt", True), ("Nö", False), ("stimmt nicht", False)]
)
def test_a_yes_and_a_no_are_said_in_more_than_one_way(text, answer):
    assert read_yes_no(text, "confirm", lexicon=LEXICON.readings) is answer


# ---- the lexicon --------------------------------------------------------------------------------------


def test_every_finding_can_be_said_and_no_other():
    known = {rule.about for rules in LEXICON.rules.values() for rule in rules if rule.kind == "seen"}
    assert known == set(KNOWLEDGE.findings)


def test_a_star_stands_for_every_ending_and_a_gap_for_as_many_words_as_the_language_needs():
    tables = {
        "classes": {"left": [], "raft": ["raft"], "shiny": ["glänzend*"], "cut": ["ab"]}
        | {name: [] for name in ("right", "front", "back", "middle", "side", "everywhere", "rim")},
        "letters": {"ä": "ae"},
        "endings": ["", "e", "es"],
        "gaps": {".": 1},
        "ordinary": {"words": []},
        "units": {},
        "findings": {"glossy_raft": {"seen": ["<shiny> . <raft>"]}},
        "settings": [],
    }
    lexicon = build_sentence_lexicon(tables, "sentences_test.toml")

    def heard(text: str) -> bool:
        return bool(read_sentence(text, lexicon, KNOWLEDGE).findings)

    assert heard("glänzendes raft")
    assert heard("glaenzende blaue raft")
    assert not heard("glänzende große blaue raft")
