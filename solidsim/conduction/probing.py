"""Temperatures at points: from the cells around a point at every stage to a curve in time."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from solidsim.model import Model, Probe

Array = NDArray[np.float64]


def probe_weights(model: Model, probes: Sequence[Probe]) -> tuple[NDArray[np.int64], Array]:
    """Cells and weights of each probe, both shape (np, 4); cells as ``j * nx + i``.

    Bilinear between the four cell middles around the point, as far as they hold the material of
    the cell that the point lies in; that cell alone where none of the others does.
    """
    grid = model.section.grid
    cells = np.zeros((len(probes), 4), np.int64)
    weights = np.zeros((len(probes), 4))
    for p, probe in enumerate(probes):
        own = _cell_of(grid.y_edges, probe.y), _cell_of(grid.x_edges, probe.x)
        below, rise = _between(grid.y_centers, probe.y)
        west, reach = _between(grid.x_centers, probe.x)
        for n, (up, east) in enumerate(((0, 0), (0, 1), (1, 0), (1, 1))):
            j = min(below + up, grid.y_centers.size - 1)
            i = min(west + east, grid.x_centers.size - 1)
            share = (rise if up else 1.0 - rise) * (reach if east else 1.0 - reach)
            same = model.material_index[j, i] == model.material_index[own]
            cells[p, n] = j * grid.x_centers.size + i
            weights[p, n] = share if same else 0.0
        if weights[p].sum() <= 0.0:
            cells[p], weights[p] = own[0] * grid.x_centers.size + own[1], 0.25
        weights[p] /= weights[p].sum()
    return cells, weights


def _cell_of(edges: Array, value: float) -> int:
    return int(np.clip(np.searchsorted(edges, value, side="right") - 1, 0, edges.size - 2))


def _between(centers: Array, value: float) -> tuple[int, float]:
    """Lower neighbor of a value among the cell middles, and the share of the way to the next."""
    if centers.size == 1:
        return 0, 0.0
    lower = int(np.clip(np.searchsorted(centers, value) - 1, 0, centers.size - 2))
    share = (value - centers[lower]) / (centers[lower + 1] - centers[lower])
    return lower, float(np.clip(share, 0.0, 1.0))
