"""The picture of the dose through the stack, and the words for whoever cannot see it."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.exposure import expose
from core.knowledge import load_knowledge
from core.pictures.dose_profile import HEIGHT_PX, WIDTH_PX, draw_dose_profile
from core.report import Machine, Raft, Resin, Settings
from core.words import load_words


def draw(**settings):
    exposure = expose(Settings(**settings), Raft(), Machine(), Resin(), None, load_knowledge())
    return draw_dose_profile(exposure.dose, load_words("en")), exposure.dose


@pytest.mark.parametrize("layers", [(1, 0), (6, 0), (5, 8), (200, 200)])
def test_every_stack_can_be_drawn_at_twice_the_width_of_a_phone(layers):
    picture, _ = draw(burn_in_layers=layers[0], transition_layers=layers[1], burn_in_s=30, exposure_s=2.5)
    with Image.open(BytesIO(picture.png)) as image:
        assert image.format == "PNG"
        assert image.size == (WIDTH_PX, HEIGHT_PX)


def test_the_alt_text_tells_the_numbers_that_the_picture_shows():
    picture, dose = draw(burn_in_layers=6, burn_in_s=35, transition_layers=0, exposure_s=2.5)
    assert "6 burn-in layers of 35 s" in picture.alt
    assert "There are no transition layers" in picture.alt
    assert f"gets {dose.step.value:.1f} times a normal layer" in picture.alt
    assert f"{dose.step.low:.1f} to {dose.step.high:.1f} times" in picture.alt
    picture, _ = draw(burn_in_layers=6, burn_in_s=35, transition_layers=7, exposure_s=2.5)
    assert "Over 7 transition layers" in picture.alt


def test_zones_can_be_told_apart_without_colour():
    """In grey, the hatched burn-in is rough and the plain normal zone even: variation inside a row tells them apart."""
    picture, _ = draw(burn_in_layers=10, burn_in_s=30, transition_layers=0, exposure_s=15)
    with Image.open(BytesIO(picture.png)) as image:
        grey = np.asarray(image.convert("L"), dtype=float)
    left, top, bottom = int(0.16 * WIDTH_PX), int(0.135 * HEIGHT_PX), int(0.765 * HEIGHT_PX)
    inside = grey[top:bottom, left : left + 150]
    rough = inside.std(axis=1)
    assert np.median(rough[10:80]) > 20
    assert np.median(rough[-80:-10]) < 1


def test_the_same_stack_gives_the_same_picture():
    """A picture is a pure function of its values: no clock, no random name inside."""
    settings = {"burn_in_layers": 6, "burn_in_s": 35, "transition_layers": 0, "exposure_s": 2.5}
    assert draw(**settings)[0].png == draw(**settings)[0].png
