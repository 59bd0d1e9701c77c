"""Dose through the layer stack: exposures of the layers in, what each layer receives in the end out.

Doses are seconds of direct light at the film, so irradiance drops out. This file must never know what a hard
step does to a print.
"""

from math import ceil, exp, log

import numpy as np
import numpy.typing as npt

from core.exposure.corners import evaluate
from core.exposure.model import Assumption, DoseProfile, LayerDose, LayerKind, Quantity

NORMAL_LAYERS_SHOWN = 12


def stack_doses(
    exposures: npt.ArrayLike, layer_height: float, penetration_depth: float, beyond: float = 0.0
) -> npt.NDArray[np.float64]:
    """Return the dose at the film side of each layer: E_i = Σ_{j ≥ i} t_j exp(-(j - i)h/Dp).

    Parameters
    ----------
    exposures
        t_j, s, shape (n,), counted from the plate.
    layer_height, penetration_depth
        h and Dp, mm.
    beyond
        Exposure of each of endlessly many layers that follow, s; 0 where nothing follows.

    Returns
    -------
    numpy.ndarray
        Seconds of direct light, shape (n,).

    Notes
    -----
    Beer-Lambert law; for n equal layers the sum is the geometric series t (1 - c^n)/(1 - c) with the
    carry-over c = exp(-h/Dp). Holds for absorption that does not change on curing and for a plate that
    reflects nothing.
    """
    carry = exp(-layer_height / penetration_depth)
    own = np.asarray(exposures, dtype=np.float64)
    doses = np.empty_like(own)
    following = beyond / (1 - carry)
    for index in range(len(own) - 1, -1, -1):
        following = own[index] + carry * following
        doses[index] = following
    return doses


def ramp(burn_in: float, normal: float, layers: int) -> npt.NDArray[np.float64]:
    """Return the exposures of linear transition layers, s, shape (layers,): T - (T - t) k/(n + 1), k = 1 … n.

    Burn-in and normal exposure themselves are the ends and not part of it.
    """
    steps = np.arange(1, layers + 1, dtype=np.float64)
    return burn_in - (burn_in - normal) * steps / (layers + 1)


def last_step(exposure_ratio: float, layers: int) -> float:
    """Return the steepest exposure ratio of a linear ramp's neighbours, its last: 1 + (R - 1)/(n + 1).

    Neighbours of a falling linear ramp differ by the same time, which weighs most where the exposure is
    least. R is burn-in over normal exposure, n the number of transition layers.
    """
    return 1 + (exposure_ratio - 1) / (layers + 1)


def ramp_length(exposure_ratio: float, step_ratio: float) -> int:
    """Return the fewest transition layers whose mean step is within ``step_ratio``: R^(1/(n + 1)) ≤ r.

    The mean is the geometric one, as these are ratios: a ramp of n layers takes n + 1 steps from R down to 1.
    0 where burn-in and normal exposure already lie within one step. ``step_ratio`` must be above 1. A linear
    ramp's last step is steeper than the mean (``last_step``). The rule and its ratio are common practice.
    """
    if exposure_ratio <= step_ratio:
        return 0
    # Backs off a rounding error, or an exact power such as 1.5² would ask for one layer more.
    return ceil(log(exposure_ratio) / log(step_ratio) - 1e-9) - 1


def dose_step(burn_in: float, normal: float, layers: int, layer_height: float, penetration_depth: float) -> float:
    """Return the dose of the last burn-in layer over the dose of a normal layer.

    With weights (1 - c)c^k it is the weighted mean of the exposures from the last burn-in layer on, over the
    normal one; a larger carry-over c moves weight to later layers, which are no longer than earlier ones, so
    it is monotone in h and in Dp.
    """
    exposures = np.concatenate(([burn_in], ramp(burn_in, normal, layers)))
    carry = exp(-layer_height / penetration_depth)
    return float(stack_doses(exposures, layer_height, penetration_depth, normal)[0] * (1 - carry) / normal)


def profile_dose(
    *,
    burn_in_layers: int,
    burn_in: float,
    transition_layers: int,
    normal: float,
    layer_height: Quantity,
    penetration_depth: Quantity,
    step_ratio: float,
    ramp_given: bool = True,
) -> DoseProfile:
    """Return the dose of every layer from the plate to the first normal ones, and the burn-in's top step.

    Exposures s, lengths mm; ``step_ratio`` is the mean ratio that neighbouring layers of a ramp should keep
    within. Each layer's dose rises with Dp and falls with h, so its range lies at two opposite corners.
    """
    kinds: list[LayerKind] = []
    kinds += ["burn_in"] * burn_in_layers
    kinds += ["transition"] * transition_layers
    kinds += ["normal"] * NORMAL_LAYERS_SHOWN
    exposures = np.concatenate(
        (
            np.full(burn_in_layers, burn_in),
            ramp(burn_in, normal, transition_layers),
            np.full(NORMAL_LAYERS_SHOWN, normal),
        )
    )
    middle = stack_doses(exposures, layer_height.value, penetration_depth.value, normal)
    least = stack_doses(exposures, layer_height.high, penetration_depth.low, normal)
    most = stack_doses(exposures, layer_height.low, penetration_depth.high, normal)
    ratio = burn_in / normal
    return DoseProfile(
        layers=tuple(
            LayerDose(kind, float(own), float(dose), float(low), float(high))
            for kind, own, dose, low, high in zip(kinds, exposures, middle, least, most, strict=True)
        ),
        exposure_ratio=ratio,
        step=evaluate(
            lambda height, depth: dose_step(burn_in, normal, transition_layers, height, depth),
            layer_height,
            penetration_depth,
            unit="1",
            also=() if ramp_given else (Assumption("no_transition_layers"),),
        ),
        ramp_step=last_step(ratio, transition_layers),
        ramp_layers=ramp_length(ratio, step_ratio),
    )


def lit_time(profile: DoseProfile) -> float:
    """Return how long the screen is lit for burn-in and transition layers, s."""
    return sum(layer.exposure_s for layer in profile.layers if layer.kind != "normal")
