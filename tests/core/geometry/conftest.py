"""Norms as shipped, and readings in one line."""

import pytest

from core.knowledge import Knowledge, load_knowledge
from core.report import POSITIONS, Readings


@pytest.fixture(scope="session")
def knowledge() -> Knowledge:
    return load_knowledge()


@pytest.fixture(scope="session")
def coupons():
    """Make Readings of five values in the stated order: a number, repeats, or None for a lost coupon."""

    def make(*five, nominal=1.0) -> Readings:
        given = {
            position.value: value if value is None or isinstance(value, tuple) else (value,)
            for position, value in zip(POSITIONS, five, strict=True)
        }
        return Readings(nominal_mm=nominal, **given)

    return make
