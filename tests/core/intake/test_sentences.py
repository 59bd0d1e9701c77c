"""Reading sentences: nothing is taken that was not said, and every line shown back is in the person's own words."""

import pytest
from benchmarks import sentences_quality
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UnusableInput, UnusableKnowledge
from core.intake.sentence_lexicon import build_sentence_lexicon
from core.intake.sentences import (
    Heard,
    HeardFinding,
    Phrase,
    describe,
    load_sentence_lexicon,
    read_sentence,
    to_report,
)
from core.knowledge import load_knowledge
from core.report import Report, Settings
from core.words import load_words

LEXICON, KNOWLEDGE, WORDS = load_sentence_lexicon(), load_knowledge(), load_words()
TUNED_PRECISION, TUNED_RECALL = 0.97, 0.95
# Measured once, before anything was changed for it: precision .945, recall .929 (placed findings, absences, settings).
HELD_OUT_PRECISION, HELD_OUT_RECALL = 0.92, 0.88
TAKEN_FROM_NOTHING = 3


CASES = sentences_quality.load_cases()


def hear(text: str) -> Heard:
    return read_sentence(text, LEXICON, KNOWLEDGE)


def findings(text: str) -> set[str]:
    return {f"{found.id}@{found.where}" for found in hear(text).findings}


def told(text: str) -> dict[str, object]:
    return {setting.field: setting.value for setting in hear(text).settings}


def asked(text: str) -> set[tuple[str, str]]:
    return {(unsure.about, unsure.reason) for unsure in hear(text).unsure}


def phrases(heard: Heard) -> list[Phrase]:
    said = [*heard.findings, *heard.absences, *heard.settings, *heard.unsure]
    words = [heard.readings_words] if heard.readings_words else []
    return [*(one.words for one in said), *words, *heard.unread]


def score(*, held_out: bool):
    chosen = tuple(case for case in CASES if case.held_out is held_out)
    return sentences_quality.score_cases(chosen, tuple(hear(case.text) for case in chosen))


# ---- the cases ----------------------------------------------------------------------------------------


def test_the_sentences_tuned_on_are_read_with_few_mistakes():
    """A wrong finding is worse than a missed one, so precision has the higher floor."""
    tuned = score(held_out=False)
    assert tuned.sentences >= 150
    assert tuned.precision() >= TUNED_PRECISION
    assert tuned.recall() >= TUNED_RECALL
    assert tuned.empty_with_findings == 0


def test_the_held_out_sentences_are_read_as_well_as_measured():
    """The floor lies a little below what was measured on sentences that the lexicon had never seen."""
    held_out = score(held_out=True)
    assert held_out.sentences >= 50
    assert held_out.precision() >= HELD_OUT_PRECISION
    assert held_out.recall() >= HELD_OUT_RECALL
    assert held_out.empty_with_findings <= TAKEN_FROM_NOTHING


def test_a_third_of_the_sentences_hold_nothing_to_take():
    """Most of what is said in a help channel says nothing about the print in hand."""
    assert sum(not case.items for case in CASES) >= len(CASES) / 3


def test_cases_name_only_findings_and_places_that_exist():
    for case in CASES:
        for kind, item in case.items:
            if kind == "finding with place":
                name, _, where = item.partition("@")
                assert name in KNOWLEDGE.findings, case.text
                assert where in {"", "unknown", *KNOWLEDGE.places}, case.text


def test_every_sentence_can_be_shown_back():
    """Each phrase is the verbatim slice of the input, and stands in the line that is shown for it."""
    for case in CASES:
        heard = hear(case.text)
        lines = describe(heard, WORDS)
        for phrase in phrases(heard):
            assert phrase.text == case.text[phrase.start : phrase.end]
            assert any(" ".join(phrase.text.split()) in line for line in lines), case.text


def test_what_is_asked_is_not_in_the_report():
    """A finding that is doubtful as a whole is only asked about."""
    for case in CASES:
        heard = hear(case.text)
        report = to_report(heard)
        doubtful = {one.about for one in heard.unsure if one.reason not in {"place", "mirror"}}
        assert doubtful.isdisjoint({found.id for found in report.findings} | set(report.absent)), case.text


# ---- single rules -------------------------------------------------------------------------------------


def test_the_example_of_the_trade():
    text = (
        "the rafts on the right are shiny with nothing on them, left side is fine, "
        "I already doubled the bottom exposure"
    )
    heard = hear(text)
    start = text.index("the rafts")
    words = "the rafts on the right are shiny"
    assert heard.findings == (HeardFinding("glossy_raft", "right", Phrase(words, start, start + len(words))),)
    assert heard.absences == ()
    assert to_report(heard).settings == Settings(raised_exposure=True)
    assert describe(heard, WORDS)[0] == f'a glossy raft without supports, on the right — from "{words}"'


