"""The longest answers of the real service through the real library: files, pictures, and nothing important cut."""

import re

import pytest
from stand_in import record
from stand_in.payloads import press, slash

from bot.discord_app.writing import escape
from core.commands import COMMANDS
from core.report import POSITIONS

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
    "why": {},
    "next": {},
    "help": {"topic": "straightedge"},
}


async def say(platform, name, options):
    return await (await platform.send(slash(name, options))).answer(20.0)


def spoken(answer) -> str:
    """Return all the text as a reader sees it, as one line."""
    return re.sub(r"\s+", " ", re.sub(r"\\([^0-9A-Za-z\s])", r"\1", answer.text))


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


async def ask_everything(platform):
    """Fill a case until nothing more can be said about it, and return the last answer about it."""
    for name in ("symptoms", "settings"):
        await say(platform, name, ASKED[name])
    await say(platform, "curve", {"squares": SQUARES})
    # A set of its own and not the same one put right, so that there is a history to draw.
    await say(platform, "readings", CROOKED | {position.value: "1.00" for position in POSITIONS})
    return await say(platform, "readings", CROOKED)


async def test_the_longest_verdict_keeps_conclusion_steps_warnings_and_cautions_in_full(workshop):
    """Lines may give way, yet never one that says what to do, what not to do, or what may hurt."""
    platform, overheard = workshop
    answer = await ask_everything(platform)
    card = overheard.cards[-1]
    assert {section.kind for section in card.sections} >= IMPORTANT | {"numbers", "why", "map"}
    assert len(card.pictures) == 2
    text = spoken(answer)
    assert re.search(r"… \d+ more lines? left out", text), "not long enough to try anything"
    assert as_seen(card.conclusion) in text
    for section in card.sections:
        for line in section.lines if section.kind in IMPORTANT else ():
            assert as_seen(line) in text


@pytest.mark.parametrize("name", [command.name for command in COMMANDS])
async def test_the_fullest_answer_of_every_command_fits_and_keeps_what_is_important(workshop, name):
    platform, overheard = workshop
    await ask_everything(platform)
    conversation = await platform.send(slash(name, ASKED[name]))
    answer = await conversation.answer(20.0)
    card = overheard.cards[-1]
    assert len(conversation.calls) == 1
    assert answer.type == record.MESSAGE
    assert card.tone != "fault"
    text = spoken(answer)
    for line in (card.conclusion, *(x for s in card.sections if s.kind in IMPORTANT for x in s.lines)):
        assert as_seen(line) in text
    assert answer.shown.get(record.GALLERY, []) == [picture.name for picture in card.pictures]
    assert answer.shown.get(record.FILE, []) == [file.name for file in card.files]


async def test_a_button_under_an_answer_with_files_works_and_the_message_stays(workshop):
    """Its files came along and are not here any more, so it could not be drawn again."""
    platform, overheard = workshop
    verdict = await say(platform, "readings", CROOKED)
    coupons = await say(platform, "coupons", {"plate": "150x85"})
    once = verdict.buttons["Why?"]["custom_id"].replace("pw1:", "pw1!:")
    pressed = await platform.send(press(coupons.data, once))
    answer = await pressed.answer(20.0)
    assert [call.type for call in pressed.calls] == [record.MESSAGE]
    assert spoken(answer).find(as_seen(overheard.cards[-1].conclusion)) >= 0
