"""G. W. Brier, Monthly Weather Review 78 (1950) 1, with the example of scikit-learn's documentation, quoted."""

import pytest

from core.statistics.calibration import score_brier


def test_the_example_scores_0375():
    assert score_brier([0.1, 0.9, 0.8, 0.3], [False, True, True, False]) == pytest.approx(0.0375)
