"""The setting decides which language is spoken, then the locale, and English where neither says one there is."""

import pytest

from bot.language import choose_language
from core.errors import UnusableInput
from core.words import languages, load_words

BOTH = ("de", "en")


@pytest.mark.parametrize(
    ("environment", "expected"),
    [
        pytest.param({}, "en", id="nothing said"),
        pytest.param({"PLATEWRIGHT_LANGUAGE": "de"}, "de", id="the setting"),
        pytest.param({"PLATEWRIGHT_LANGUAGE": " DE "}, "de", id="the setting in capitals"),
        pytest.param({"PLATEWRIGHT_LANGUAGE": "de-AT"}, "de", id="the setting with a country"),
        pytest.param({"PLATEWRIGHT_LANGUAGE": "en", "LC_ALL": "de_DE.UTF-8"}, "en", id="the setting before the locale"),
        pytest.param({"PLATEWRIGHT_LANGUAGE": "", "LANG": "de_DE.UTF-8"}, "de", id="an empty setting is none"),
        pytest.param({"LANG": "de_DE.UTF-8"}, "de", id="the locale"),
        pytest.param({"LANG": "de"}, "de", id="a bare locale"),
        pytest.param({"LANG": "de_CH@euro"}, "de", id="a locale with a modifier"),
        pytest.param({"LC_ALL": "en_GB.UTF-8", "LC_MESSAGES": "de_DE", "LANG": "de_DE"}, "en", id="LC_ALL is first"),
        pytest.param({"LC_MESSAGES": "de_DE.UTF-8", "LANG": "en_US.UTF-8"}, "de", id="LC_MESSAGES before LANG"),
        pytest.param({"LC_ALL": "", "LANG": "de_DE"}, "de", id="an empty variable is not set"),
        pytest.param({"LC_ALL": "C.UTF-8", "LANG": "de_DE"}, "en", id="the C locale is English"),
        pytest.param({"LC_ALL": "POSIX"}, "en", id="the POSIX locale is English"),
        pytest.param({"LANG": "fr_FR.UTF-8"}, "en", id="a locale there are no texts for"),
        pytest.param({"LC_CTYPE": "de_DE.UTF-8"}, "en", id="how characters are coded is no language"),
    ],
)
def test_the_language_of_the_command_line(environment, expected):
    """POSIX.1-2017, Base Definitions, 8.2: LC_ALL, then the category, then LANG; an empty one counts as not set."""
    assert choose_language(environment, BOTH) == expected


def test_a_setting_there_are_no_texts_for_is_refused_with_those_there_are():
    with pytest.raises(UnusableInput) as refusal:
        choose_language({"PLATEWRIGHT_LANGUAGE": "tlh", "LANG": "de_DE"}, BOTH)
    (fault,) = refusal.value.faults
    assert load_words().fault(fault) == "PLATEWRIGHT_LANGUAGE: there is no language tlh. Accepted: de, en."


def test_the_languages_are_those_that_have_a_folder():
    assert languages() == ("de", "en")
    assert all(load_words(language).language == language for language in languages())
