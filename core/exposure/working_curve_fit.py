"""A person's own working curve: times and thicknesses of cured squares in, Dp and Tc with uncertainty out.

Lengths mm, times s. This file must never know which exposures to recommend.
"""

import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, inf, isfinite, sqrt
from typing import Literal

import numpy as np
from scipy.special import fdtrc, stdtr, stdtrit

from core.errors import Fault, UnusableInput
from core.geometry.least_squares import Array, Fit, least_squares

FEWEST_TIMES = 3
FEW_SQUARES = 5
"""Fewer than this leave at most two degrees of freedom, and a Student factor above 4."""

SIGNIFICANCE = 0.05
HIGH_LEVERAGE = 2.0
"""Times the mean leverage p/n: a square steers the line by itself (Hoaglin & Welsch 1978)."""

ROUNDING = 1e-12
"""Residuals below this share of the thickness are rounding, and say nothing about the line."""

LARGEST_LOG = 700.0
"""Just below where exp overflows; as far below zero it is still not zero."""

Doubt = Literal["lack_of_fit", "curvature", "outlier", "leverage", "few_squares"]


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fitted number with its standard uncertainty and 95 % interval (JCGM 100)."""

    value: float
    low: float
    high: float
    u: float


@dataclass(frozen=True, slots=True)
class CurveDoubt:
    """A reason to look at the squares again: a key under ``curve.doubts`` in the words, with its values."""

    kind: Doubt
    values: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkingCurve:
    """A fitted working curve, thickness = Dp ln(t/Tc).

    Attributes:
        penetration_depth: Dp, mm, with a symmetric Student t interval.
        critical_time: Tc, s, with its interval by Fieller's theorem, which is not symmetric; ``u`` by
            first-order propagation.
        residual_s: Residual standard deviation, mm.
        degrees_of_freedom: Squares minus 2.
        mean_log_time, mean_thickness: Means of ln t, t in s, and of the thickness, mm: the point of the line that is
            known best.
        shortest_time, longest_time: Of the squares, s.
        leverages: Of each square, in the order given.
        doubts: What speaks against trusting the line.
    """

    penetration_depth: Fitted
    critical_time: Fitted
    residual_s: float
    degrees_of_freedom: int
    mean_log_time: float
    mean_thickness: float
    shortest_time: float
    longest_time: float
    leverages: tuple[float, ...]
    doubts: tuple[CurveDoubt, ...]


def fit_working_curve(times: Sequence[float], thicknesses: Sequence[float], display_step: float = 0.0) -> WorkingCurve:
    """Return the least-squares line of thickness against ln(time), as Dp and Tc with uncertainty and doubts.

    Parameters
    ----------
    times
        Exposure of each square, s; repeats are welcome, since they tell scatter from bend.
    thicknesses
        mm, in the same order.
    display_step
        Of the instrument, mm. Repeats that agree exactly are not believed beyond it.

    Raises
    ------
    UnusableInput
        Fewer than three different times, a value that is not positive, or no rise of thickness with time.
    ValueError
        Times and thicknesses differ in number.

    Notes
    -----
    thickness = a + b ln t, Dp = b, Tc = exp(-a/b) (Jacobs 1992). Ordinary least squares with the
    thickness alone in error, as JCGM 100:2008, H.3. The range of Tc is that of Fieller (J. R. Stat. Soc. B 16
    (1954) 175), exact for a ratio of normal quantities; it is open, 0 or infinite, where the slope is too
    uncertain to bound it.
    """
    _refuse_unusable(times, thicknesses)
    log_times = np.log(np.asarray(times, dtype=np.float64))
    observed = np.asarray(thicknesses, dtype=np.float64)
    centre = float(log_times.mean())
    design = np.column_stack((np.ones_like(observed), log_times - centre))
    line = least_squares(design, observed)
    slope = float(line.parameters[1])
    # A rise within rounding is none.
    if slope * float(np.ptp(log_times)) <= ROUNDING * float(observed.max()):
        raise UnusableInput((Fault("curve.thicknesses", _listed(thicknesses), "curve_does_not_rise"),))
    t = float(stdtrit(line.degrees_of_freedom, 1 - SIGNIFICANCE / 2))
    slope_u = sqrt(line.covariance[1, 1])
    leverages = np.einsum("ij,ji->i", design, line.gain)
    return WorkingCurve(
        penetration_depth=Fitted(slope, slope - t * slope_u, slope + t * slope_u, slope_u),
        critical_time=_critical_time(line, centre, t),
        residual_s=line.residual_sd,
        degrees_of_freedom=line.degrees_of_freedom,
        mean_log_time=centre,
        mean_thickness=float(line.parameters[0]),
        shortest_time=float(min(times)),
        longest_time=float(max(times)),
        leverages=tuple(float(each) for each in leverages),
        doubts=tuple(_doubts(design, observed, line, leverages, display_step)),
    )


def _refuse_unusable(times: Sequence[float], thicknesses: Sequence[float]) -> None:
    if len(times) != len(thicknesses):
        raise ValueError(f"{len(times)} times and {len(thicknesses)} thicknesses")
    faults = [
        Fault(f"curve.{name}", _listed(values), "curve_not_positive")
        for name, values in (("times", times), ("thicknesses", thicknesses))
        if not all(isfinite(value) and value > 0 for value in values)
    ]
    if len(set(times)) < FEWEST_TIMES:
        faults.append(Fault("curve.times", _listed(times), "curve_too_few_times", {"fewest": FEWEST_TIMES}))
    if faults:
        raise UnusableInput(tuple(faults))


def _listed(values: Sequence[float]) -> str:
    return " ".join(f"{value:g}" for value in values)


def _critical_time(line: Fit, centre: float, t: float) -> Fitted:
    """Return Tc = exp(x0) with x0 where the line crosses zero, and Fieller's range of x0.

    With z = x0 - centre, level a and slope b: the range is all z with (a + bz)² ≤ t²(Vaa + 2z Vab + z² Vbb),
    a quadratic in z.
    """
    level, slope = (float(each) for each in line.parameters)
    (vaa, vab), (_, vbb) = line.covariance
    crossing = -level / slope
    u = sqrt(max(0.0, vaa + 2 * crossing * vab + crossing**2 * vbb)) / slope
    value = exp(max(centre + crossing, -LARGEST_LOG))
    a, b, c = slope**2 - t**2 * vbb, level * slope - t**2 * vab, level**2 - t**2 * vaa
    if a <= 0:
        return Fitted(value, 0.0, inf, value * u)
    root = sqrt(max(0.0, b**2 - a * c))
    ends = [centre + (-b + sign * root) / a for sign in (-1, 1)]
    # Rounding must not put the value outside its own range where the points lie on a line.
    return Fitted(value, min(value, exp(ends[0])), max(value, exp(min(ends[1], LARGEST_LOG))), value * u)


def _doubts(design: Array, observed: Array, line: Fit, leverages: Array, display_step: float) -> Iterator[CurveDoubt]:
    count, columns = design.shape
    if count < FEW_SQUARES:
        yield CurveDoubt("few_squares", {"squares": count})
    for index, leverage in enumerate(leverages):
        if leverage > HIGH_LEVERAGE * columns / count:
            yield CurveDoubt("leverage", {"square": index + 1, "percent": 100 * float(leverage)})
    if line.residual_sd <= ROUNDING * float(np.abs(observed).max()):
        return
    groups = [observed[design[:, 1] == x] for x in np.unique(design[:, 1])]
    if len(groups) < count:
        yield from _lack_of_fit(groups, line, columns, display_step)
    elif count > columns + 1:
        yield from _curvature(design, observed)
    yield from _outlier(observed - design @ line.parameters, line, leverages)


def _lack_of_fit(groups: list[Array], line: Fit, columns: int, display_step: float) -> Iterator[CurveDoubt]:
    """Yield where means of repeats scatter more about the line than repeats do: F test, Draper & Smith 1998."""
    pure_dof = sum(len(group) - 1 for group in groups)
    fit_dof = len(groups) - columns
    pure = sum(float(((group - group.mean()) ** 2).sum()) for group in groups)
    total = line.residual_sd**2 * line.degrees_of_freedom
    # A display with step δ has a variance of δ²/12 (JCGM 100:2008, F.2.2.1) even where repeats look identical,
    # and identical repeats share that error, so that averaging them does not reduce it.
    repeats = sum(len(group) for group in groups) / len(groups)
    pure_variance = max(pure / pure_dof, repeats * display_step**2 / 12, sys.float_info.min)
    p = float(fdtrc(fit_dof, pure_dof, max(0.0, total - pure) / fit_dof / pure_variance))
    if p < SIGNIFICANCE:
        yield CurveDoubt("lack_of_fit", {"p": p})


def _curvature(design: Array, observed: Array) -> Iterator[CurveDoubt]:
    """Yield where a quadratic term is significant, for want of repeats: the t test of the added column."""
    bent = least_squares(np.column_stack((design, design[:, 1] ** 2)), observed)
    u = max(sqrt(bent.covariance[2, 2]), sys.float_info.min)
    p = 2 * float(stdtr(bent.degrees_of_freedom, -abs(bent.parameters[2]) / u))
    if p < SIGNIFICANCE:
        yield CurveDoubt("curvature", {"p": p})


_LEAST_LEFT = 1e-300
"""Stands for no scatter at all beside one square, where the quotient would overflow."""


def _outlier(residuals: Array, line: Fit, leverages: Array) -> Iterator[CurveDoubt]:
    """Yield the square whose externally studentised residual is beyond Student's t at Bonferroni's level."""
    dof = line.degrees_of_freedom - 1
    if dof < 1:
        return
    squares = line.residual_sd**2 * line.degrees_of_freedom * (1 - leverages)
    studentised = residuals * np.sqrt(dof / np.maximum(squares - residuals**2, _LEAST_LEFT))
    index = int(np.argmax(np.abs(studentised)))
    p = min(1.0, 2 * len(residuals) * float(stdtr(dof, -abs(studentised[index]))))
    if p < SIGNIFICANCE:
        yield CurveDoubt("outlier", {"square": index + 1, "p": p})
