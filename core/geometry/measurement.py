"""From readings to Geometry: contrasts, uncertainty, bands, suspect and the best move of the start, in one call.

In: readings and norms. Out: a Geometry, or the coupons that must be printed again. This file must never know
findings, causes or words.
"""

import math
from collections.abc import Mapping
from functools import partial

import numpy as np

from core.geometry.bands import Limits, best_start, estimate_spread, spread, spread_draws
from core.geometry.contrasts import Solution, Stand, design_matrix, solve, stand_in
from core.geometry.deviations import draw_deviations
from core.geometry.model import CONTRASTS, Contrasts, Estimate, Geometry, TooFew
from core.geometry.propagation import Draws
from core.geometry.suspect import find_suspect
from core.geometry.uncertainty import draw_up
from core.knowledge.schema import Knowledge
from core.report import CORNERS, POSITIONS, Position, Readings

SEED = 20100
DRAWS = 200_000
"""The default number of trials: 10⁴ times 1/(1 - p) for p = 0.95, as JCGM 101, 7.2.2 asks for."""


def measure(
    readings: Readings,
    knowledge: Knowledge,
    *,
    seed: int = SEED,
    draws: int = DRAWS,
) -> Geometry | TooFew:
    """Work out what the coupons tell about plate and screen.

    Args:
        readings: At least four of the five positions with a value, mm.
        knowledge: For the norms.
        seed: Of the Monte Carlo trials; the same readings and seed give the same answer.
        draws: Number of trials. Half are drawn, the other half are their mirror images.

    Returns:
        ``TooFew`` where two or more positions have no value.

    Source:
        JCGM 100:2008 for the budget and the covariance, JCGM 101:2008 for the coverage intervals.
    """
    missing = readings.missing
    if len(missing) > 1:
        return TooFew(missing)
    lost = missing[0] if missing else None
    nominal = readings.nominal_mm
    budget = draw_up(readings, knowledge)
    measured = {position: math.fsum(group) / len(group) for position, group in readings.measured()}
    observed = {position: thickness - nominal for position, thickness in measured.items()}
    stand_ins = _stand_ins(lost, knowledge)
    solution = solve(observed, budget.individual_u, budget.common_u, stand_ins)
    errors = _all_errors(observed, solution)
    corners = tuple(errors[corner] for corner in CORNERS)
    deviations = draw_deviations(
        budget,
        solution,
        stand_ins,
        np.random.Generator(np.random.SFC64(seed)),
        max(1, draws // 2),
        partial(spread_draws, corners),
    )
    spreads = deviations.corners.reshape(-1)
    spreads.sort()
    estimates = {
        name: Estimate(value, value - width, value + width, math.sqrt(variance))
        for name, value, width, variance in zip(
            CONTRASTS,
            solution.values.tolist(),
            deviations.half_widths,
            np.diag(solution.covariance).tolist(),
            strict=True,
        )
    }
    twist = estimates["twist"]
    # Honest plates and coupons seem to twist a little: that stands beside what measuring explains.
    twist_z = abs(twist.value) / math.hypot(twist.u, knowledge.norm("twist_ordinary_sd_mm"))
    twisted = "twist" not in stand_ins and twist_z > knowledge.norm("twist_significance_z")
    limits = Limits.of(knowledge)
    value = spread(corners)
    return Geometry(
        nominal=nominal,
        errors=errors,
        measured=measured,
        missing=lost,
        budget=budget,
        contrasts=Contrasts(
            **{name: estimate.value for name, estimate in estimates.items()},
            covariance=tuple(tuple(row) for row in solution.covariance.tolist()),
        ),
        **estimates,
        spread=estimate_spread(value, spreads),
        band=limits.band(value),
        band_probability=limits.probabilities(spreads),
        offset_ok_probability=_share_within(
            estimates["offset"].value, deviations.offset, knowledge.norm("offset_ok_mm")
        ),
        highest=max(CORNERS, key=lambda corner: round(errors[corner], 6)),
        lowest=min(CORNERS, key=lambda corner: round(errors[corner], 6)),
        twist_significant=twisted,
        suspect=find_suspect(readings, observed, twist_z if twisted else None, knowledge),
        move_start=best_start(errors.values()),
    )


def _stand_ins(lost: Position | None, knowledge: Knowledge) -> dict[Stand, float]:
    name = stand_in(lost)
    return {name: knowledge.norm(f"{name}_prior_sd_mm")} if name else {}


def _all_errors(observed: Mapping[Position, float], solution: Solution) -> Mapping[Position, float]:
    """Return the error of every position: as measured, or where there is none as the contrasts give it."""
    fitted = design_matrix(POSITIONS) @ solution.values
    return {
        position: observed.get(position, float(estimate)) for position, estimate in zip(POSITIONS, fitted, strict=True)
    }


def _share_within(value: float, deviations: Draws, limit: float) -> float:
    """Return the share of ``value ± deviations`` that lies within ±limit."""
    inside = sum(
        np.count_nonzero((deviations >= np.float32(-limit - centre)) & (deviations <= np.float32(limit - centre)))
        for centre in (value, -value)
    )
    return float(inside) / (2 * deviations.size)
