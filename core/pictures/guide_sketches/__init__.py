"""Schematic drawings for the guides, as PNG with alt text, one file per kind of guide.

``guide_drawing`` finds the drawing of a guide. All are out of scale and say what they show in words, so colour only
repeats what is written.
"""

from core.pictures.guide_sketches.clean_plate import draw_clean_plate
from core.pictures.guide_sketches.coupon_caliper import draw_coupon_caliper
from core.pictures.guide_sketches.guide_drawing import draw_guide
from core.pictures.guide_sketches.levelling import draw_levelling
from core.pictures.guide_sketches.paper_drag import draw_paper_drag
from core.pictures.guide_sketches.sheet import WIDTH_PX
from core.pictures.guide_sketches.straightedge import draw_straightedge

__all__ = [
    "WIDTH_PX",
    "draw_clean_plate",
    "draw_coupon_caliper",
    "draw_guide",
    "draw_levelling",
    "draw_paper_drag",
    "draw_straightedge",
]
