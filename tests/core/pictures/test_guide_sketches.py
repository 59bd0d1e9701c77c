"""The drawings of the two checks: as wide as two phones, written in the language's words, told in the alt text."""

from dataclasses import replace
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.pictures.guide_sketches import WIDTH_PX, draw_paper_drag, draw_straightedge
from core.words import load_words

WORDS = load_words("en")
DRAWN = [(draw_straightedge, "straightedge_sketch"), (draw_paper_drag, "paper_sketch")]


def grey(picture):
    with Image.open(BytesIO(picture.png)) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("L")).astype(int)


@pytest.mark.parametrize(("draw", "part"), DRAWN)
def test_the_drawing_is_twice_a_phones_width_and_stays_inside(draw, part):
    pixels = grey(draw(WORDS))
    assert pixels.shape[1] == WIDTH_PX
    paper = pixels[0, 0]
    edge = np.concatenate([pixels[:6].ravel(), pixels[-6:].ravel(), pixels[:, :6].ravel(), pixels[:, -6:].ravel()])
    assert np.abs(edge - paper).max() <= 2


@pytest.mark.parametrize(("draw", "part"), DRAWN)
def test_every_word_in_the_drawing_is_the_languages(draw, part):
    """Changing any text but the alt text changes the picture; changing the alt text changes only that."""
    before = draw(WORDS)
    for key, _ in WORDS.under(part):
        changed = replace(WORDS, texts={**WORDS.texts, f"{part}.{key}": "§"})
        after = draw(changed)
        assert (after.png == before.png) == (key == "alt")
        assert (after.alt == "§") == (key == "alt")


def test_the_alt_texts_tell_what_each_sight_means():
    straightedge, paper = draw_straightedge(WORDS).alt, draw_paper_drag(WORDS).alt
    assert "light under the middle means the plate is hollow there" in straightedge
    assert "light at both ends means the middle stands out" in straightedge
    assert "as you face the printer, front at the bottom" in paper
    assert "drag, so the plate is close there" in paper
