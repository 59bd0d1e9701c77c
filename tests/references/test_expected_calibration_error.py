"""Expected calibration error: the example of torchmetrics' documentation, quoted."""

import pytest

from core.statistics.calibration import bin_by_probability, calibration_error


def test_the_example_in_two_bins_is_2900():
    bins = bin_by_probability([0.25, 0.25, 0.55, 0.75, 0.75], [False, False, True, True, True], 2)
    assert calibration_error(bins) == pytest.approx(0.2900, abs=5e-5)
