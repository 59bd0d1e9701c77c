"""Linear least squares by orthogonal factorisation: a design and observations in, a fit with its covariance out.

Knows nothing of coupons. It must never form the normal equations, whose condition number is the square of the
design's.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A linear fit of p parameters to n observations.

    Attributes:
        parameters: Estimates, shape (p,).
        gain: The linear map from observations to estimates, shape (p, n).
        cofactor: (XᵀX)⁻¹, shape (p, p): the covariance of the estimates where every observation has unit
            variance.
        residual_sd: Root of the residual sum of squares over the degrees of freedom; 0 where there are none.
        degrees_of_freedom: n - p.
    """

    parameters: Array
    gain: Array
    cofactor: Array
    residual_sd: float
    degrees_of_freedom: int

    @property
    def covariance(self) -> Array:
        """Covariance of the estimates where the observations' variance is known only from the residuals, (p, p)."""
        return self.cofactor * self.residual_sd**2

    def predict(self, row: ArrayLike) -> tuple[float, float]:
        """Return the fitted value at a row of the design and its standard uncertainty from ``covariance``."""
        at = np.asarray(row, dtype=np.float64)
        return float(at @ self.parameters), float(np.sqrt(at @ self.covariance @ at))


def least_squares(design: ArrayLike, observations: ArrayLike) -> Fit:
    """Fit observations of equal uncertainty: minimise |design · parameters - observations|².

    For unequal uncertainties divide each row and its observation by its standard uncertainty; ``cofactor``
    then is the covariance of the estimates.

    Args:
        design: Shape (n, p), n ≥ p, of full column rank.
        observations: Shape (n,).

    Raises:
        ValueError: Shapes do not agree, n < p, or the columns depend on each other as far as double precision
            can tell.

    Source:
        Golub and Van Loan, Matrix Computations, 4th ed. (2013), 5.3: least squares by Householder QR.
    """
    X = np.asarray(design, dtype=np.float64)
    y = np.asarray(observations, dtype=np.float64)
    if X.ndim != 2 or y.shape != X.shape[:1] or X.shape[0] < X.shape[1]:  # noqa: PLR2004 - a design is a matrix
        raise ValueError(f"a design of shape {X.shape} does not fit observations of shape {y.shape}")
    rows, columns = X.shape
    # Columns of equal length: the rank test then judges their directions and not their units.
    lengths = np.linalg.norm(X, axis=0)
    if not np.all(lengths > 0):
        raise ValueError("the design has a column of zeros")
    Q, R = np.linalg.qr(X / lengths)
    # A column's place on the diagonal is its distance from the span of those before it.
    if np.min(np.abs(np.diag(R))) <= rows * np.finfo(np.float64).eps:
        raise ValueError("the columns of the design depend on each other")
    inverse = _back_substitute(R, np.eye(columns)) / lengths[:, None]
    # Back substitution of Qᵀy loses less than multiplying by the gain.
    parameters = _back_substitute(R, Q.T @ y) / lengths
    residuals = y - X @ parameters
    dof = rows - columns
    sd = float(np.sqrt(residuals @ residuals / dof)) if dof else 0.0
    return Fit(parameters, inverse @ Q.T, inverse @ inverse.T, sd, dof)


def _back_substitute(R: Array, right: Array) -> Array:
    """Solve R · x = right for an upper triangular R.

    Few columns, so a loop costs less than the triangular solver of a linear algebra library, which wakes its
    threads.
    """
    x = np.empty_like(right)
    for row in reversed(range(R.shape[0])):
        x[row] = (right[row] - R[row, row + 1 :] @ x[row + 1 :]) / R[row, row]
    return x
