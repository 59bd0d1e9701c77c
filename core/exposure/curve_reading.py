"""Reading a fitted working curve: a time in, a depth out, or the other way round, with what the squares leave open.

Lengths mm, times s. This file must never know which exposures to recommend.
"""

from math import exp, hypot, inf, log, sqrt

from scipy.special import stdtrit

from core.exposure.working_curve_fit import LARGEST_LOG, SIGNIFICANCE, Fitted, WorkingCurve


def depth_at(curve: WorkingCurve, time: float) -> Fitted:
    """Return the depth that the line gives at ``time``, mm, with the 95 % interval of the line itself.

    Notes
    -----
    At x = ln t the line has u² = s²/n + (x - x̄)² u(Dp)², since its mean level and its slope are uncorrelated (JCGM
    100:2008, H.3). One more square would scatter about it by the residual s besides. Negative below the critical time.
    """
    from_mean = log(time) - curve.mean_log_time
    value = curve.mean_thickness + curve.penetration_depth.value * from_mean
    u = hypot(_level_u(curve), from_mean * curve.penetration_depth.u)
    half = student_t(curve) * u
    return Fitted(value, value - half, value + half, u)


def time_needed(curve: WorkingCurve, depth: float) -> Fitted:
    """Return the exposure that cures ``depth``, s, with its 95 % interval; for depth 0 that is the critical time.

    The range is Fieller's, as of the critical time itself: all times at which the band of the line holds ``depth``. It
    is open, 0 or infinite, where the squares do not bound it; ``u`` is by first-order propagation.
    """
    level, slope = curve.mean_thickness - depth, curve.penetration_depth.value
    level_u, slope_u = _level_u(curve), curve.penetration_depth.u
    crossing = -level / slope
    value = exp(max(-LARGEST_LOG, min(curve.mean_log_time + crossing, LARGEST_LOG)))
    u = hypot(level_u, crossing * slope_u) / slope
    t = student_t(curve)
    a, b, c = slope**2 - (t * slope_u) ** 2, level * slope, level**2 - (t * level_u) ** 2
    if a <= 0:
        return Fitted(value, 0.0, inf, value * u)
    root = sqrt(max(0.0, b**2 - a * c))
    low, high = (curve.mean_log_time + (-b + sign * root) / a for sign in (-1, 1))
    # Rounding must not put the value outside its own range where the squares lie on a line.
    return Fitted(value, min(value, exp(min(low, LARGEST_LOG))), max(value, exp(min(high, LARGEST_LOG))), value * u)


def student_t(curve: WorkingCurve) -> float:
    """Return the half width of a 95 % interval in standard uncertainties."""
    return float(stdtrit(curve.degrees_of_freedom, 1 - SIGNIFICANCE / 2))


def _level_u(curve: WorkingCurve) -> float:
    return curve.residual_s / sqrt(len(curve.leverages))
