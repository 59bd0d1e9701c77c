"""Common practice, no published source: the bands of resin-printing communities as check values."""

import pytest

from core.geometry import measure
from core.knowledge import load_knowledge
from core.report import CORNERS, Position, Readings


def plate(spread, offset=0.0):
    """Return readings of a plane that falls by ``spread`` from left to right, centred on ``offset``."""
    given = {p.value: (1.0 + offset + p.x * spread / 2,) for p in (*CORNERS, Position.CENTRE)}
    return Readings(**given)


@pytest.mark.parametrize(
    ("spread", "band"),
    [
        (0.05, "good"),
        (0.20, "good"),
        (0.30, "workable"),
        (0.35, "marginal"),
        (0.40, "out_of_parallel"),
        (0.60, "out_of_parallel"),
    ],
)
def test_common_practice_bands_of_the_spread(spread, band):
    """Common practice: good up to 0.20 mm, workable about 0.30, out of parallel from 0.40."""
    assert measure(plate(spread), load_knowledge(), draws=2000).band == band


@pytest.mark.parametrize(("offset", "fine"), [(0.0, True), (0.15, True), (-0.15, True), (0.25, False), (-0.25, False)])
def test_common_practice_offset(offset, fine):
    """Common practice: an offset within ±0.20 mm is fine."""
    probability = measure(plate(0.0, offset), load_knowledge(), draws=2000).offset_ok_probability
    assert (probability > 0.5) is fine
