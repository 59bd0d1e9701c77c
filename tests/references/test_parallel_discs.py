"""Squeeze flow between parallel discs: J. Stefan 1874; O. Reynolds 1886.

Bird, Stewart & Lightfoot, Transport Phenomena, 2nd ed., problem 3C.1 (number of the problem from memory). The worked
113.097 N is derived; it and the closed form are checked against a finite-volume solution of Reynolds' equation.
"""

from math import pi

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.exposure.squeeze_flow import disc_force, settling_time

MU, RADIUS, GAP, SPEED = 0.3, 0.010, 50e-6, 0.001


def reynolds_force(viscosity, radius, gap, speed, rings):
    """Solve (1/r) d/dr (r h³/(12 μ) dp/dr) = -V with p(R) = 0 on equal rings and sum the pressure."""
    width = radius / rings
    faces = width * np.arange(rings + 1)
    middles = (faces[:-1] + faces[1:]) / 2
    conductance = faces[1:] * gap**3 / (12 * viscosity) / width
    conductance[-1] *= 2  # half a ring to the rim, where the pressure is that outside
    matrix = np.zeros((rings, rings))
    for ring in range(rings):
        matrix[ring, ring] += conductance[ring]
        if ring + 1 < rings:
            matrix[ring, ring + 1] -= conductance[ring]
            matrix[ring + 1, ring] -= conductance[ring]
            matrix[ring + 1, ring + 1] += conductance[ring]
    pressure = np.linalg.solve(matrix, speed * middles * width)
    return float((pressure * 2 * pi * middles * width).sum())


def test_the_worked_number():
    assert disc_force(MU, RADIUS, GAP, SPEED) == pytest.approx(113.097, abs=5e-4)


def test_the_closed_form_matches_reynolds_equation_on_a_grid():
    assert reynolds_force(MU, RADIUS, GAP, SPEED, rings=400) == pytest.approx(
        disc_force(MU, RADIUS, GAP, SPEED), rel=2e-5
    )


def test_a_finer_grid_comes_closer_in_second_order():
    """Guards the check above against agreeing by chance: halving the rings' width divides the error by four."""
    exact = disc_force(MU, RADIUS, GAP, SPEED)
    coarse, fine = (abs(reynolds_force(MU, RADIUS, GAP, SPEED, rings) - exact) for rings in (20, 40))
    assert coarse / fine == pytest.approx(4, rel=0.05)


def test_the_settling_time_integrates_the_force():
    """dh/dt = -V with V from F, integrated step by step from h0 down to h."""
    force, start = 30.0, 400e-6

    def approach(_, gap):
        return [-force / disc_force(MU, RADIUS, gap[0], 1.0)]

    def arrived(_, gap):
        return gap[0] - GAP

    arrived.terminal = True
    path = solve_ivp(approach, (0, 1e3), [start], events=arrived, rtol=1e-10, atol=1e-14)
    assert path.t_events[0][0] == pytest.approx(settling_time(MU, RADIUS, force, GAP, start), rel=1e-6)
