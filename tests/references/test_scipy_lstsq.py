"""scipy.linalg.lstsq (LAPACK gelsd, singular values) as an independent solver of the same problems."""

import numpy as np
import pytest
import scipy.linalg

from core.geometry.least_squares import least_squares


@pytest.mark.parametrize("seed", range(40))
def test_random_problems_have_the_same_solution(seed):
    rng = np.random.default_rng(seed)
    columns = int(rng.integers(1, 7))
    rows = columns + int(rng.integers(0, 30))
    design = rng.normal(size=(rows, columns)) * 10.0 ** rng.integers(-3, 4, columns)
    y = rng.normal(size=rows)
    expected, squares, _, _ = scipy.linalg.lstsq(design, y)
    fit = least_squares(design, y)
    assert fit.parameters == pytest.approx(expected, rel=1e-7, abs=1e-12)
    inverse = np.linalg.pinv(design / np.linalg.norm(design, axis=0)) / np.linalg.norm(design, axis=0)[:, None]
    assert fit.gain == pytest.approx(inverse, rel=1e-7, abs=1e-9 * np.abs(inverse).max())
    assert fit.cofactor == pytest.approx(inverse @ inverse.T, rel=1e-7, abs=1e-9 * (inverse @ inverse.T).max())
    if rows > columns:
        assert fit.residual_sd**2 * (rows - columns) == pytest.approx(float(squares), rel=1e-9)


@pytest.mark.parametrize(
    ("design", "y"),
    [
        ([[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]], [1.0, 2.0, 3.0]),
        ([[1.0, 0.0], [2.0, 0.0], [3.0, 0.0]], [1.0, 2.0, 3.0]),
        ([[1.0, 2.0]], [1.0]),
        ([[1.0], [2.0]], [1.0]),
        ([1.0, 2.0], [1.0, 2.0]),
    ],
    ids=["dependent columns", "a column of zeros", "too few rows", "shapes apart", "no matrix"],
)
def test_a_problem_without_one_answer_is_refused(design, y):
    with pytest.raises(ValueError, match="design"):
        least_squares(design, y)
