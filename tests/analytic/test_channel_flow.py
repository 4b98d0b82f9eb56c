"""Slow flow between walls, in the section and out of it.

Problem: metal pressed through a channel of height b at mean speed U. Solution: between walls that
are drawn u = 6 U (y/b)(1 - y/b), and dp/dx = -12 mu U / b^2; the same gradient where the walls
are out of the page at a distance b (Poiseuille's plane flow; Lamb 1932, section 330).

Velocities are solved to 1e-5 of U, which is an error of 1e-5 rho U / dt in the gradient: here up
to 2 %.
"""

import numpy as np
import pytest
from basins import basin, column, go_on, left_mouth, open_flow

RHO, NU, U = 7000.0, 1e-3, 0.02
THICK = {"density": RHO, "viscosity": NU, "gravity": (0.0, 0.0)}


def pressed_through(section, slip):
    """A flow that fills a channel at speed U, when most of it is full."""
    rows, columns = section.grid.shape[0] - 2, section.grid.shape[1] - 2
    start = column(section, rows, columns - 12)
    mouth = left_mouth(section, rows)
    flow = open_flow(section, start, [mouth], metal=THICK, slip=slip)
    area = section.volumes[1, 1] / section.grid.dx[1] * rows
    go_on(flow, 0.3, inflow=np.array([U * area]))
    return flow


def test_profile_between_drawn_walls():
    n, h = 16, 0.00125
    flow = pressed_through(basin((n, 70), h), slip=False)
    y = (np.arange(n) + 0.5) / n
    np.testing.assert_allclose(flow.u[1:-1, 40], 6.0 * U * y * (1.0 - y), rtol=0.04)
    gradient = (flow.pressure[8, 36] - flow.pressure[8, 46]) / (10.0 * h)
    assert gradient == pytest.approx(12.0 * RHO * NU * U / (n * h) ** 2, rel=0.02)


def test_gradient_between_walls_out_of_the_page():
    depth, h = 0.02, 0.0025
    flow = pressed_through(basin((4, 40), h, depth, walled=True), slip=True)
    gradient = (flow.pressure[2, 10] - flow.pressure[2, 20]) / (10.0 * h)
    assert gradient == pytest.approx(12.0 * RHO * NU * U / depth**2, rel=0.02)


def test_rough_flow_between_walls_out_of_the_page():
    """Blasius: dp/dx = f rho U^2 / (4 b), f = 0.316 Re^-1/4, Re = 2 b U / nu = 50,000."""
    depth, h, speed, nu = 0.01, 0.0025, 2.0, 8e-7
    section = basin((4, 40), h, depth, walled=True)
    metal = {"density": RHO, "viscosity": nu, "gravity": (0.0, 0.0)}
    flow = open_flow(section, column(section, 4, 30), [left_mouth(section, 4)], metal=metal)
    go_on(flow, 0.009, inflow=np.array([speed * 4 * h * depth]))
    gradient = (flow.pressure[2, 5] - flow.pressure[2, 15]) / (10.0 * h)
    exact = 0.316 / 50000.0**0.25 * RHO * speed**2 / (4.0 * depth)
    assert gradient == pytest.approx(exact, rel=0.02)
