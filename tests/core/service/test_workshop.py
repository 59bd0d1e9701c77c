"""Coupons, screws, curve and guides, asked of the composed service: from nothing to a level plate."""

import io
import re
from datetime import UTC, datetime

import pytest
import trimesh

from bot.compose import compose
from bot.settings import Settings
from core.commands import Asker, Inquiry
from core.knowledge import load_knowledge


@pytest.fixture
async def ask(tmp_path):
    """Ask the service of an invented club as "moss", in one channel."""
    async with compose(Settings(database=tmp_path / "cases.db")) as house:

        async def asked(command, text="", **options):
            asker = Asker(community="club", channel="help", person="moss")
            at = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
            return await house.service.handle(
                Inquiry(command=command, text=text, options=options, asker=asker, at=at, reference="r1")
            )

        yield asked


def lines(card, kind):
    return [line for section in card.sections if section.kind == kind for line in section.lines]


async def test_coupons_come_as_two_files_a_drawing_and_steps(ask):
    card = await ask("coupons", plate="150x85")
    assert [file.name for file in card.files] == ["coupons-150x85.stl", "coupons-150x85.3mf"]
    mesh = trimesh.load(io.BytesIO(card.files[0].content), file_type="stl")
    assert mesh.is_watertight
    assert card.pictures[0].alt
    assert "Do not raise the exposure" in card.conclusion
    assert len(lines(card, "do")) > 5
    assert lines(card, "cautions")


async def test_coupons_use_the_plate_the_case_already_knows(ask):
    await ask("readings", "1.0 1.0 1.0 1.0 1.0", plate="200x120")
    assert (await ask("coupons")).files[0].name == "coupons-200x120.stl"


async def test_a_plate_nobody_has_is_refused_privately(ask):
    card = await ask("coupons", plate="900x85")
    assert card.tone == "fault"
    assert card.private
    assert card.files == ()


async def test_screws_wait_for_readings(ask):
    card = await ask("screws", adjusters="four_screws", thread="M4")
    assert "/readings" in card.conclusion


async def test_screws_say_turns_and_ways_that_cannot_be_mirrored(ask):
    """0.23 mm at an M4 screw's pitch of 0.7 mm (ISO 261), the screws a little further out, is a third of a turn."""
    await ask("readings", "0.76 1.22 0.80 1.20 0.99", plate="150x85")
    card = await ask("screws", adjusters="four_screws", thread="M4")
    told = " ".join(lines(card, "do"))
    assert re.search(r"Front left screw: a third of a turn, so that the corner goes up", told)
    assert "clockwise" not in told
    assert card.pictures[0].name == "screws.png"


async def test_a_plate_that_is_level_enough_gets_no_turns(ask):
    await ask("readings", "1.00 1.01 0.99 1.00 1.00", adjusters="four_screws")
    card = await ask("screws")
    assert lines(card, "do") == []
    assert card.pictures == ()


async def test_a_doubted_reading_is_settled_before_a_screw_is_turned(ask):
    await ask("readings", "1.00 1.01 0.99 1.45 1.00", adjusters="four_screws")
    card = await ask("screws")
    assert "back right" in card.conclusion
    assert lines(card, "do") == []


async def test_a_curve_is_fitted_drawn_and_used_by_the_case(ask):
    """Squares on Jacobs' line Dp 0.15 mm, Tc 1.0 s: 0.15 ln 2 = 0.104 mm and so on, to a caliper's step."""
    await ask("readings", "0.76 1.22 0.80 1.20 0.99")
    card = await ask("curve", "2 0.10, 4 0.21, 8 0.31, 16 0.42, 32 0.52, 64 0.62")
    assert "0.15 mm" in card.conclusion
    assert card.pictures[0].name == "working-curve.png"
    settings = await ask("settings", burn_in="4", layer_height="0.05")
    assert "by your resin's numbers" in " ".join(lines(settings, "avoid"))


async def test_a_curve_that_cannot_be_believed_is_shown_and_not_used(ask):
    await ask("readings", "0.76 1.22 0.80 1.20 0.99")
    card = await ask("curve", "2 0.10, 4 0.21, 8 0.95, 16 0.42, 32 0.52")
    assert card.tone == "unsure"
    settings = await ask("settings", burn_in="4", layer_height="0.05")
    assert "by your resin's numbers" not in " ".join(lines(settings, "avoid"))


async def test_every_guide_can_be_asked_for(ask):
    for name in load_knowledge().guides:
        card = await ask("help", topic=name)
        assert lines(card, "do"), name
        assert lines(card, "cautions"), name
        assert card.pictures[0].alt, name


async def test_a_second_set_shows_how_the_plate_changed(ask):
    first = await ask("readings", "0.76 1.22 0.80 1.20 0.99")
    second = await ask("readings", "0.97 1.03 0.99 1.04 1.01")
    assert [picture.name for picture in first.pictures] == ["plate-map.png"]
    assert [picture.name for picture in second.pictures] == ["plate-map.png", "history.png"]


async def test_a_lost_coupon_is_never_no_fault(ask):
    card = await ask("readings", "1.00 - 1.00 1.01 1.01")
    assert card.tone != "good"


async def test_a_tilted_plate_offers_its_screws_with_one_press(ask):
    card = await ask("readings", "0.76 1.22 0.80 1.20 0.99")
    commands = ["readings", "symptoms", "settings", "screws", "why", "next", "case outcome", "case outcome"]
    assert [action.command for action in card.actions] == commands
    assert [action.options.get("result") for action in card.actions[-2:]] == ["fixed_by_step", "not_yet"]
    assert {action.options["case"] for action in card.actions} == {"1"}


async def test_a_coupon_put_right_is_no_change_of_the_plate(ask):
    """One coupon read again is the same plate: no "real change" and no second set in the history."""
    await ask("readings", "1.00 1.01 1.00 1.40 1.00")
    card = await ask("readings", "br=1.01")
    assert "same set put right" in " ".join(lines(card, "notes"))
    assert "real change" not in " ".join(lines(card, "notes"))
    assert [picture.name for picture in card.pictures] == ["plate-map.png"]
