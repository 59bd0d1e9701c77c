"""How far the estimates may be from the truth: a budget and a solution in, draws of their deviations out.

Everything is a deviation about zero, in mm. This file must never know a reading, a limit or a word.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from core.geometry.contrasts import Solution, Stand, design_matrix
from core.geometry.model import Budget
from core.geometry.propagation import Draws, Gaussian, half_width, propagate
from core.geometry.uncertainty import reading_deviations, reading_inputs
from core.report import CORNERS


@dataclass(frozen=True, slots=True, eq=False)
class Deviations:
    """Draws of how far the estimates may be from the truth, mm.

    Attributes:
        corners: Shape (4, draws), without what all positions share: that cancels from every difference. Or what was
            made of them, shape (..., draws).
        offset: Shape (draws,), with what all positions share.
        half_widths: Of the 95 % interval of each contrast, in the order of ``CONTRASTS``.
    """

    corners: Draws
    offset: Draws
    half_widths: tuple[float, ...]


def draw_deviations(
    budget: Budget,
    solution: Solution,
    stand_ins: Mapping[Stand, float],
    rng: np.random.Generator,
    draws: int,
    of_corners: Callable[[Draws], Draws] | None = None,
) -> Deviations:
    """Propagate the budget and the stand-ins' priors to corners and contrasts.

    Every input is symmetric about zero and independent of the others but for a scale, so the distribution of
    a contrast depends only on the sizes of its coefficients. Contrasts of equal sizes (both tilts and the
    twist, where no coupon is missing) share one interval, and only one of them is propagated.

    What is wanted of the corners is made block by block: to keep all draws of the corners only to reduce them
    afterwards takes memory fresh from the system, which costs as much as the draws.

    Parameters
    ----------
    of_corners
        Makes (rows, n) of the corners' deviations, (4, n); these themselves are kept if it is not given.
    """
    budgeted = reading_inputs(budget)
    inputs = (*budgeted, *(Gaussian(0.0, sd) for sd in stand_ins.values()))
    sizes, same = np.unique(np.abs(solution.gain).round(9), axis=0, return_inverse=True)
    mapping = sizes.astype(np.float32)
    to_corners = (design_matrix(CORNERS) @ solution.gain).astype(np.float32)
    offset_row, first_kept = len(sizes), len(sizes) + 1

    def model(*drawn: Draws) -> Draws:
        own, shared = reading_deviations(budget, drawn[: len(budgeted)])
        # Where nothing is missing the corners deviate as their own readings do.
        corners = own[: len(CORNERS)]
        if stand_ins:
            own = np.vstack((own, *drawn[len(budgeted) :]))
            corners = np.einsum("ij,jn->in", to_corners, own)
        kept = corners if of_corners is None else of_corners(corners)
        out = np.empty((first_kept + len(kept), shared.size), dtype=np.float32)
        # Not a matrix product: one so thin is not worth waking the threads of a linear algebra library.
        np.einsum("ij,jn->in", mapping, own, out=out[:offset_row])
        np.add(shared, out[same[0]], out=out[offset_row])
        out[first_kept:] = kept
        return out

    drawn = propagate(inputs, model, draws, rng)
    offset = drawn[offset_row]
    widths = [half_width(row) for row in drawn[:offset_row]]
    return Deviations(drawn[first_kept:], offset, (half_width(offset), *(widths[place] for place in same[1:].tolist())))