@pytest.mark.parametrize(
    ("plain", "denied"),
    [
        ("the raft is shiny", "the raft is not shiny"),
        ("glossy raft", "no glossy raft"),
        ("the supports are clipped", "the supports aren't clipped"),
        ("the raft delaminated", "the raft never delaminated"),
        ("the film is cloudy", "the film isnt cloudy"),
    ],
)
def test_a_negation_turns_a_finding_into_an_absence(plain, denied):
    (found,) = hear(plain).findings
    assert hear(denied).findings == ()
    assert [absence.id for absence in hear(denied).absences] == [found.id]


def test_fine_at_one_place_is_no_absence_of_a_finding_elsewhere():
    heard = hear("rafts shiny on the right, left side is fine")
    assert [(found.id, found.where) for found in heard.findings] == [("glossy_raft", "right")]
    assert heard.absences == ()


def test_absent_at_one_place_is_not_absent_everywhere():
    assert hear("the raft is not shiny on the left").absences == ()


def test_a_place_after_a_noun_is_no_heading_of_the_sentence():
    heard = hear("rafts back left are shiny, no cracks")
    assert [(found.id, found.where) for found in heard.findings] == [("glossy_raft", "back_left")]
    assert [absence.id for absence in heard.absences] == ["layer_cracks"]


def test_a_guess_parted_by_a_comma_is_still_a_guess():
    assert findings("i think, the raft is shiny") == set()
    assert asked("i think, the raft is shiny") == {("glossy_raft", "hedged")}


@pytest.mark.parametrize("doubt", ["maybe {}", "i think {}", "{} i guess", "perhaps {}", "my friend says {}", "{}?"])
def test_what_is_said_with_doubt_is_asked_and_not_taken(doubt):
    heard = hear(doubt.format("the raft is shiny"))
    assert heard.findings == ()
    assert [unsure.about for unsure in heard.unsure] == ["glossy_raft"]


@pytest.mark.parametrize(
    "frame",
    [
        "if {} the plate is too close",
        "what does it mean that {}",
        "{} but its fixed now",
        "last year {}",
        "check whether {}",
        "a friend told me {}",
        "next time {} i will stop the print, and will {}",
    ],
)
def test_what_says_nothing_of_the_print_in_hand_is_not_taken(frame):
    assert findings(frame.replace("{}", "the raft is shiny")) == set()


def test_a_later_sentence_is_not_void_because_an_earlier_one_was():
    assert findings("Should I level it again? The raft is shiny on the left.") == {"glossy_raft@left"}


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ("on the left", "left"),
        ("on the right hand side", "right"),
        ("at the front", "front"),
        ("at the rear", "back"),
        ("in the front left corner", "front_left"),
        ("on the right-front", "front_right"),
        ("back left", "back_left"),
        ("in the back right corner", "back_right"),
        ("in the middle", "centre"),
        ("around the outside", "edges"),
        ("everywhere", "everywhere"),
        ("in random places", "scattered"),
        ("everywhere except the right", "left"),
        ("everywhere but the middle", "edges"),
    ],
)
def test_places_are_named_as_people_name_them(said, where):
    assert findings(f"shiny raft {said}") == {f"glossy_raft@{where}"}


@pytest.mark.parametrize(
    "said", ["right now", "that i left on the plate", "all right", "and nothing left in the bottle"]
)
def test_left_and_right_are_not_always_places(said):
    assert findings(f"shiny raft {said}") == {"glossy_raft@unknown"}


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("shiny raft on one side", "place"),
        ("shiny raft bottom left", "place"),
        ("shiny raft, left side is fine", "place"),
        ("plate flipped over, shiny raft on the left", "mirror"),
    ],
)
def test_an_unclear_place_is_asked_and_the_finding_kept(text, reason):
    assert findings(text) == {"glossy_raft@unknown"}
    assert asked(text) == {("glossy_raft", reason)}


def test_front_and_back_need_no_mirror():
    """A plate turned over is mirrored left to right only."""
    assert findings("plate flipped over, shiny raft at the back") == {"glossy_raft@back"}


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("bottom 10 x 60s", {"settings.burn_in_layers": 10, "settings.burn_in_s": 60}),
        ("6 bottom layers at 35s", {"settings.burn_in_layers": 6, "settings.burn_in_s": 35}),
        ("2.5s exposure", {"settings.exposure_s": 2.5}),
        ("2,5 s exposure", {"settings.exposure_s": 2.5}),
        ("2500 ms exposure", {"settings.exposure_s": 2.5}),
        ("0.05 layers", {"settings.layer_height_mm": 0.05}),
        ("50 micron layers", {"settings.layer_height_mm": 0.05}),
        ("50\u00b5m layers", {"settings.layer_height_mm": 0.05}),
        ("raft sliced 0.8 measures 0.6", {"raft.sliced_mm": 0.8, "raft.measured_mm": 0.6}),
        ("lift speed 1 mm/s", {"settings.lift_mm_per_min": 60}),
        ("bottom exposure 1 min", {"settings.burn_in_s": 60}),
        ("havent raised the exposure", {"settings.raised_exposure": False}),
    ],
)
def test_settings_are_read_in_the_units_of_the_report(text, values):
    assert told(text) == values


