"""The ways of metal from its mouths: those of a potential flow."""

import numpy as np
import pytest

from solidsim.fill.rising_kernels import carry
from solidsim.fill.ways import lay_ways
from solidsim.section.grid import Grid
from solidsim.section.layout import Part, Section


def section(metal, depth):
    """A section whose cells of 2 x 3 mm are all metal where told, of given depth [m]."""
    ny, nx = metal.shape
    grid = Grid(0.002 * np.arange(nx + 1), 0.003 * np.arange(ny + 1))
    part = Part("channel", "casting", (), 0.0, 0.0, 0.0, 0.0)
    return Section(grid, (part,), metal.astype(np.int16), depth, np.zeros(metal.shape))


def passing(ways, wanted):
    """Volume that passes through each cell, and what enters at each."""
    n = wanted.size
    F, enters = np.zeros(n), np.zeros(n)
    carry(
        ways.order, ways.order.size, ways.potential, ways.across_x, ways.across_y, ways.nx,
        wanted, 1, np.zeros(n), np.ones(n), np.zeros(n), F, enters,
    )  # fmt: skip
    return F, enters


def test_metal_from_one_cell_spreads_over_the_whole_channel():
    """Every row carries its share, though one cell lets all in: uneven by 2 exp(-pi x / width)."""
    metal = np.ones((8, 60), bool)
    ways = lay_ways(section(metal, np.full(metal.shape, 0.01)))
    wanted = np.zeros(metal.shape)
    wanted[:, -1] = 1.0
    ways.lead(metal.ravel(), np.array([0]), wanted.ravel())
    F, enters = passing(ways, wanted.ravel())
    np.testing.assert_allclose(F.reshape(metal.shape)[:, 30:], 1.0, rtol=0.01)
    assert enters[0] == pytest.approx(8.0, rel=1e-9)


def test_the_potential_is_that_of_a_dense_solve():
    rng = np.random.default_rng(7)
    metal = rng.random((9, 11)) < 0.8
    metal[0, 0] = metal[4, 10] = True
    depth = rng.uniform(0.005, 0.02, metal.shape)
    ways, n, nx = lay_ways(section(metal, depth)), metal.size, 11
    wanted = np.where(metal, rng.uniform(0.0, 1.0, metal.shape), 0.0).ravel()
    mouths = np.array([0, 4 * nx + 10])
    ways.lead(metal.ravel(), mouths, wanted)
    cells = np.sort(ways.order)
    wanted[~np.isin(np.arange(n), cells)] = 0.0
    A = np.zeros((n, n))
    for c in cells:
        for o, across in ((c - 1, ways.across_x[c]), (c - nx, ways.across_y[c])):
            if across > 0.0 and o in cells:
                A[c, c] += across
                A[o, o] += across
                A[c, o] = A[o, c] = -across
    inner = np.setdiff1d(cells, mouths)
    exact = np.linalg.solve(A[np.ix_(inner, inner)], -wanted[inner])
    found = ways.potential[inner]
    np.testing.assert_allclose(found / found.min(), exact / exact.min(), atol=2e-3)


def test_what_no_metal_reaches_has_no_way():
    metal = np.ones((3, 9), bool)
    metal[:, 4] = False
    ways = lay_ways(section(metal, np.full(metal.shape, 0.01)))
    ways.lead(metal.ravel(), np.array([0, -1]), metal.ravel().astype(float))
    reached = np.isfinite(ways.potential[: metal.size]).reshape(metal.shape)
    assert reached[:, :4].all()
    assert not reached[:, 4:].any()
