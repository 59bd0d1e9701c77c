"""Starting odds of the causes, and how readings and settings move them before any finding is explained.

In: Report, Geometry if there is one, Knowledge. Out: one log likelihood ratio per cause, and the pieces it is the
sum of. This file must never know how the network is solved.
"""

from collections.abc import Iterable, Mapping

from core.diagnosis.geometry_shifts import shift_by_geometry
from core.diagnosis.model import Shift
from core.diagnosis.settings_shifts import shift_by_settings
from core.geometry.model import Geometry
from core.knowledge import Knowledge
from core.report import Report


def shift_priors(report: Report, geometry: Geometry | None, knowledge: Knowledge) -> tuple[Shift, ...]:
    """Return everything that readings and settings say, piece by piece."""
    measured = () if geometry is None else shift_by_geometry(geometry, knowledge)
    return (*measured, *shift_by_settings(report, knowledge))


def add_up(shifts: Iterable[Shift]) -> Mapping[str, float]:
    """Return the sum per cause of independent pieces of evidence, for causes that any of them speaks about."""
    total: dict[str, float] = {}
    for shift in shifts:
        total[shift.cause] = total.get(shift.cause, 0.0) + shift.log_odds
    return total


def starting_odds(knowledge: Knowledge) -> Mapping[str, float]:
    """Return the prior of every cause, in the order of the data."""
    return {name: cause.prior for name, cause in knowledge.causes.items()}
