"""Cards laid out within the platform's limits, judged by the stand-in's tables, not the renderer's own numbers."""

import asyncio
import re
from functools import cache
from typing import get_args

import discord
import pytest
from hostile_text import mentioning, text
from hypothesis import example, given, settings
from hypothesis import strategies as st
from stand_in.limits import COMPONENTS_V2, faults_of_message
from stand_in.schema import faults_by_description

from bot.discord_app.outbound import attach, draw
from bot.discord_app.render import render
from bot.discord_app.writing import escape
from core.card import Action, Attachment, Card, Picture, Section, SectionKind, Tone
from core.commands import COMMANDS
from core.words import Words, load_words


@cache
def words() -> Words:
    """Hypothesis asks for an example at a time, the words stay the same."""
    return load_words()


ASKER = 900000000000000001
ROOM = 10 * 1024 * 1024
ESCAPE = re.compile(r"\\([^0-9A-Za-z\s])")

sections = st.builds(
    Section,
    kind=st.sampled_from(get_args(SectionKind)),
    heading=text,
    lines=st.lists(text | mentioning, max_size=30).map(tuple),
)
file_names = text | st.sampled_from(
    ["a.png", "A.PNG", "a-2.png", "b.stl", "../b.stl", "c:\\\\b.stl", "SPOILER_b.stl", ".", "x" * 90, "b." + "x" * 90]
)
pictures = st.builds(Picture, name=file_names, png=st.binary(max_size=20), alt=st.text(max_size=3000))
attachments = st.builds(Attachment, name=file_names, content=st.binary(max_size=20))
names = st.sampled_from([command.name for command in COMMANDS]) | text
option_names = st.sampled_from([option.name for command in COMMANDS for option in command.options]) | text
actions = st.builds(
    Action,
    label=text,
    command=names,
    options=st.dictionaries(option_names, st.text(max_size=40), max_size=4),
) | st.builds(
    Action,
    label=st.just("Say yes"),
    command=st.just("symptoms"),
    options=st.dictionaries(
        st.sampled_from(["seen", "where", "absent", "confirm"]), st.text("abc", min_size=1, max_size=9), max_size=4
    ),
)
cards = st.builds(
    Card,
    title=text,
    conclusion=text,
    sections=st.lists(sections, max_size=50).map(tuple),
    pictures=st.lists(pictures, max_size=12).map(tuple),
    tone=st.sampled_from(get_args(Tone)),
    private=st.booleans(),
    footer=text,
    files=st.lists(attachments, max_size=12).map(tuple),
    actions=st.lists(actions, max_size=40).map(tuple),
)


async def bodies(card: Card, most_bytes: int = ROOM):
    """Return what would be sent: body and files of each message."""
    found = []
    for message in render(card, words(), most_bytes, ASKER):
        files = attach(message)
        with discord.http.handle_message_parameters(
            view=draw(message), files=files, flags=discord.MessageFlags(components_v2=True)
        ) as parameters:
            payload = parameters.payload
            if payload is None:
                payload = discord.utils._from_json(parameters.multipart[0]["value"])
        found.append((payload, {file.filename: file.fp.read() for file in files}))
    return found


def written(payload) -> str:
    """Return all text of a message as a reader sees it, apart from headings and list marks."""
    texts = [one["content"] for one in payload["components"][0]["components"] if one["type"] == 10]
    return ESCAPE.sub(r"\1", "\n".join(texts)).replace("\u200b", "")


@settings(max_examples=150, deadline=None)
@given(cards, st.integers(0, 200))
@example(Card(title="", conclusion=""), ROOM)
@example(
    Card(
        title="t" * 5000,
        conclusion="*" * 9000,
        sections=tuple(Section(kind, "h" * 900, ("🧪*" * 800,) * 40) for kind in get_args(SectionKind) * 6),
        footer="f" * 5000,
        pictures=(Picture("a.png", b"x", "alt " * 2000),) * 14,
        files=(Attachment("a.png", b"x"),) * 14,
        actions=tuple(Action("b" * 200, "symptoms", {"seen": f"raft {n}"}) for n in range(40)),
    ),
    ROOM,
)
def test_no_card_breaks_a_documented_limit(card, most_bytes):
    for payload, files in asyncio.run(bodies(card, most_bytes)):
        assert faults_of_message(payload, files) == []
        assert sum(map(len, files.values())) <= most_bytes
        assert faults_by_description("IncomingWebhookRequestPartial", payload) == []


@settings(max_examples=60, deadline=None)
@given(cards)
def test_every_caution_is_said_in_full_however_long_the_card(card):
    whole = "".join(written(payload) for payload, _ in asyncio.run(bodies(card)))
    said = re.sub(r"\s", "", whole)
    for section in card.sections:
        for line in section.lines if section.kind == "cautions" else ():
            shown = ESCAPE.sub(r"\1", escape(line)).replace("\u200b", "")
            assert re.sub(r"\s", "", shown) in said


def attached(payload) -> list[str]:
    """Return the names of the files shown as files, in order."""
    shown = payload["components"][0]["components"]
    return [one["file"]["url"].removeprefix("attachment://") for one in shown if one["type"] == 13]