def test_two_values_for_one_setting_are_asked():
    assert told("bottom exposure 30s. bottom exposure 60s") == {}
    assert asked("bottom exposure 30s. bottom exposure 60s") == {("settings.burn_in_s", "ambiguous")}


def test_a_value_that_cannot_be_is_asked():
    assert told("bottom exposure 9000s") == {}
    assert asked("bottom exposure 9000s") == {("settings.burn_in_s", "ambiguous")}


def test_a_typing_error_is_put_right_and_two_in_one_word_are_asked():
    assert findings("shinny raft on the rigth") == {"glossy_raft@right"}
    assert asked("the raft dellaminaated") == {("delaminated_raft", "typo")}


def test_five_named_readings_are_taken():
    heard = hear("front left 0.9, front right 1.0, back left 1.1, back right 1.2, centre 1,05")
    assert heard.readings is not None
    assert (heard.readings.front_left, heard.readings.back_right, heard.readings.centre) == ((0.9,), (1.2,), (1.05,))


def test_five_bare_numbers_are_readings_only_where_coupons_are_spoken_of():
    assert hear("coupons: 0.98 1.02 1.31 1.28 1.10").readings is not None
    assert hear("0.98 1.02 1.31 1.28 1.10").readings is None
    assert hear("coupons: 0.98 1.02 1.31 1.28").readings is None


def test_what_was_not_understood_is_said():
    heard = hear("rafts are shiny, the moon was full. My cat sat on it.")
    assert [phrase.text for phrase in heard.unread] == ["the moon was full", "My cat sat on it"]


def test_nothing_heard_is_an_empty_report():
    assert to_report(hear("good morning everyone")) == Report()


# ---- hostile text -------------------------------------------------------------------------------------


def test_more_than_the_longest_message_is_refused():
    with pytest.raises(UnusableInput) as refused:
        hear("x" * 2001)
    assert refused.value.faults[0].code == "sentence_too_long"
    assert hear("x" * 2000).findings == ()


FRAGMENTS = st.sampled_from(
    [*(case.text for case in CASES[:60]), "\u202e", "İ", "ﬁ", "\x00", "raft ", "60s", "10x", "…", "\n", "𝟚", "\ud800"]
)


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.text(max_size=300), st.lists(FRAGMENTS, max_size=12).map("".join)))
def test_any_text_is_read_or_refused_and_quoted_verbatim(text):
    """No text raises anything but ``UnusableInput``; reading twice gives the same; every phrase is a slice."""
    try:
        heard = hear(text)
    except UnusableInput:
        assert len(text) > 2000
        return
    assert heard == hear(text)
    assert all(phrase.text == text[phrase.start : phrase.end] for phrase in phrases(heard))
    describe(heard, WORDS)
    to_report(heard)


# ---- the lexicon --------------------------------------------------------------------------------------


def test_the_lexicon_knows_every_finding_and_no_other():
    known = {rule.about for rules in LEXICON.rules.values() for rule in rules if rule.kind != "setting"}
    assert known == set(KNOWLEDGE.findings)


def test_every_place_of_a_lexicon_rule_exists():
    places = {rule.where for rules in LEXICON.rules.values() for rule in rules if rule.where}
    assert places <= set(KNOWLEDGE.places)


def test_a_lexicon_that_names_an_unknown_class_or_field_is_refused_with_every_fault():
    tables = {
        "classes": {"raft": ["raft"]},
        "ordinary": {"words": []},
        "units": {"burn_in_s": {"path": "settings.burn_in_s", "factors": {"s": 1}}},
        "findings": {"glossy_raft": {"seen": ["<raft> .. <shiny>"]}},
        "settings": [{"say": ["burn in {burn_in_h}"]}, {"say": [".. raft"]}],
    }
    with pytest.raises(UnusableKnowledge) as refused:
        build_sentence_lexicon(tables, "sentences_test.toml")
    assert [fault.code for fault in refused.value.faults] == ["lexicon_pattern"] * 3


def test_a_lexicon_without_a_table_is_refused():
    with pytest.raises(UnusableKnowledge):
        build_sentence_lexicon({"classes": {"raft": ["raft"]}}, "sentences_test.toml")


def test_a_no_before_words_that_were_not_understood_is_asked_about():
    """A "no X crack" never becomes a crack that is there."""
    heard = read_sentence("no weird cracks in the model", load_sentence_lexicon(), load_knowledge())
    assert heard.findings == ()
    assert all(one.about == "layer_cracks" for one in heard.unsure)


def test_what_was_denied_plainly_is_not_asked_about_again():
    heard = read_sentence("no layer cracks in the model", load_sentence_lexicon(), load_knowledge())
    assert [one.id for one in heard.absences] == ["layer_cracks"]
    assert heard.findings == ()
    assert heard.unsure == ()
