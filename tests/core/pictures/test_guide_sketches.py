"""The drawings of the guides: as wide as two phones, written in the language's words, told in the alt text."""

import re
from dataclasses import replace
from functools import cache
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.knowledge import load_knowledge
from core.pictures.guide_sketches import WIDTH_PX, draw_guide, draw_levelling, draw_paper_drag, draw_straightedge
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
GUIDES = sorted(KNOWLEDGE.guides)
WHOLLY_WRITTEN = [
    ("clean_plate", "clean_sketch"),
    ("coupons", "caliper_sketch"),
    ("level_ball_joint", "ball_sketch"),
    ("paper_drag", "paper_sketch"),
    ("straightedge", "straightedge_sketch"),
]
SCREWS = {kind.guide: kind for kind in KNOWLEDGE.adjusters.values() if kind.screws}


@cache
def drawn(guide):
    return draw_guide(guide, KNOWLEDGE, WORDS)


def grey(picture):
    with Image.open(BytesIO(picture.png)) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("L")).astype(int)


@pytest.mark.parametrize("guide", GUIDES)
def test_every_guide_has_a_drawing_twice_a_phones_width_that_stays_inside(guide):
    pixels = grey(drawn(guide))
    assert pixels.shape[1] == WIDTH_PX
    paper = pixels[0, 0]
    edge = np.concatenate([pixels[:6].ravel(), pixels[-6:].ravel(), pixels[:, :6].ravel(), pixels[:, -6:].ravel()])
    assert np.abs(edge - paper).max() <= 2
    assert (pixels < paper - 60).mean() > 0.01


@pytest.mark.parametrize("guide", GUIDES)
def test_every_guides_drawing_is_told_in_its_alt_text(guide):
    """Whoever cannot see it gets sentences, without a placeholder left open, that belong to this guide only."""
    alts = {name: drawn(name).alt for name in GUIDES}
    assert alts[guide].startswith("Schematic of")
    assert len(alts[guide]) > 150
    assert "{" not in alts[guide]
    assert [name for name, alt in alts.items() if alt == alts[guide]] == [guide]


@pytest.mark.parametrize(("guide", "part"), WHOLLY_WRITTEN)
def test_every_word_in_the_drawing_is_the_languages(guide, part):
    """Changing any text but the alt text changes the picture; changing the alt text changes only that."""
    before = drawn(guide)
    for key, _ in WORDS.under(part):
        changed = replace(WORDS, texts={**WORDS.texts, f"{part}.{key}": "§"})
        after = draw_guide(guide, KNOWLEDGE, changed)
        assert (after.png == before.png) == (key == "alt")
        assert (after.alt == "§") == (key == "alt")


@pytest.mark.parametrize("guide", sorted(SCREWS))
def test_a_levelling_drawing_numbers_every_screw_of_the_layout_once_and_the_up_one_first(guide):
    """Of two screws across from each other the one that goes up comes first, off the film, as in the guides."""
    alt = drawn(guide).alt
    names = {WORDS.say(f"screws.names.{name}") for name in SCREWS[guide].screws}
    told = re.findall(r"(\d) ([a-z ]+?) goes (up|down)", alt)
    assert [int(number) for number, _, _ in told] == list(range(1, len(names) + 1))
    assert {name for _, name, _ in told} == names
    assert told[0][2] == "up"
    assert "as you face the printer, front at the bottom" in alt


def test_on_four_screws_the_numbers_run_along_one_diagonal_and_then_the_other():
    told = re.findall(r"\d ([a-z ]+?) goes (up|down)", drawn("level_four_screws").alt)
    across = {"front left": "back right", "back right": "front left", "front right": "back left"}
    across["back left"] = "front right"
    for (one, way), (other, back) in (told[:2], told[2:]):
        assert other == across[one]
        assert (way, back) == ("up", "down")


@pytest.mark.parametrize("guide", sorted(SCREWS))
def test_a_screw_is_drawn_where_the_layout_has_it(guide):
    """Moving any one screw of the layout changes the drawing."""
    kind = SCREWS[guide]
    before = draw_levelling(kind, WORDS).png
    for name, (x, y) in kind.screws.items():
        moved = kind.model_copy(update={"screws": {**kind.screws, name: (x * 0.5, y * 0.8)}})
        assert draw_levelling(moved, WORDS).png != before


def test_only_a_hinged_plate_is_said_to_have_a_hinge():
    assert [guide for guide in GUIDES if "hinge" in drawn(guide).alt] == ["level_two_screws"]


def test_the_alt_texts_tell_what_each_sight_means():
    straightedge, paper = draw_straightedge(WORDS).alt, draw_paper_drag(WORDS).alt
    assert "light under the middle means the plate is hollow there" in straightedge
    assert "light at both ends means the middle stands out" in straightedge
    assert "as you face the printer, front at the bottom" in paper
    assert "drag, so the plate is close there" in paper