@settings(max_examples=100, deadline=None)
@given(cards, st.integers(0, 200))
def test_every_file_is_sent_as_it_is_or_said_to_be_missing(card, most_bytes):
    """However long the card: the line about missing files does not give way."""
    (payload, sent), *_ = asyncio.run(bodies(card, most_bytes))
    kept = [sent[name] for name in attached(payload)]
    rest = iter(card.files)
    assert all(any(file.content == content for file in rest) for content in kept)
    missing = len(card.files) - len(kept)
    (said, *none) = re.findall(r"Missing here, because .*: (.*)\. Whoever", written(payload)) or [""]
    assert none == []
    counted = re.search(r"(\d+) more$", said)
    named = re.split(r", | and ", said) if said else []
    assert len(named) - bool(counted) + (int(counted[1]) if counted else 0) == missing


def test_the_least_important_goes_first_and_the_message_says_so():
    """Notes and reasons give way before what to do."""
    card = Card(
        title="Out of parallel",
        conclusion="The right side is too far away.",
        sections=(
            Section("notes", "Notes", tuple(f"note {n} {'x' * 80}" for n in range(15))),
            Section("why", "Why", tuple(f"reason {n} {'x' * 80}" for n in range(60))),
            Section("do", "Do this", tuple(f"step {n} {'x' * 50}" for n in range(10))),
            Section("cautions", "Care", ("Wear gloves.",)),
        ),
    )
    ((payload, _),) = asyncio.run(bodies(card))
    text = written(payload)
    assert all(f"step {n} " in text for n in range(10))
    assert "Wear gloves." in text
    assert "note 0 " not in text
    assert "reason 0 " in text
    assert "reason 59 " not in text
    assert len(re.findall(r"… \d+ more lines", text)) == 2


def test_a_card_that_fits_loses_nothing():
    lines = tuple(f"line {n}" for n in range(8))
    card = Card(title="T", conclusion="C", sections=tuple(Section(k, k, lines) for k in get_args(SectionKind)))
    ((payload, _),) = asyncio.run(bodies(card))
    assert "…" not in written(payload)
    assert written(payload).count("line 7") == len(get_args(SectionKind))


def test_a_map_keeps_its_columns_and_cannot_break_out_of_its_block():
    card = Card(title="T", conclusion="C", sections=(Section("map", "Plate", ("1.02   0.98", "```@everyone")),))
    ((payload, _),) = asyncio.run(bodies(card))
    block = payload["components"][0]["components"][1]["content"]
    assert block.splitlines()[1:3] == ["```", "1.02   0.98"]
    assert block.count("```") == 2


def test_a_picture_carries_its_words_in_the_gallery_and_at_the_file():
    card = Card(title="T", conclusion="C", pictures=(Picture("plate-map.png", b"png", "Right side thicker."),))
    ((payload, files),) = asyncio.run(bodies(card))
    gallery = payload["components"][0]["components"][1]
    assert gallery["items"][0]["description"] == "Right side thicker."
    assert payload["attachments"][0]["description"] == "Right side thicker."
    assert files == {"plate-map.png": b"png"}


def test_a_picture_too_large_to_send_is_told_in_words():
    card = Card(title="T", conclusion="C", pictures=(Picture("plate-map.png", b"png" * 10, "Right side thicker."),))
    ((payload, files),) = asyncio.run(bodies(card, most_bytes=10))
    assert files == {}
    assert "Right side thicker." in written(payload)


def test_files_are_shown_in_order_below_the_words_and_above_the_buttons():
    card = Card(
        title="T",
        conclusion="C",
        files=(Attachment("coupons.stl", b"solid"), Attachment("coupons.3mf", b"zip")),
        footer="F",
        actions=(Action("Why?", "why"),),
    )
    ((payload, files),) = asyncio.run(bodies(card))
    assert [one["type"] for one in payload["components"][0]["components"]] == [10, 10, 13, 13, 1]
    assert attached(payload) == ["coupons.stl", "coupons.3mf"]
    assert files == {"coupons.stl": b"solid", "coupons.3mf": b"zip"}


def test_a_file_too_large_is_named_and_a_smaller_one_still_comes():
    card = Card(
        title="T",
        conclusion="C",
        sections=(Section("notes", "N", tuple(f"note {n} {'x' * 200}" for n in range(40))),),
        files=(Attachment("coupons.stl", b"x" * 11), Attachment("coupons.3mf", b"zip")),
    )
    ((payload, files),) = asyncio.run(bodies(card, most_bytes=10))
    assert files == {"coupons.3mf": b"zip"}
    assert words().say("discord.file_left_out", names="coupons.stl") in written(payload)


def test_where_not_all_fits_a_picture_goes_before_a_file_and_is_told_in_words():
    card = Card(
        title="T",
        conclusion="C",
        pictures=(Picture("sheet.png", b"x" * 8, "Five coupons on a plate."),),
        files=(Attachment("coupons.stl", b"x" * 8),),
    )
    ((payload, files),) = asyncio.run(bodies(card, most_bytes=10))
    assert list(files) == ["coupons.stl"]
    assert "Five coupons on a plate." in written(payload)


