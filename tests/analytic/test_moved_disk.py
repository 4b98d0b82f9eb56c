"""A disk of metal carried by a given flow.

Problem: a disk of radius 0.15 in the unit square moves along the diagonal, or turns around the
middle of the square. Solution: it keeps its volume and its heat to round-off, and comes to where
the flow takes it; the mean error of its shape is known to shrink as the square of the cell
(Rider & Kothe 1998, J. Comput. Phys. 141:112, table 4: solid body rotation).
"""

import math

import numpy as np
import pytest

from solidsim.fill.free_surface_kernels import settle, sweep


def disk(n, x0, y0, radius=0.15):
    """Fractions of n x n cells in a ring, from 8 x 8 points a cell."""
    points = (np.arange(8 * n) + 0.5) / (8 * n)
    inside = (points[None] - x0) ** 2 + (points[:, None] - y0) ** 2 < radius**2
    return np.pad(inside.reshape(n, 8, n, 8).mean(axis=(1, 3)), 1)


def carried(n, F, u, v, duration):
    """Fraction and specific heat after a time; u, v (n + 2, n + 2) on faces, cells of size 1/n."""
    h, nx = 1.0 / n, n + 2
    V, A = np.zeros((nx, nx)), np.zeros((2, nx, nx))
    V[1:-1, 1:-1] = h * h
    A[0, 1:-1, 2:-1] = A[1, 2:-1, 1:-1] = h
    V, (Ax, Ay), u, v, F = V.ravel(), A.reshape(2, -1), u.ravel(), v.ravel(), F.flatten()
    steps = math.ceil(duration * max(np.abs(u).max(), np.abs(v).max()) * 2.0 / (0.4 * h))
    M, flux, gain = F * V, np.zeros(F.size), np.zeros(F.size)
    H = M * (1.0 + np.tile(np.arange(nx) % 2, nx))
    cells = np.arange(nx + 1, F.size - nx - 1, dtype=np.uint64)
    volume, heat, dt = M.sum(), H.sum(), duration / steps
    for step in range(steps):
        kind = np.where(F >= 0.5, 2, 1).astype(np.int8)
        for q, area, a, b in ((u, Ax, 1, nx), (v, Ay, nx, 1))[:: 1 - 2 * (step % 2)]:
            sweep(F, kind, M, H, q, area, V, a, b, cells, dt, flux, gain)
        assert settle(F, M, H, V, nx, cells, 1e-9) == 0.0
        assert F.min() >= 0.0
        assert F.max() <= 1.0 + 1e-9
    assert M.sum() == pytest.approx(volume, rel=1e-13)
    assert H.sum() == pytest.approx(heat, rel=1e-13)
    specific = H[M > 0.0] / M[M > 0.0]
    assert specific.min() > 1.0 - 1e-6
    assert specific.max() < 2.0 + 1e-6
    return F.reshape(nx, nx)


def error(found, exact, n):
    return np.abs(found - exact).sum() / n**2


def test_carried_along_the_diagonal():
    n = 48
    one = np.ones((n + 2, n + 2))
    found = carried(n, disk(n, 0.25, 0.25), one, 0.5 * one, 0.5)
    assert error(found, disk(n, 0.75, 0.5), n) < 1.5e-3


def test_turned_around():
    errors = []
    for n in (24, 48):
        middle = (np.arange(n + 2) - 0.5) / n - 0.5
        u = np.tile(-middle[:, None], n + 2)
        v = np.tile(middle, (n + 2, 1))
        start = disk(n, 0.5, 0.75)
        errors.append(error(carried(n, start, u, v, 2.0 * math.pi), start, n))
    assert errors[1] < 2e-3
    assert errors[0] / errors[1] > 2.5
