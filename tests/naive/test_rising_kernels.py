"""The kernels of the rising fill against their plain twins."""

import numpy as np
import pytest
from naive_rising import carried, distances

from solidsim.fill.rising_kernels import carry, spread


def cavity(seed):
    rng = np.random.default_rng(seed)
    nx, ny = int(rng.integers(1, 9)), int(rng.integers(1, 9))
    passable = rng.random(nx * ny) < 0.75
    mouths = rng.integers(-1, nx * ny, int(rng.integers(1, 4)))
    return rng, nx, passable, mouths


def reached(passable, mouths, nx):
    d, order = np.full(passable.size, -1), np.zeros(passable.size, np.int64)
    return d, order, spread(passable, mouths, nx, d, order)


@pytest.mark.parametrize("seed", range(30))
def test_spread_counts_cells_from_the_nearest_mouth(seed):
    _, nx, passable, mouths = cavity(seed)
    d, order, count = reached(passable, mouths, nx)
    assert d.tolist() == distances(passable, mouths, nx)
    assert sorted(order[:count]) == np.flatnonzero(d >= 0).tolist()
    assert (np.diff(d[order[:count]]) >= 0).all()


@pytest.mark.parametrize("parts", [1, 3])
@pytest.mark.parametrize("seed", range(30))
def test_carried_heat_is_that_of_the_twin_and_none_is_lost(seed, parts):
    rng, nx, passable, mouths = cavity(seed)
    d, order, count = reached(passable, mouths, nx)
    V, h = rng.uniform(0.5, 2.0, d.size), rng.uniform(1.0, 9.0, d.size)
    new = (rng.random(d.size) < 0.2) & (d >= 0)
    wanted, h_in = np.where(new, V, 0.0), rng.uniform(5.0, 9.0, d.size)
    after, F, at_mouth = h.copy(), np.zeros(d.size), np.zeros(d.size)
    held = np.where(new, 0.0, V)
    exact, entering = carried(d.tolist(), wanted, parts, h_in, nx, held, h)
    before = (held * h)[d >= 0].sum()
    carry(d, order, count, wanted, parts, h_in, nx, held, after, F, at_mouth)
    np.testing.assert_allclose(after, exact, rtol=1e-12)
    np.testing.assert_allclose(at_mouth, entering, rtol=1e-12, atol=1e-15)
    np.testing.assert_allclose(held, V, rtol=1e-12)
    brought = (at_mouth * h_in).sum()
    assert (V * after)[d >= 0].sum() == pytest.approx(before + brought, rel=1e-12)
    assert at_mouth.sum() == pytest.approx(wanted.sum(), rel=1e-12)
