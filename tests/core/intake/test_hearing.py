"""Reading a message in the language it is written in, whatever language the client has."""

import pytest

from core.errors import UnusableInput
from core.intake.hearing import hear_sentence, load_sentence_lexicons, sentence_languages
from core.intake.sentences import Heard, read_sentence
from core.knowledge import load_knowledge

KNOWLEDGE, LEXICONS = load_knowledge(), load_sentence_lexicons()


def hear(text: str, language: str) -> Heard:
    return hear_sentence(text, language, LEXICONS, KNOWLEDGE)


def findings(text: str, language: str) -> set[str]:
    return {f"{found.id}@{found.where}" for found in hear(text, language).findings}


@pytest.mark.parametrize(
    ("text", "language", "found"),
    [
        ("the rafts on the right are shiny", "en-GB", {"glossy_raft@right"}),
        ("the rafts on the right are shiny", "de", {"glossy_raft@right"}),
        ("shiny raft back left, nothing sticks there", "de", {"glossy_raft@back_left", "missing_parts@back_left"}),
        ("the film is cloudy", "de", {"clouded_film@unknown"}),
        ("die Rafts rechts glänzen", "de", {"glossy_raft@right"}),
        ("die Rafts rechts glänzen", "de-AT", {"glossy_raft@right"}),
        ("die Rafts rechts glänzen", "en-US", {"glossy_raft@right"}),
        ("Stützen vorne links abgerissen", "fr", {"torn_supports@front_left"}),
        ("supports broke on the left", "fr", {"torn_supports@left"}),
    ],
)
def test_a_message_is_understood_in_a_client_of_another_language(text, language, found):
    assert findings(text, language) == found


def test_what_makes_sense_in_part_is_read_in_the_language_that_leaves_less_unread():
    """The numbers alone make sense in either language; the rest only in one."""
    heard = hear("bottom 10 x 60s, rafts are shiny on the left", "de")
    assert {found.id for found in heard.findings} == {"glossy_raft"}
    assert {setting.field for setting in heard.settings} == {"settings.burn_in_layers", "settings.burn_in_s"}


@pytest.mark.parametrize(
    "text",
    ["wenn das Raft delaminated ist", "kann das Raft glossy sein?", "soll der FEP cloudy sein?"],
)
def test_a_question_with_foreign_words_is_no_statement_of_the_other_language(text):
    assert hear(text, "de").findings == ()


@pytest.mark.parametrize("language", sentence_languages())
def test_the_askers_own_language_is_kept_where_another_says_no_more(language):
    text = {"en": "the raft is shiny on the left", "de": "das Raft glänzt links"}[language]
    assert hear(text, language) == read_sentence(text, LEXICONS[language], KNOWLEDGE)


def test_what_says_nothing_in_any_language_is_unread_in_the_askers():
    text = "bonjour à tous"
    assert hear(text, "de") == read_sentence(text, LEXICONS["de"], KNOWLEDGE)
    assert hear(text, "de").findings == ()


def test_more_than_the_longest_message_is_refused_in_every_language():
    for language in (*LEXICONS, "fr"):
        with pytest.raises(UnusableInput):
            hear("x" * 2001, language)
