"""The plate map says in the picture, in its alt text and as plain text the same five facts, and where the front is."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.geometry import measure
from core.knowledge import load_knowledge
from core.pictures.plate_map import WIDTH_PX, draw_plate_map
from core.pictures.text_map import draw_text_map
from core.report import POSITIONS, Machine, Readings
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")


def geometry(*values):
    coupons = {place.value: None if value is None else (value,) for place, value in zip(POSITIONS, values, strict=True)}
    return measure(Readings(**coupons), KNOWLEDGE)


TILTED = geometry(0.76, 1.22, 0.80, 1.20, 0.99)


@pytest.mark.parametrize("machine", [Machine(), Machine(plate_width_mm=218, plate_depth_mm=123)])
def test_the_picture_is_a_png_of_twice_a_phones_width(machine):
    picture = draw_plate_map(TILTED, machine, WORDS)
    with Image.open(BytesIO(picture.png)) as image:
        assert image.format == "PNG"
        assert image.width == WIDTH_PX
        assert 400 <= image.height <= 900


def test_the_front_is_marked_at_the_bottom_by_a_dark_bar():
    with Image.open(BytesIO(draw_plate_map(TILTED, Machine(), WORDS).png)) as image:
        grey = np.asarray(image.convert("L"))
    dark_rows = np.flatnonzero((grey < 70).mean(axis=1) > 0.7)
    assert dark_rows.size > 15
    assert dark_rows.min() > grey.shape[0] * 0.8


def test_close_and_far_differ_in_grey_too():
    """Left is close and right is far; without colour their fills must not read alike."""
    with Image.open(BytesIO(draw_plate_map(TILTED, Machine(), WORDS).png)) as image:
        grey = np.asarray(image.convert("L")).astype(float)
    middle = grey[grey.shape[0] // 2]
    left, centre = np.median(middle[35:60]), np.median(middle[300:340])
    assert abs(left - centre) > 20


def test_the_alt_text_has_every_reading_with_its_place_and_direction():
    alt = draw_plate_map(TILTED, Machine(), WORDS).alt
    for part in ("front left 0.76 (0.24 close)", "front right 1.22 (0.22 far)", "centre 0.99 (0.01 close)", "0.46 mm"):
        assert part in alt
    assert "front at the bottom" in alt


def test_the_text_map_shows_back_above_front_and_left_before_right():
    text = "\n".join(draw_text_map(TILTED, WORDS))
    order = [text.index(value) for value in ("0.80", "1.20", "0.99", "0.76", "1.22", "FRONT")]
    assert order == sorted(order)


def test_the_text_map_fits_a_phone():
    assert max(len(line) for line in draw_text_map(TILTED, WORDS)) <= 34


def test_a_lost_coupon_is_no_number():
    lost = geometry(1.0, 1.0, 1.0, None, 1.0)
    assert "no reading" in "\n".join(draw_text_map(lost, WORDS))
    assert "back right no reading" in draw_plate_map(lost, Machine(), WORDS).alt


def test_an_even_plate_names_no_corner_as_closest():
    alt = draw_plate_map(geometry(0.72, 0.72, 0.72, 0.72, 0.72), Machine(), WORDS).alt
    assert "closest" not in alt
