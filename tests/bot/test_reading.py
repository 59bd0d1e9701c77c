"""``platewright read`` in more than one language."""

import json

import pytest

from bot.__main__ import ANSWERED, UNUSABLE, main

GERMAN = "Rafts glänzen hinten rechts, Risse hab ich keine, 6 Anfangsschichten mit je 35,5 s"
READ = {
    "findings": [{"id": "glossy_raft", "where": "back_right"}],
    "absent": ["layer_cracks"],
    "burn_in": (6, 35.5),
}


@pytest.mark.parametrize("language", ["de", "en"])
def test_a_german_sentence_is_read_whichever_language_is_named(capsys, language):
    assert main(["read", "--json", "--language", language, GERMAN]) == ANSWERED
    heard = json.loads(capsys.readouterr().out)
    assert heard["findings"] == READ["findings"]
    assert heard["absent"] == READ["absent"]
    assert (heard["settings"]["burn_in_layers"], heard["settings"]["burn_in_s"]) == READ["burn_in"]
    assert heard["unread"] == heard["unsure"] == []


def test_an_english_sentence_is_read_in_a_german_client(capsys):
    assert main(["read", "--language", "de", "the raft is shiny on the left"]) == ANSWERED
    assert "the raft is shiny on the left" in capsys.readouterr().out


def test_a_language_there_is_no_lexicon_for_is_refused(capsys):
    assert main(["read", "--language", "tlh", "nuqneH"]) == UNUSABLE
    assert "--language" in capsys.readouterr().err