@pytest.mark.parametrize("tone", [tone for tone in get_args(Tone) if tone != "plain"])
def test_the_tone_is_a_sign_and_a_word_and_never_the_colour_alone(tone):
    ((payload, _),) = asyncio.run(bodies(Card(title="T", conclusion="C", tone=tone)))
    assert re.search(r"\W \w+", words().say(f"discord.tones.{tone}"))
    assert words().say(f"discord.tones.{tone}") in written(payload)
    assert payload["components"][0]["accent_color"] is not None


def rows(payload) -> list[list[str]]:
    """Return the labels of a message's buttons, row by row."""
    shown = payload["components"][0]["components"]
    return [[button["label"] for button in one["components"]] for one in shown if one["type"] == 1]


def test_what_adds_comes_first_then_what_shows_then_how_it_went():
    of_case = {"case": "12"}
    labels = ("readings", "symptoms", "settings", "screws", "why", "next")
    card = Card(
        title="T",
        conclusion="C",
        actions=(
            *(Action(name, name, of_case) for name in reversed(labels)),
            *(Action(result, "case outcome", {**of_case, "result": result}) for result in ("fixed_by_step", "not_yet")),
        ),
    )
    ((payload, _),) = asyncio.run(bodies(card))
    assert rows(payload) == [
        ["settings", "symptoms", "readings"],
        ["next", "why", "screws"],
        ["fixed_by_step", "not_yet"],
    ]


def test_kinds_that_would_take_more_rows_than_there_are_share_them():
    card = Card(
        title="T",
        conclusion="C",
        actions=(
            *(Action(f"a{n}", "readings", {"centre": str(n)}) for n in range(11)),
            *(Action(f"b{n}", "why", {"case": str(n)}) for n in range(6)),
            *(Action(f"c{n}", "case outcome", {"result": "not_yet", "case": str(n)}) for n in range(3)),
        ),
    )
    ((payload, _),) = asyncio.run(bodies(card))
    assert [len(row) for row in rows(payload)] == [5, 5, 5, 5]
    assert rows(payload)[-1][-1] == "c2"


def test_actions_are_buttons_below_the_words_best_first_five_in_a_row():
    card = Card(
        title="T", conclusion="C", actions=tuple(Action(f"Raft {n}", "symptoms", {"seen": str(n)}) for n in range(30))
    )
    ((payload, _),) = asyncio.run(bodies(card))
    assert rows(payload) == [[f"Raft {n}" for n in range(row, row + 5)] for row in range(0, 25, 5)]
    assert payload["components"][0]["components"][0]["type"] == 10


def test_words_come_before_buttons_but_two_rows_always_fit():
    """At most 40 components in all: a card of very many sections keeps them, and the last buttons go."""
    card = Card(
        title="T",
        conclusion="C",
        sections=tuple(Section("why", f"Cause {n}", ("x",)) for n in range(50)),
        pictures=(Picture("plate-map.png", b"png", "Right side thicker."),),
        footer="F",
        actions=tuple(Action(f"Raft {n}", "symptoms", {"seen": str(n)}) for n in range(30)),
    )
    ((payload, files),) = asyncio.run(bodies(card))
    assert faults_of_message(payload, files) == []
    assert [len(row) for row in rows(payload)] == [5, 5, 1]
    assert [label for row in rows(payload) for label in row] == [f"Raft {n}" for n in range(11)]
    assert "Cause 20" in written(payload)


@pytest.mark.parametrize(
    "action",
    [
        Action("Too long to be carried", "symptoms", {"seen": "the raft is shiny " * 6}),
        Action("Long once written for the wire", "symptoms", {"seen": "ü" * 20}),
        Action("No such command", "levelling"),
        Action("No such option", "why", {"seen": "glossy_raft"}),
        Action(" \n", "next"),
        Action("The same again", "why"),
    ],
    ids=lambda action: action.label,
)
def test_an_action_that_no_button_can_carry_is_left_out_and_the_others_stay(action):
    card = Card(title="T", conclusion="C", actions=(Action("Why?", "why"), action, Action("Help", "help")))
    ((payload, _),) = asyncio.run(bodies(card))
    assert rows(payload) == [["Why?", "Help"]]


def test_a_long_label_is_cut_and_a_broken_one_joined():
    card = Card(title="T", conclusion="C", actions=(Action("w" * 90, "why"), Action("What\nnext *now*?", "next")))
    ((payload, _),) = asyncio.run(bodies(card))
    assert rows(payload) == [["w" * 79 + "…", "What next *now*?"]]


async def test_the_library_keeps_nothing_of_a_message_whose_buttons_say_all_themselves():
    (message,) = render(Card(title="T", conclusion="C", actions=(Action("Why?", "why"),)), words(), ROOM, ASKER)
    assert draw(message).is_finished()


def test_every_message_declares_the_components_it_uses():
    ((payload, _),) = asyncio.run(bodies(Card(title="T", conclusion="C")))
    assert payload["flags"] & COMPONENTS_V2
