"""The working curve of a resin: exposure times in, cure depths out, and the other way round.

Lengths mm, times s at one fixed irradiance. This file must never know a particular resin.
"""

from math import exp, log

LARGEST_LOG_RATIO = 20.0
"""Beyond e^20, half a thousand million times the critical time, the law is far out of its range."""


def cure_depth(time: float, penetration_depth: float, critical_time: float) -> float:
    """Return how deep one exposure cures: Cd = Dp ln(t/Tc), and nothing below the critical time.

    Parameters
    ----------
    time
        Exposure, s.
    penetration_depth
        Dp, mm: depth at which the light has fallen to 1/e.
    critical_time
        Tc, s: exposure at which the resin at the film just gels. With fixed irradiance I, Tc = Ec/I.

    Returns
    -------
    float
        mm. Monotone in each argument: rises with time, falls with Tc, and rises with Dp.

    Notes
    -----
    P. F. Jacobs, Fundamentals of Stereolithography, 1992 (the working curve). Holds for absorption
    that does not change while the resin cures, and for exposures that are neither so short that oxygen rules
    nor so long that spare light does.
    """
    return penetration_depth * max(0.0, log(time / critical_time))


def time_for_depth(depth: float, penetration_depth: float, critical_time: float) -> float:
    """Return the exposure that just cures ``depth``: t = Tc exp(Cd/Dp); the inverse of ``cure_depth``.

    Units, range and source as there. A depth of 0 or less needs the critical time. Grows exponentially with
    depth and is cut off at e^20 times the critical time, where no printer and no resin follow any more.
    """
    return critical_time * exp(min(max(depth, 0.0) / penetration_depth, LARGEST_LOG_RATIO))


def gain_of_doubling(penetration_depth: float) -> float:
    """Return what doubling an exposure adds to the cure depth: Dp ln 2, mm, whatever the exposure was.

    Follows from Cd = Dp ln(t/Tc): Dp ln(2t/Tc) - Dp ln(t/Tc). Source and range as ``cure_depth``.
    """
    return penetration_depth * log(2.0)
