"""The picture of a working curve shows every square, the line with its band, and doubts by shape and number."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.exposure import fit_working_curve
from core.pictures.working_curve import WIDTH_PX, doubted_squares, draw_working_curve
from core.words import load_words

WORDS = load_words("en")
TIMES, THICK = (2.0, 4.0, 8.0, 16.0, 32.0), (0.11, 0.21, 0.30, 0.42, 0.50)
NINE = (2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 32.0)
ODD = (0.10, 0.142, 0.168, 0.212, 0.239, 0.36, 0.308, 0.351, 0.379)


def draw(times, thick):
    return draw_working_curve(fit_working_curve(times, thick), times, thick, WORDS)


def pixels(picture):
    with Image.open(BytesIO(picture.png)) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def near(image, colour, reach=12):
    return (np.abs(image - np.array(colour)).max(axis=2) <= reach).sum()


SQUARE, DIAMOND = (0x8D, 0x7B, 0xB8), (0xE0, 0xA4, 0x5C)


@pytest.mark.parametrize(
    ("times", "thick"),
    [
        (TIMES, THICK),
        (NINE, ODD),
        ((2.0, 4.0, 8.0), (0.2, 0.1, 0.25)),
        ((2.0, 4.0, 8.0), (0.3, 0.3, 0.301)),
        ((0.02, 1.0, 600.0), (0.02, 0.5, 3.0)),
        (tuple(range(1, 61)), tuple(0.1 + 0.1 * n**0.5 for n in range(1, 61))),
    ],
)
def test_any_curve_becomes_a_png_of_twice_a_phones_width(times, thick):
    image = pixels(draw(times, thick))
    assert image.shape[1] == WIDTH_PX
    assert near(image, SQUARE) > 100


def test_doubtful_squares_differ_by_shape_and_number_and_sound_ones_do_not():
    assert near(pixels(draw(NINE, ODD)), DIAMOND) > 100
    assert near(pixels(draw(TIMES, THICK)), DIAMOND) == 0
    assert doubted_squares(fit_working_curve(NINE, ODD)) == (6,)


def test_nothing_is_cut_off_at_the_picture_s_edge():
    for times, thick in ((TIMES, THICK), (NINE, ODD), ((2.0, 4.0, 8.0), (0.2, 0.1, 0.25))):
        image = pixels(draw(times, thick))
        rim = np.concatenate((image[:3].reshape(-1, 3), image[-3:].reshape(-1, 3), image[:, :3].reshape(-1, 3)))
        assert (rim.min(axis=1) > 200).all()


def test_the_alt_text_says_squares_law_band_and_doubt():
    alt = draw(NINE, ODD).alt
    for part in ("9 squares from 2 s, 0.10 mm, to 32 s, 0.38 mm", "0.10 mm", "0.75 s", "(95 %)", "In doubt: square 6."):
        assert part in alt
    assert "No square stands out." in draw(TIMES, THICK).alt


def test_the_same_squares_give_the_same_picture():
    assert draw(TIMES, THICK).png == draw(TIMES, THICK).png
