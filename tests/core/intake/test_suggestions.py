"""What is offered while typing: official names to choose, found by the words people use."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UnusableKnowledge
from core.intake.hearing import load_sentence_lexicons
from core.intake.suggestion_lists import build_suggestions, load_called
from core.intake.suggestions import (
    LONGEST_LABEL,
    LONGEST_VALUE,
    MOST,
    MOST_PIECES,
    SEPARATORS,
    Entry,
    build_list,
    suggest,
)
from core.knowledge import load_knowledge
from core.words import load_words

KNOWLEDGE, LEXICONS = load_knowledge(), load_sentence_lexicons()
CALLED = {language: load_called(language) for language in LEXICONS}
WORDS = {language: load_words(language) for language in LEXICONS}
LISTS = {language: build_suggestions(WORDS[language], KNOWLEDGE, CALLED, LEXICONS) for language in LEXICONS}


def offered(language: str, choices: str, typed: str) -> list[str]:
    return [value for _, value in suggest(typed, LISTS[language][choices])]


TYPED = [
    ("en", "findings", "shiny", "glossy_raft"),
    ("en", "findings", "Glass", "glossy_raft"),
    ("en", "findings", "gloss", "glossy_raft"),
    ("en", "findings", "a glossy raft without supports", "glossy_raft"),
    ("en", "findings", "fell off", "missing_parts"),
    ("en", "findings", "elephant foot", "flared_base"),
    ("en", "findings", "elephant-foot", "flared_base"),
    ("en", "findings", "raft thin", "thin_raft"),
    ("en", "findings", "thin raft", "thin_raft"),
    ("en", "findings", "thick", "thick_raft"),
    ("en", "findings", "cut supports", "clipped_supports"),
    ("en", "findings", "puff pastry", "delaminated_raft"),
    ("en", "findings", "warp", "curled_edges"),
    ("en", "findings", "stuck to plate", "stuck_fast"),
    ("en", "findings", "supports snapped", "torn_supports"),
    ("en", "findings", "crack", "layer_cracks"),
    ("en", "findings", "gumy", "soft_parts"),
    ("en", "findings", "holes", "bloated_detail"),
    ("en", "findings", "weak spot", "weak_zone"),
    ("en", "findings", "bang", "loud_peel"),
    ("en", "findings", "milky", "clouded_film"),
    ("en", "findings", "different spot", "moving_failures"),
    ("en", "findings", "bits in the vat", "floating_scraps"),
    ("en", "findings", "streaks", "colour_streaks"),
    ("en", "findings", "blew out", "burst_hollow"),
    ("en", "findings", "everything stopped", "common_stop"),
    ("en", "findings", "light in the middle", "light_gap_centre"),
    ("en", "findings", "ruler rocks", "light_gap_rim"),
    ("en", "findings", "paper", "uneven_drag"),
    ("en", "places", "right side", "right"),
    ("en", "places", "right", "right"),
    ("en", "places", "front", "front"),
    ("en", "places", "left front", "front_left"),
    ("en", "places", "far corner", "back_left"),
    ("en", "places", "far side", "back"),
    ("en", "places", "middle", "centre"),
    ("en", "places", "rim", "edges"),
    ("en", "places", "all over", "everywhere"),
    ("en", "places", "random", "scattered"),
    ("en", "places", "dunno", "unknown"),
    ("en", "causes", "crooked", "tilt"),
    ("en", "causes", "underexposed", "exposure_short"),
    ("en", "causes", "greasy", "plate_dirty"),
    ("en", "causes", "cold", "resin_cold"),
    ("en", "remedies", "shake", "mix_resin"),
    ("en", "remedies", "new film", "replace_film"),
    ("en", "remedies", "level", "level_plate"),
    ("en", "guides", "ruler", "straightedge"),
    ("en", "guides", "hinge", "level_two_screws"),
    ("de", "findings", "glänzend", "glossy_raft"),
    ("de", "findings", "glaenz", "glossy_raft"),
    ("de", "findings", "glänzned", "glossy_raft"),
    ("de", "findings", "Glas", "glossy_raft"),
    ("de", "findings", "abgeschnitten", "clipped_supports"),
    ("de", "findings", "raft dünn", "thin_raft"),
    ("de", "findings", "raft zu dick", "thick_raft"),
    ("de", "findings", "Blätterteig", "delaminated_raft"),
    ("de", "findings", "abgefallen", "missing_parts"),
    ("de", "findings", "nichts haftet", "missing_parts"),
    ("de", "findings", "Ecken heben sich", "curled_edges"),
    ("de", "findings", "elefantenfuss", "flared_base"),
    ("de", "findings", "geht nicht ab", "stuck_fast"),
    ("de", "findings", "Stützen gerissen", "torn_supports"),
    ("de", "findings", "Risse", "layer_cracks"),
    ("de", "findings", "klebrig", "soft_parts"),
    ("de", "findings", "loecher", "bloated_detail"),
    ("de", "findings", "immer dieselbe Stelle", "weak_zone"),
    ("de", "findings", "knall", "loud_peel"),
    ("de", "findings", "trüb", "clouded_film"),
    ("de", "findings", "jedes Mal woanders", "moving_failures"),
    ("de", "findings", "krümel", "floating_scraps"),
    ("de", "findings", "schlieren", "colour_streaks"),
    ("de", "findings", "geplatzt", "burst_hollow"),
    ("de", "findings", "alles hört auf", "common_stop"),
    ("de", "findings", "Licht in der Mitte", "light_gap_centre"),
    ("de", "findings", "kippelt", "light_gap_rim"),
    ("de", "findings", "Papiertest", "uneven_drag"),
    ("de", "findings", "elephant foot", "flared_base"),
    ("de", "places", "rechte Seite", "right"),
    ("de", "places", "rechts", "right"),
    ("de", "places", "links vorne", "front_left"),
    ("de", "places", "entfernte ecke", "back_left"),
    ("de", "places", "mitte", "centre"),
    ("de", "places", "raender", "edges"),
    ("de", "places", "ganze Platte", "everywhere"),
    ("de", "causes", "schief", "tilt"),
    ("de", "causes", "unterbelichtet", "exposure_short"),
    ("de", "remedies", "schütteln", "mix_resin"),
    ("de", "remedies", "leveln", "level_plate"),
    ("de", "guides", "Lineal", "straightedge"),
]


@pytest.mark.parametrize(("language", "choices", "typed", "first"), TYPED)
def test_what_people_call_it_comes_first(language, choices, typed, first):
    assert offered(language, choices, typed)[0] == first


@pytest.mark.parametrize("language", LISTS)
def test_nothing_typed_offers_all_in_the_order_of_the_data(language):
    lists = LISTS[language]
    assert offered(language, "findings", "  ") == list(KNOWLEDGE.findings)[:MOST]
    assert offered(language, "causes", "") == list(KNOWLEDGE.causes)[:MOST]
    assert offered(language, "remedies", "") == list(KNOWLEDGE.remedies)[:MOST]
    assert offered(language, "places", "") == [*KNOWLEDGE.places, "unknown"]
    assert set(offered(language, "guides", "")) == set(KNOWLEDGE.guides)
    assert all(len(one.entries) <= MOST for one in lists.values()), "an entry could only be found by typing"


@pytest.mark.parametrize("language", LISTS)
def test_what_is_like_nothing_offers_all(language):
    assert offered(language, "findings", "qqqzzzxxx") == offered(language, "findings", "")


@pytest.mark.parametrize("language", LISTS)
def test_every_entry_is_found_by_its_official_name_and_its_identifier(language):
    for choices, one in LISTS[language].items():
        for entry in one.entries:
            # A name may hold commas, at which several names in one option would be parted.
            assert offered(language, choices, entry.label)[0] == entry.id
            assert offered(language, choices, entry.id)[0] == entry.id


@pytest.mark.parametrize("language", LISTS)
def test_the_label_is_the_official_name_in_the_askers_language(language):
    say = WORDS[language].say
    ((label, value), *_) = suggest("elephant foot", LISTS[language]["findings"])
    assert (label, value) == (say("findings.flared_base.name"), "flared_base")
    assert suggest("centre", LISTS[language]["places"])[0] == (say("places.centre"), "centre")


@pytest.mark.parametrize("language", LISTS)
def test_what_people_call_things_is_said_of_entries_that_exist_and_of_all_of_them(language):
    for choices, called in CALLED[language].items():
        assert set(called) == {entry.id for entry in LISTS[language][choices].entries}
    assert set(CALLED[language]) == set(LISTS[language])


@pytest.mark.parametrize("language", LISTS)
def test_no_name_has_more_separators_than_are_looked_for(language):
    for one in LISTS[language].values():
        for entry in one.entries:
            assert sum(entry.label.count(sign) for sign in SEPARATORS) < MOST_PIECES


def test_a_lexicon_of_names_that_does_not_exist_is_refused():
    with pytest.raises(UnusableKnowledge):
        load_called("tlh")


# ---- several in one option ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("glossy_raft, thin", "glossy_raft, thin_raft"),
        ("glossy_raft,thin", "glossy_raft, thin_raft"),
        ("shiny; elephant foot", "glossy_raft, flared_base"),
        ("a glossy raft without supports, soft", "glossy_raft, soft_parts"),
        ("soft, gummy parts, warp", "soft_parts, curled_edges"),
        ("a strange thing, warp", "a strange thing, curled_edges"),
        ("thin_raft, thick_raft, milky", "thin_raft, thick_raft, clouded_film"),
    ],
)
def test_the_last_of_several_is_completed_and_the_earlier_are_kept(typed, first):
    assert offered("en", "findings", typed)[0] == first


def test_what_is_already_chosen_is_not_offered_again():
    values = offered("en", "places", "left, ")
    assert values[0] == "left, everywhere"
    assert "left, left" not in values


def test_a_list_too_long_to_be_carried_is_not_offered():
    typed = "delaminated_raft, clipped_supports, colour_streaks, floating_scraps, moving_failures"
    values = offered("en", "findings", f"{typed}, ")
    assert values
    assert all(len(value) <= LONGEST_VALUE for value in values)
    assert f"{typed}, thin_raft" in values
    assert f"{typed}, light_gap_centre" not in values


def test_a_cause_is_one_and_a_comma_parts_nothing():
    assert offered("en", "causes", "tilt, greasy")[0] in {"tilt", "plate_dirty"}
    assert not any("," in value for value in offered("en", "causes", "tilt, greasy"))


# ---- rules --------------------------------------------------------------------------------------------


def test_a_whole_word_comes_before_its_beginning_and_that_before_a_slip():
    entries = [
        Entry("slip", "the glas one"),
        Entry("start", "the glassy one"),
        Entry("word", "the glass one"),
    ]
    assert [value for _, value in suggest("glass", build_list(entries, {}))][:2] == ["word", "start"]
    assert next(value for _, value in suggest("glaxs", build_list(entries, {}))) in {"word", "slip"}


def test_a_word_of_many_entries_tells_less_than_a_word_of_one():
    entries = [*(Entry(f"raft_{number}", f"raft {number}") for number in range(5)), Entry("thin", "thin thing")]
    assert suggest("raft thin", build_list(entries, {}))[0][1] == "thin"


@pytest.mark.parametrize("language", LISTS)
def test_after_several_choices_the_next_ones_can_still_be_told_apart(language):
    chosen = ", ".join(list(KNOWLEDGE.findings)[:4])
    labels = [label for label, _ in suggest(f"{chosen}, ", LISTS[language]["findings"])]
    assert len(labels) > 10
    assert len(set(labels)) == len(labels)
    assert all(len(label) <= LONGEST_LABEL for label in labels)


@settings(max_examples=100, deadline=None)
@given(st.one_of(st.text(max_size=200), st.lists(st.sampled_from(["shiny", ",", ";", "links", "ß", "\x00", "İ", " "]))))
def test_any_text_gets_suggestions_that_keep_the_limits(typed):
    text = typed if isinstance(typed, str) else "".join(typed)
    for choices, one in LISTS["de"].items():
        pairs = suggest(text, one)
        assert pairs == suggest(text, one)
        assert len(pairs) <= MOST, choices
        assert len({value for _, value in pairs}) == len(pairs)
        assert all(label and 0 < len(value) <= LONGEST_VALUE for label, value in pairs)
