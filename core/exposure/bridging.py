"""Can the burn-in reach the plate: coupon errors and a burn-in exposure in, gaps and needed times out.

This file must never know how errors were measured, nor what is to be done about them.
"""

from math import sqrt

from core.exposure.corners import evaluate, exact
from core.exposure.model import Assumption, Bridge, Quantity, Reach
from core.exposure.working_curve import cure_depth, time_for_depth
from core.geometry.model import Geometry
from core.report import POSITIONS, Position

COVERAGE_FACTOR = 1.96
"""95 % of a normal distribution, JCGM 100:2008, G.1.2 and table G.1."""


def bridge_gaps(
    geometry: Geometry,
    layer_height: Quantity,
    burn_in: float | None,
    penetration_depth: Quantity,
    critical_time: Quantity,
) -> tuple[Bridge, ...]:
    """Return what the first layer has to span at each coupon, and whether one burn-in exposure does.

    Parameters
    ----------
    geometry
        Errors of the five positions with the covariance of their contrasts, mm.
    layer_height
        mm.
    burn_in
        Exposure of one burn-in layer, s, or None.
    penetration_depth, critical_time
        Of the resin, mm and s.
    """
    return tuple(
        _bridge(position, geometry, layer_height, burn_in, penetration_depth, critical_time) for position in POSITIONS
    )


def span_gap(layer_height: float, error: float) -> float:
    """Return what the first layer has to span, mm: layer height + error, and 0 where the plate touches."""
    return max(0.0, layer_height + error)


def error_at(geometry: Geometry, position: Position) -> Quantity:
    """Return the error at a position with its 95 % interval, mm.

    The error is linear in the contrasts, e = g·c with g = (1, x, y, xy, 1 - (x² + y²)/2), so u² = gᵀ V g with
    their covariance V (law of propagation, JCGM 100:2008, 5.2.2); the interval is ±1.96 u. Holds for measured
    and for missing positions alike.
    """
    x, y = position.x, position.y
    g = (1.0, float(x), float(y), float(x * y), 1 - (x * x + y * y) / 2)
    covariance = geometry.contrasts.covariance
    variance = sum(g[i] * covariance[i][j] * g[j] for i in range(len(g)) for j in range(len(g)))
    half = COVERAGE_FACTOR * sqrt(max(0.0, variance))
    error = geometry.errors[position]
    missing = (
        (Assumption("error_from_the_others", {"position": position.value}),) if position == geometry.missing else ()
    )
    return Quantity(error, error - half, error + half, "mm", missing)


def _bridge(
    position: Position,
    geometry: Geometry,
    layer_height: Quantity,
    burn_in: float | None,
    penetration_depth: Quantity,
    critical_time: Quantity,
) -> Bridge:
    error = error_at(geometry, position)
    gap = evaluate(span_gap, layer_height, error, unit="mm")
    needed = evaluate(time_for_depth, gap, penetration_depth, critical_time, unit="s")
    if burn_in is None:
        return Bridge(position=position, gap=gap, reached=None, short_by=None, time_needed=needed)
    short_by = evaluate(
        lambda span, time, depth, critical: span - cure_depth(time, depth, critical),
        gap,
        exact(burn_in, "s"),
        penetration_depth,
        critical_time,
        unit="mm",
    )
    reached: Reach = "yes" if short_by.high <= 0 else "no" if short_by.low > 0 else "perhaps"
    return Bridge(position=position, gap=gap, reached=reached, short_by=short_by, time_needed=needed)
