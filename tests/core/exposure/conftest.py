"""Plates, settings and knowledge for the tests of exposure. All numbers here are invented."""

import pytest

from core.geometry.model import Budget, Contrasts, Estimate, Geometry, StartMove
from core.knowledge import load_knowledge
from core.report import CORNERS, Position
from core.words import load_words


@pytest.fixture(scope="session")
def knowledge():
    return load_knowledge()


@pytest.fixture(scope="session")
def words():
    return load_words("en")


def make_plate(*, offset=0.0, tilt_x=0.0, tilt_y=0.0, crown=0.0, u=0.02, missing=None):
    """Return a Geometry with these contrasts, each with the same standard uncertainty and independent."""
    contrasts = Contrasts(
        offset=offset,
        tilt_x=tilt_x,
        tilt_y=tilt_y,
        twist=0.0,
        crown=crown,
        covariance=tuple(tuple(u * u if row == column else 0.0 for column in range(5)) for row in range(5)),
    )
    errors = {each: offset + tilt_x * each.x + tilt_y * each.y for each in CORNERS}
    errors[Position.CENTRE] = offset + crown

    def estimate(value):
        return Estimate(value, value - 1.96 * u, value + 1.96 * u, u)

    highest, lowest = max(CORNERS, key=errors.__getitem__), min(CORNERS, key=errors.__getitem__)
    return Geometry(
        nominal=1.0,
        errors=errors,
        measured={each: 1.0 + error for each, error in errors.items() if each != missing},
        missing=missing,
        budget=Budget(
            common_u=0.0,
            individual_u=dict.fromkeys(errors, u),
            repeatability_s=u,
            repeatability_from="practice",
            degrees_of_freedom=float("inf"),
            components={},
            counts=dict.fromkeys(errors, 1),
        ),
        contrasts=contrasts,
        offset=estimate(offset),
        tilt_x=estimate(tilt_x),
        tilt_y=estimate(tilt_y),
        twist=estimate(0.0),
        crown=estimate(crown),
        spread=estimate(errors[highest] - errors[lowest]),
        band="good",
        band_probability={"good": 1.0, "workable": 0.0, "marginal": 0.0, "out_of_parallel": 0.0},
        offset_ok_probability=1.0,
        highest=highest,
        lowest=lowest,
        twist_significant=False,
        suspect=None,
        move_start=StartMove(abs(offset), "closer" if offset > 0 else "further"),
    )


@pytest.fixture(scope="session")
def plate():
    return make_plate
