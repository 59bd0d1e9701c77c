"""What the settings do to the resin: settings, raft, resin and geometry in, one ``Exposure`` out.

Knows formulas and ranges; must never know a cause, a remedy or how a person put things.
"""

from core.exposure.assessment import expose
from core.exposure.contract import to_json
from core.exposure.model import Assumption, Bridge, DoseProfile, Exposure, LayerDose, Quantity, Settling, Wear
from core.exposure.summary import describe
from core.exposure.working_curve_fit import WorkingCurve, fit_working_curve

__all__ = [
    "Assumption",
    "Bridge",
    "DoseProfile",
    "Exposure",
    "LayerDose",
    "Quantity",
    "Settling",
    "Wear",
    "WorkingCurve",
    "describe",
    "expose",
    "fit_working_curve",
    "to_json",
]
