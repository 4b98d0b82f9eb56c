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
    d, _, _ = reached(passable, mouths, nx)
    n, there = d.size, d >= 0
    potential = np.append(np.where(there, -np.round(rng.uniform(0.0, 9.0, n), 1), -np.inf),
                          np.full(nx, -np.inf))  # fmt: skip
    order = np.flatnonzero(there)[np.argsort(-potential[:n][there], kind="stable")]
    west, south = rng.uniform(0.5, 2.0, n + 1), rng.uniform(0.5, 2.0, n + nx)
    west[::nx], south[:nx], south[n:] = 0.0, 0.0, 0.0
    across = {(c - 1, c): west[c] for c in range(n)} | {(c - nx, c): south[c] for c in range(n)}
    if nx == 1:
        west[:], across = 0.0, {(c - 1, c): south[c] for c in range(n)}
    V, h = rng.uniform(0.5, 2.0, n), rng.uniform(1.0, 9.0, n)
    new = (rng.random(n) < 0.2) & there
    wanted, h_in = np.where(new, V, 0.0), rng.uniform(5.0, 9.0, n)
    after, F, enters, held = h.copy(), np.zeros(n), np.zeros(n), np.where(new, 0.0, V)
    given = [float(p) if np.isfinite(p) else None for p in potential[:n]]
    exact, entering = carried(given, across, wanted, parts, h_in, nx, held, h)
    before = (held * h)[there].sum()
    carry(order, order.size, potential, west, south, nx, wanted, parts, h_in, held, after, F,
          enters)  # fmt: skip
    np.testing.assert_allclose(after, exact, rtol=1e-12)
    np.testing.assert_allclose(enters, entering, rtol=1e-12, atol=1e-15)
    np.testing.assert_allclose(held, V, rtol=1e-12)
    brought = (enters * h_in).sum()
    assert (V * after)[there].sum() == pytest.approx(before + brought, rel=1e-12)
    assert enters.sum() == pytest.approx(wanted.sum(), rel=1e-12)
