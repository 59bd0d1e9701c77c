"""What the diagnosis tests share: the knowledge, the words, and short ways to write a report and its geometry."""

import pytest

from core.geometry import measure
from core.knowledge import load_knowledge
from core.report import Report
from core.words import load_words

ORDER = ("front_left", "front_right", "back_left", "back_right", "centre")


@pytest.fixture(scope="session")
def knowledge():
    return load_knowledge()


@pytest.fixture(scope="session")
def words():
    return load_words()


@pytest.fixture(scope="session")
def tell():
    """Build a report from ``id@place`` findings and five values; ``None`` is a lost coupon, ``()`` one not given."""

    def told(*findings, absent=(), readings=None, **parts):
        fields = {
            "findings": [dict(zip(("id", "where"), finding.split("@"), strict=False)) for finding in findings],
            "absent": list(absent),
            **parts,
        }
        if readings is not None:
            fields["readings"] = {
                name: [value] if isinstance(value, float) else value
                for name, value in zip(ORDER, readings, strict=True)
            }
        return Report.model_validate(fields)

    return told


@pytest.fixture(scope="session")
def gauge(knowledge):
    """Measure a report's readings, with fewer trials than the service uses; ``None`` without readings."""

    def measured(report):
        return None if report.readings is None else measure(report.readings, knowledge, draws=20_000)

    return measured
