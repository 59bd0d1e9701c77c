"""The coupon sheet shows the set as a slicer does, and says in its alt text all that it shows."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.coupons import design_coupons
from core.pictures.coupon_sheet import WIDTH_PX, draw_coupon_sheet
from core.words import load_words

WORDS = load_words("en")
PLATES = [(150, 85, 1.0), (50, 30, 0.5), (400, 400, 2.0), (400, 30, 1.0), (50, 400, 1.0)]


def grey_of(plate):
    with Image.open(BytesIO(draw_coupon_sheet(design_coupons(*plate), WORDS).png)) as image:
        return np.asarray(image.convert("L")).astype(int)


@pytest.mark.parametrize("plate", PLATES)
def test_the_picture_is_a_png_of_twice_a_phones_width(plate):
    with Image.open(BytesIO(draw_coupon_sheet(design_coupons(*plate), WORDS).png)) as image:
        assert image.format == "PNG"
        assert image.width == WIDTH_PX
        assert 800 <= image.height <= 1300


@pytest.mark.parametrize("plate", PLATES)
def test_nothing_is_cut_off_at_the_sides(plate):
    grey = grey_of(plate)
    assert np.all(grey[:, :6] > 240)
    assert np.all(grey[:, -6:] > 240)


@pytest.mark.parametrize("plate", PLATES)
def test_the_front_is_marked_by_a_dark_bar_below_the_plate(plate):
    grey = grey_of(plate)
    # The left sixth of the plate, away from the bar's own writing.
    rows = np.flatnonzero(np.all(grey[:, 170:250] < 70, axis=1))
    thick = [run for run in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1) if run.size > 10]
    assert len(thick) == 1
    assert 25 < thick[0].size < 35
    assert np.all(grey[thick[0][-1] + 3 : thick[0][-1] + 12] > 240)


def test_the_alt_text_tells_dots_places_distances_thickness_and_orders():
    alt = draw_coupon_sheet(design_coupons(150, 85), WORDS).alt
    for part in (
        "150 by 85 mm",
        "one dot at the front left",
        "4 dots at the back right and 5 dots at the centre",
        "3.5 mm in from the edges",
        "notch at its front left",
        "127 mm apart side to side and 63 mm front to back",
        "1.00 mm thick",
        "2 1 4 3 5",
        "3 4 1 2 5",
        "as you face the printer",
    ):
        assert part in alt
