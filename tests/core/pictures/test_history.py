"""The picture of attempt after attempt says spread and start height with their ranges, and where the limits are."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.geometry import measure
from core.knowledge import load_knowledge
from core.pictures.history import HEIGHT_PX, MOST_SHOWN, WIDTH_PX, draw_history
from core.report import POSITIONS, Readings
from core.words import load_words

KNOWLEDGE, WORDS = load_knowledge(), load_words("en")


def geometry(*values):
    coupons = {place.value: (value,) for place, value in zip(POSITIONS, values, strict=True)}
    return measure(Readings(**coupons), KNOWLEDGE, draws=20_000)


CROOKED = geometry(0.98, 1.02, 1.31, 1.28, 1.10)
BETTER = geometry(0.96, 0.98, 1.06, 1.04, 1.01)
LEVEL = geometry(1.0, 1.0, 1.0, 1.0, 1.0)
WILD = geometry(0.3, 1.9, 1.2, 0.8, 1.1)


def pixels(attempts):
    with Image.open(BytesIO(draw_history(attempts, KNOWLEDGE, WORDS).png)) as image:
        return np.asarray(image.convert("RGB")).astype(int)


@pytest.mark.parametrize("attempts", [[LEVEL], [CROOKED, BETTER, LEVEL], [CROOKED, WILD], [BETTER] * 12])
def test_any_history_becomes_a_png_of_one_size_with_nothing_cut_off(attempts):
    image = pixels(attempts)
    assert image.shape[:2] == (HEIGHT_PX, WIDTH_PX)
    for rim in (image[:3], image[-3:], image[:, :3], image[:, -3:]):
        assert rim.min() > 200


def test_the_alt_text_says_the_numbers_of_every_set_and_the_limits():
    alt = draw_history([CROOKED, BETTER], KNOWLEDGE, WORDS).alt
    for number, plate in ((1, CROOKED), (2, BETTER)):
        spread = plate.spread
        assert f"set {number} {spread.value:.2f} mm ({max(0, spread.low):.2f} to {spread.high:.2f})" in alt
    assert "set 1 0.15 mm too far (+0.12 to +0.18)" in alt
    assert "set 2 0.01 mm too far" in alt
    for name in ("spread_good_mm", "spread_workable_mm", "spread_out_mm", "offset_ok_mm"):
        assert f"{KNOWLEDGE.norm(name):.2f}" in alt


def test_a_plate_on_height_is_called_so_without_a_sign():
    assert "set 1 on height" in draw_history([LEVEL], KNOWLEDGE, WORDS).alt


def test_a_long_history_shows_the_latest_and_says_how_many_there_were():
    alt = draw_history([CROOKED] + [BETTER] * MOST_SHOWN, KNOWLEDGE, WORDS).alt
    assert f"the last {MOST_SHOWN} of {MOST_SHOWN + 1}" in alt
    assert "set 1 " not in alt
    assert f"set {MOST_SHOWN + 1} " in alt


def test_a_better_plate_stands_lower_in_the_picture():
    """The markers' middle row of the later set lies below that of the earlier one, in the upper chart."""
    image = pixels([CROOKED, LEVEL])[: HEIGHT_PX // 2]
    rows, columns = np.nonzero(np.abs(image - np.array((0x8D, 0x7B, 0xB8))).max(axis=2) <= 6)
    middle = (columns.min() + columns.max()) / 2
    assert rows[columns < middle].mean() + 50 < rows[columns > middle].mean()


def test_there_is_no_history_of_nothing():
    with pytest.raises(ValueError, match="at least one"):
        draw_history([], KNOWLEDGE, WORDS)
