"""The screw sketch says in shape, words and alt text which way the plate goes at each screw, how far, in what order."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.geometry import measure
from core.geometry.screws import plan_turns
from core.knowledge import load_knowledge
from core.pictures.screw_sketch import WIDTH_PX, draw_screw_sketch
from core.report import POSITIONS, Machine, Readings
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
TILTED = (0.80, 1.20, 0.84, 1.22, 1.0)
KINDS = ["four_screws", "three_screws", "two_screws", "ball_joint", "none", "unknown"]
UP, DOWN = (224, 164, 92), (141, 123, 184)


def sketch(five=TILTED, **machine):
    geometry = measure(
        Readings(**{place.value: (value,) for place, value in zip(POSITIONS, five, strict=True)}), KNOWLEDGE, draws=400
    )
    return draw_screw_sketch(plan_turns(geometry, Machine(**machine), KNOWLEDGE), geometry, WORDS)


def pixels(picture):
    with Image.open(BytesIO(picture.png)) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("RGB")).astype(int)


def arrow(picture, colour, half):
    """Widths, row by row, of the arrow of one colour in the front part of the plate."""
    rgb = pixels(picture)[340:510, half]
    found = (np.abs(rgb - colour).max(axis=2) < 12).sum(axis=1)
    return found[found > 0]


LEFT, RIGHT = slice(0, WIDTH_PX // 2), slice(WIDTH_PX // 2, WIDTH_PX)


@pytest.mark.parametrize("adjusters", KINDS)
@pytest.mark.parametrize("thread", [None, "M4"])
def test_the_sketch_is_twice_a_phones_width_with_the_front_as_a_dark_bar_at_the_bottom(adjusters, thread):
    rgb = pixels(sketch(adjusters=adjusters, screw_thread=thread))
    assert rgb.shape[1] == WIDTH_PX
    dark = np.flatnonzero((rgb.mean(axis=2) < 70).mean(axis=1) > 0.85)
    assert dark.size > 10
    assert dark.min() > rgb.shape[0] * 0.75


@pytest.mark.parametrize("adjusters", KINDS)
def test_up_and_down_differ_in_shape(adjusters):
    """An arrow is widest at its head: in the upper half of one that points up, in the lower half of one down."""
    picture = sketch(adjusters=adjusters)
    up, down = arrow(picture, UP, LEFT), arrow(picture, DOWN, RIGHT)
    assert up.size > 50
    assert down.size > 50
    assert up.argmax() < up.size / 2
    assert down.argmax() > down.size / 2


def test_a_mirrored_plate_gives_the_mirrored_arrows():
    fl, fr, bl, br, centre = TILTED
    picture = sketch((fr, fl, br, bl, centre), adjusters="four_screws")
    assert arrow(picture, UP, RIGHT).size > 50
    assert arrow(picture, DOWN, LEFT).size > 50
    assert arrow(picture, UP, LEFT).size == arrow(picture, DOWN, RIGHT).size == 0


def test_the_alt_text_has_order_place_way_distance_and_turn():
    alt = sketch((0.8, 1.2, 0.84, 1.24, 1.02), adjusters="four_screws", screw_thread="M4").alt
    parts = [part.strip() for part in alt.partition("bottom. ")[2].split(";")]
    assert parts[0] == "1. front left goes up, away from the film by 0.23 mm, a third of a turn"
    assert parts[1] == "2. back right goes down, towards the film by 0.23 mm, a third of a turn"
    assert len(parts) == 4
    assert "front at the bottom" in alt


def test_the_alt_text_without_a_thread_has_no_turns():
    alt = sketch(adjusters="ball_joint").alt
    assert "front left goes up, away from the film by 0.21 mm" in alt
    assert "turn" not in alt


def test_a_screw_that_stays_says_so():
    assert "back stays" in sketch((0.8, 1.2, 0.8, 1.2, 1.0), adjusters="three_screws", screw_thread="M4").alt
