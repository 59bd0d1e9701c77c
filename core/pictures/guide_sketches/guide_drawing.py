"""A guide's identifier in, its drawing out. This file must never know what a drawing looks like."""

from core.card import Picture
from core.knowledge.schema import Knowledge
from core.pictures.guide_sketches.clean_plate import draw_clean_plate
from core.pictures.guide_sketches.coupon_caliper import draw_coupon_caliper
from core.pictures.guide_sketches.levelling import draw_levelling
from core.pictures.guide_sketches.paper_drag import draw_paper_drag
from core.pictures.guide_sketches.straightedge import draw_straightedge
from core.words import Words

SKETCHES = {
    "clean_plate": draw_clean_plate,
    "coupons": draw_coupon_caliper,
    "paper_drag": draw_paper_drag,
    "straightedge": draw_straightedge,
}
"""Guides whose drawing needs words only; how to level is drawn from the layout of the adjusters."""


def draw_guide(name: str, knowledge: Knowledge, words: Words) -> Picture:
    """Draw the sketch that goes with a guide.

    Raises:
        KeyError: No drawing is known for it.
    """
    adjusters = next((kind for kind in knowledge.adjusters.values() if kind.guide == name), None)
    return SKETCHES[name](words) if adjusters is None else draw_levelling(adjusters, words)
