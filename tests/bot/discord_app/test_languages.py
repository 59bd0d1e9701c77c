"""What somebody reads here is in the language of their own client: commands, forms, refusals, suggestions."""

import pytest
from stand_in.invented import FileMemory, texts
from stand_in.typing_in import LABEL

from bot.discord_app.client import PlatewrightClient
from bot.discord_app.translation import WordsTranslator, localised
from core.card import Card
from core.words import Words

GERMAN = texts()["de"]


def below(command) -> list[dict]:
    """Return a command and everything in it that has a description."""
    return [command, *(one for option in command.get("options") or [] for one in below(option))]


async def test_everything_people_read_of_a_command_is_registered_in_german_and_its_name_is_not(connected, words):
    (commands,) = connected.platform.registrations
    for command in commands:
        if command["type"] == 3:
            assert command["name_localizations"]["de"] == GERMAN.say(f"commands.{command['name'].lower()}.menu")
            continue
        for one in below(command):
            assert one["description_localizations"]["de"], one["name"]
            assert one["description_localizations"]["de"] != one["description"]
            assert not one.get("name_localizations"), one["name"]
            for choice in one.get("choices") or []:
                same = (key for key, text in words.texts.items() if text == choice["name"])
                labels = {key for key in same if key.startswith("choices.")}
                named = choice.get("name_localizations", {}).get("de", choice["name"])
                assert named in {GERMAN.say(key) for key in labels}


async def test_a_language_without_texts_gets_the_registered_ones(connected):
    (commands,) = connected.platform.registrations
    assert all("fr" not in one["description_localizations"] for one in below(commands[0]))


async def test_a_changed_translation_is_registered_anew(connected, tmp_path):
    """What was registered is remembered with its translations."""
    german = Words("de", {**GERMAN.texts, "commands.why.description": "Warum das so ist."})
    changed = PlatewrightClient(
        desk=connected.desk,
        words=texts()["en"],
        languages={**texts(), "de": german},
        suggest=lambda _choices, _typed, _language: [],
        memory=FileMemory(tmp_path / "memory.json"),
    )
    changed._connection.application_id = connected.client.application_id
    await changed.tree.set_translator(changed._translator)
    before = await connected.client._digest()
    assert await changed._digest() != before
    changed._translator = WordsTranslator(texts())
    assert await changed._digest() == before


async def test_a_text_that_is_the_same_needs_no_translation(words):
    said = localised(words, "commands.why.description")
    same = WordsTranslator({"en": words})
    assert await same.translate(said, "en-GB", None) is None


async def test_a_form_is_in_the_persons_language(connected):
    wren = connected.platform.person("wren", locale="de")
    form = (await wren.types("/readings")).form
    assert form.title == GERMAN.say("commands.readings.form.title")
    assert "Vorne links" in next(iter(form.fields))


async def test_a_refusal_and_a_failure_are_in_the_persons_language(connected):
    wren, jay = (connected.platform.person(name, locale="de") for name in ("wren", "jay"))
    verdict = await wren.types("/readings", centre="1.10")
    assert GERMAN.say("discord.presses.not_yours")[:20] in (await jay.presses(verdict, "Why?")).text
    assert GERMAN.say("discord.failures.title") in (await wren.types("/readings", nominal="bug")).text
    assert "nicht mehr" in (await wren.forges_press(verdict, "pw1:1:why:")).text


async def test_what_the_front_end_adds_is_in_the_language_of_the_card(connected):
    """A community may have one language for everybody."""
    connected.answerer.card = Card(title="T", conclusion="C", tone="act", language="de")
    wren = connected.platform.person("wren", locale="en-GB")
    assert GERMAN.say("discord.tones.act") in (await wren.types("/readings", centre="1.10")).text


@pytest.mark.parametrize("locale", ["de", "en-GB"])
async def test_suggestions_are_in_the_persons_language(workshop, locale):
    platform, _ = workshop
    wren = platform.person("wren", locale=locale)
    offered = await wren.looks_up("/symptoms", "seen", "glossy")
    assert offered[0] == (texts()[locale[:2]].say("findings.glossy_raft.name"), "glossy_raft")
    causes = await platform.person("robin", locale=locale).looks_up("/case confirm", "cause", "tilt")
    assert causes[0][1] == "tilt"


async def test_the_symptoms_form_offers_every_finding_and_place_by_name_and_keeps_what_was_chosen(workshop):
    platform, overheard = workshop
    wren = platform.person("wren", locale="de")
    form = (await wren.types("/symptoms")).form
    seen, where, _, own = form.fields.values()
    assert len(seen["options"]) == len([key for key, _ in GERMAN.under("findings") if key.endswith(".name")])
    assert {option["label"] for option in where["options"]} >= {GERMAN.say("places.right"), GERMAN.say("places.edges")}
    assert (own["type"], own["style"], own["required"]) == (4, 2, False)
    assert all(part["type"] == LABEL for part in form.data["components"])
    said = await wren.fills(form, seen=["glossy_raft", "stuck_fast"], where=["right", "back"], absent=["loud_peel"])
    assert overheard.cards[-1].standing is not None
    assert said.message.attachments == []
    assert not said.private


async def test_own_words_beside_the_list_are_asked_about_and_both_are_kept(workshop):
    platform, overheard = workshop
    wren = platform.person("wren")
    form = await wren.types("/symptoms")
    question = await wren.fills(form, seen=["stuck_fast"], text="the raft on the right is shiny, no supports on it")
    assert question.private
    await wren.presses(question, "Yes, add this")
    told = " ".join(line for section in overheard.cards[-1].sections for line in section.lines)
    assert overheard.cards[-1].standing is not None
    assert told


async def test_a_form_of_which_nothing_was_filled_in_is_told_so(workshop):
    platform, _ = workshop
    wren = platform.person("wren")
    said = await wren.fills(await wren.types("/symptoms"))
    assert said.private
    assert "nothing was given" in said.text


@pytest.mark.parametrize(
    "custom_id",
    [
        "form",
        "form:",
        "form:why",
        "form:erase",
        "form:readings:",
        "form:readings:x",
        "form:readings:0",
        "form:readings:1:2",
        "form:readings:#1",
        "form:readings:1234567890",
        "Form:readings",
        "",
    ],
)
async def test_a_form_nobody_here_wrote_is_refused_kindly_and_asks_nothing(connected, custom_id):
    said = await connected.platform.person("wren").forges_form(custom_id, {"centre": "1.0"})
    assert said.private
    assert "Nothing happened" in said.text
    assert connected.answerer.heard == []
