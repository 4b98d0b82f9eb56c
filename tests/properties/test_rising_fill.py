"""Any cavity fills, or says where it does not; no metal is lost, and every level is a level."""

import numpy as np
import pytest
from scipy.ndimage import label

from solidsim.fill.pools import empty_pools
from solidsim.fill.runs import find_runs
from solidsim.section.grid import Grid


def random_pools(seed):
    """A random cavity in one piece, its mouths (run, x), and the generator."""
    rng = np.random.default_rng(seed)
    ny, nx = rng.integers(2, 14, 2)
    pieces, count = label(rng.random((ny, nx)) < 0.7)
    if not count:
        return random_pools(seed + 1000)
    cavity = pieces == 1 + np.argmax(np.bincount(pieces.ravel())[1:])
    grid = Grid(np.cumsum(rng.uniform(0.5, 2.0, nx + 1)), np.cumsum(rng.uniform(0.5, 2.0, ny + 1)))
    runs = find_runs(cavity, grid, grid.cell_areas)
    cells = rng.choice(np.argwhere(cavity), int(rng.integers(1, 4)))
    mouths = [(int(runs.number[j, i]), float(grid.x_centers[i])) for j, i in cells]
    return rng, grid, cavity, empty_pools(runs), mouths


def below_all_surfaces(pools):
    """No run of a pool stands empty under the surface of that pool."""
    runs = pools.runs
    for run in np.flatnonzero(pools.full):
        for under in runs.below[run]:
            if not pools.full[under]:
                return False
    return True


@pytest.mark.parametrize("seed", range(60))
def test_metal_fills_a_cavity_from_below_and_none_is_lost(seed):
    rng, grid, cavity, pools, mouths = random_pools(seed)
    total, poured = pools.runs.volume.sum(), 0.0
    assert total == pytest.approx(grid.cell_areas[cavity].sum())
    for _ in range(400):
        n = int(rng.integers(len(mouths)))
        refused, completed = pools.pour(*mouths[n], total / 150.0, n)
        poured += total / 150.0 - refused
        assert pools.filled.sum() == pytest.approx(poured, rel=1e-9)
        assert pools.full[completed].all()
        assert below_all_surfaces(pools)
    assert pools.full.all()
    assert poured == pytest.approx(total, rel=1e-9)
    assert pools.level(*mouths[0]) == np.inf


@pytest.mark.parametrize("seed", range(20))
def test_dead_runs_stay_as_they_are(seed):
    rng, _, _, pools, mouths = random_pools(seed)
    pools.dead[:] = rng.random(pools.runs.count) < 0.3
    before = pools.filled[pools.dead].copy()
    refused, _ = pools.pour(*mouths[0], 2.0 * pools.runs.volume.sum())
    assert refused > 0.0
    np.testing.assert_array_equal(pools.filled[pools.dead], before)
