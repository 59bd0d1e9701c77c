"""Words of every language stay within the picture: what is written never touches its edge."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from core.coupons import design_coupons
from core.exposure import expose, fit_working_curve
from core.geometry import measure
from core.geometry.screws import plan_turns
from core.knowledge import load_knowledge
from core.pictures.coupon_sheet import draw_coupon_sheet
from core.pictures.dose_profile import draw_dose_profile
from core.pictures.guide_sketches import draw_guide
from core.pictures.history import draw_history
from core.pictures.plate_map import draw_plate_map
from core.pictures.screw_sketch import draw_screw_sketch
from core.pictures.working_curve import draw_working_curve
from core.report import POSITIONS, Machine, Raft, Readings, Resin, Settings
from core.words import languages, load_words

KNOWLEDGE = load_knowledge()
EDGE_PX = 3
TIMES, THICKNESSES = (2.0, 4.0, 8.0, 16.0, 32.0), (0.21, 0.32, 0.44, 0.54, 0.66)


def geometry(*values):
    coupons = {place.value: None if value is None else (value,) for place, value in zip(POSITIONS, values, strict=True)}
    return measure(Readings(**coupons), KNOWLEDGE, draws=400)


TILTED, LEVEL = geometry(0.76, 1.22, 0.80, 1.20, 0.99), geometry(0.97, 1.03, 0.99, 1.04, 1.01)
LOST = geometry(0.76, 1.22, None, 1.20, 0.99)


def dose(words):
    settings = Settings(burn_in_layers=12, burn_in_s=120, transition_layers=10, exposure_s=12.5, layer_height_mm=0.05)
    return draw_dose_profile(expose(settings, Raft(), Machine(), Resin(), None, KNOWLEDGE).dose, words)


def screws(adjusters, words):
    machine = Machine(adjusters=adjusters, screw_thread="M4", plate_width_mm=150, plate_depth_mm=85)
    return draw_screw_sketch(plan_turns(TILTED, machine, KNOWLEDGE), TILTED, words)


def curve(words):
    return draw_working_curve(fit_working_curve(TIMES, THICKNESSES, 0.01), TIMES, THICKNESSES, words)


PICTURES = {
    "plate map": lambda words: draw_plate_map(TILTED, Machine(), words),
    "plate map with a lost coupon": lambda words: draw_plate_map(LOST, Machine(), words),
    "dose profile": dose,
    "history of two": lambda words: draw_history([TILTED, LEVEL], KNOWLEDGE, words),
    "history of six": lambda words: draw_history([TILTED, LOST, LEVEL] * 2, KNOWLEDGE, words),
    "coupon sheet": lambda words: draw_coupon_sheet(design_coupons(150, 85, 1.0), words),
    "working curve": curve,
    "four screws": lambda words: screws("four_screws", words),
    "three screws": lambda words: screws("three_screws", words),
    "two screws": lambda words: screws("two_screws", words),
    "ball joint": lambda words: screws("ball_joint", words),
    **{f"guide {name}": lambda words, name=name: draw_guide(name, KNOWLEDGE, words) for name in KNOWLEDGE.guides},
}


def ink_at_the_edge(png):
    with Image.open(BytesIO(png)) as image:
        rgb = np.asarray(image.convert("RGB")).astype(int)
    edges = (rgb[:EDGE_PX], rgb[-EDGE_PX:], rgb[:, :EDGE_PX], rgb[:, -EDGE_PX:])
    return sum(int((np.abs(edge - rgb[0, 0]).max(axis=2) > 12).sum()) for edge in edges)


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("name", PICTURES)
def test_nothing_is_cut_off_at_the_edge(name, language):
    assert ink_at_the_edge(PICTURES[name](load_words(language)).png) == 0


@pytest.mark.parametrize("name", ["dose profile", "plate map"])
def test_a_title_that_is_too_long_would_be_seen(name):
    """The search works: a text far too long does touch the edge."""
    words = load_words()
    key = {"dose profile": "pictures.dose_profile.title", "plate map": "map.title"}[name]
    stretched = type(words)(words.language, {**words.texts, key: "W" * 80})
    assert ink_at_the_edge(PICTURES[name](stretched).png) > 0
