"""The longest answers of the real service through the real library: files, pictures, and nothing important cut."""

import re

import pytest
from stand_in import record
from stand_in.answers import Said
from stand_in.invented import texts
from stand_in.limits import walk
from stand_in.payloads import slash

from bot.discord_app.presses import identify
from bot.discord_app.writing import escape
from core.card import Action
from core.commands import COMMANDS
from core.report import POSITIONS
from core.words import languages

CROOKED = {"front_left": "0.98", "front_right": "1.02", "back_left": "1.31", "back_right": "1.28", "centre": "1.30"}
EVERYTHING_SET = {
    "burn_in_layers": "12",
    "burn_in": "60",
    "exposure": "2.6",
    "layer_height": "0.05",
    "transition_layers": "0",
    "rest": "0",
    "lift": "240",
    "raised_exposure": "yes",
    "raft_style": "solid",
    "raft_area": "9000",
    "raft_sliced": "0.8",
    "raft_measured": "0.5",
    "temperature": "15",
    "viscosity": "0.9",
    "homing": "probe",
    "plate": "150x85",
    "thread": "M4",
    "adjusters": "four_screws",
}
SQUARES = "2 0.21, 4 0.32, 8 0.42, 16 0.53, 32 0.63"
IMPORTANT = {"do", "avoid", "cautions"}

ASKED = {
    "readings": CROOKED,
    "symptoms": {"seen": "glossy_raft, missing_parts, delaminated_raft, stuck_fast", "where": "right"},
    "settings": EVERYTHING_SET,
    "coupons": {"plate": "150x85"},
    "screws": {"thread": "M4", "adjusters": "four_screws"},
    "curve": {"squares": SQUARES},
    "case show": {"case": "1"},
    "case note": {"case": "1", "text": "seen in the workshop: " + "the film is clouded. " * 40, "cause": "tilt"},
    "case claim": {"case": "1"},
    "case release": {"case": "1"},
    "case confirm": {"case": "1", "cause": "tilt"},
    "my-data erase": {},
    "help": {"topic": "straightedge"},
}
LAST = ("case outcome", "case close")
"""They end the case, and so come after all others."""
LANGUAGES = languages()


def spoken(answer) -> str:
    """Return all the text as a reader sees it, as one line."""
    text = answer.everything if isinstance(answer, Said) else answer.text
    return re.sub(r"\s+", " ", re.sub(r"\\([^0-9A-Za-z\s])", r"\1", text))


def as_seen(line: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"\\([^0-9A-Za-z\s])", r"\1", escape(line)))


async def test_a_coupon_set_is_one_message_with_its_picture_and_two_files(workshop):
    platform, overheard = workshop
    conversation = await platform.send(slash("coupons", {"plate": "150x85"}))
    answer = await conversation.answer(20.0)
    assert [call.type for call in conversation.calls] == [record.MESSAGE]
    stl, threemf = overheard.cards[0].files
    (picture,) = overheard.cards[0].pictures
    assert answer.shown == {record.GALLERY: [picture.name], record.FILE: ["coupons-150x85.stl", "coupons-150x85.3mf"]}
    assert answer.files == {picture.name: picture.png, stl.name: stl.content, threemf.name: threemf.content}
    described = {one["filename"]: one.get("description") for one in answer.data["attachments"]}
    assert described == {picture.name: picture.alt, stl.name: None, threemf.name: None}
    assert len(picture.alt) > 20
    assert "Missing here" not in answer.text


async def ask_everything(person):
    """Fill a case until nothing more can be said about it, and return the last answer about it."""
    for name in ("symptoms", "settings", "curve"):
        await person.types(f"/{name}", **ASKED[name])
    # A set of its own and not the same one put right, so that there is a history to draw.
    await person.types("/readings", **CROOKED | {position.value: "1.00" for position in POSITIONS})
    return await person.types("/readings", **CROOKED)


@pytest.mark.parametrize("language", LANGUAGES)
async def test_the_longest_verdict_keeps_conclusion_steps_warnings_cautions_and_buttons_in_full(workshop, language):
    """Lines may give way, yet never one that says what to do, what not to do, or what may hurt; nor a button."""
    platform, overheard = workshop
    answer = await ask_everything(platform.person("wren", locale=language))
    card = overheard.cards[-1]
    assert card.language == language
    assert {section.kind for section in card.sections} >= IMPORTANT | {"numbers", "why", "map"}
    assert len(card.pictures) == 2
    text = spoken(answer)
    words = texts()[language]
    left_out = re.escape(words.say("discord.more", count=99)).replace("99", r"\d+")
    assert re.search(f"{left_out}|{re.escape(words.say('discord.one_more'))}", text), "not long enough to try anything"
    assert as_seen(card.conclusion) in text
    for section in card.sections:
        for line in section.lines if section.kind in IMPORTANT else ():
            assert as_seen(line) in text
    first = answer.messages[0]
    shown = [one for one in walk(first.data["components"]) if one["type"] == 1]
    rows = [[button["label"] for button in row["components"]] for row in shown]
    labels = [action.label for action in card.actions]
    assert rows == [labels[:3], labels[3:-2], labels[-2:]]
    assert len(list(walk(first.data["components"]))) <= 40


@pytest.mark.parametrize("language", LANGUAGES)
async def test_the_fullest_answer_of_every_command_fits_and_keeps_what_is_important(workshop, language):
    platform, overheard = workshop
    wren, keeper = (
        platform.person(name, locale=language, administrator=name == "keeper") for name in ("wren", "keeper")
    )
    await ask_everything(wren)
    typed = [command for command in COMMANDS if not command.menu and command.name not in LAST]
    for command in (*typed, *(one for one in COMMANDS if one.name in LAST)):
        platform.pass_time(60)
        person = wren if command.who == "everyone" else keeper
        said = await person.types(f"/{command.name}", **ASKED.get(command.name, {}))
        if said.asks:
            continue
        card, text = overheard.cards[-1], spoken(said)
        assert (command.name, card.tone == "fault") == (command.name, command.name == "case outcome")
        for line in (card.conclusion, *(x for s in card.sections if s.kind in IMPORTANT for x in s.lines)):
            assert as_seen(line) in text, command.name
        last = said.conversation.calls[0]
        assert last.shown.get(record.GALLERY, []) == [picture.name for picture in card.pictures]
        assert last.shown.get(record.FILE, []) == [file.name for file in card.files]


async def test_a_button_under_an_answer_with_files_works_and_the_message_stays(workshop):
    """Its files came along and are not here any more, so it could not be drawn again."""
    platform, overheard = workshop
    wren = platform.person("wren")
    await wren.types("/readings", **CROOKED)
    coupons = await wren.types("/coupons", plate="150x85")
    once = identify(Action("Why?", "why", once=True), int(wren.id), COMMANDS)
    pressed = await wren.forges_press(coupons, once)
    assert [call.type for call in pressed.conversation.calls] == [record.MESSAGE]
    assert as_seen(overheard.cards[-1].conclusion) in spoken(pressed)
