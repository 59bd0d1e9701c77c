"""What five coupons tell about plate and screen, with its uncertainty: readings in, Geometry out."""

from core.geometry.compare import Change, Comparison, compare, describe
from core.geometry.measurement import measure
from core.geometry.model import (
    BANDS,
    CONTRASTS,
    Band,
    Budget,
    Contrasts,
    Estimate,
    Geometry,
    StartMove,
    Suspect,
    TooFew,
)

__all__ = [
    "BANDS",
    "CONTRASTS",
    "Band",
    "Budget",
    "Change",
    "Comparison",
    "Contrasts",
    "Estimate",
    "Geometry",
    "StartMove",
    "Suspect",
    "TooFew",
    "compare",
    "describe",
    "measure",
]
