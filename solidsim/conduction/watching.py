"""What is noted of the metal while it cools: which cells, at which thresholds, and where."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Near, Watched
from solidsim.model import Model
from solidsim.section.grid import Grid

Array = NDArray[np.float64]


def mirrored_where_insulated(is_metal: NDArray[np.bool_], model: Model) -> NDArray[np.bool_]:
    """Metal with its mirror image in the ring behind insulated sides, as gradients see it."""
    mirrored, nx = is_metal.copy(), model.section.grid.shape[1]
    left, right, bottom, top = (side.kind == "insulated" for side in model.sides)
    mirrored[:, 0] |= left & is_metal[:, 1]
    mirrored[:, nx + 1] |= right & is_metal[:, nx]
    mirrored[0] |= bottom & is_metal[1]
    mirrored[-1] |= top & is_metal[-2]
    return mirrored


def watch(
    grid: Grid,
    is_metal: NDArray[np.bool_],
    thresholds: Array,
    judging: int,
    sampled: NDArray[np.int64],
) -> Watched:
    """What is noted of the metal on a grid.

    Parameters
    ----------
    grid : Grid
    is_metal : ndarray of bool, shape (ny + 2, nx + 2) or wider
    thresholds : ndarray, falling
        Of u.
    judging : int
        Number of the threshold at which gradients are taken.
    sampled : ndarray of int64
        Cells whose temperature is kept, flat with the ring.
    """
    inside = np.zeros_like(is_metal)
    within = np.s_[1:-1, 1 : grid.shape[1] + 1]
    inside[within] = is_metal[within]
    cells = np.flatnonzero(inside)
    return Watched(
        cells=cells.astype(np.uint32),
        is_metal=is_metal,
        x=_with_mirrored_ends(grid.x_centers, grid.x_edges),
        y=_with_mirrored_ends(grid.y_centers, grid.y_edges),
        thresholds=thresholds,
        judging=judging,
        passed=np.zeros(cells.size, np.int64),
        room=np.zeros(cells.size),
        pending=np.zeros(cells.size + 1, np.uint32),
        crossings=np.full((thresholds.size, cells.size), math.nan),
        gradients=np.full(cells.size, math.nan),
        samples=sampled,
    )


def near_of(watched: Watched) -> Near:
    """Room for those of the watched cells that may pass a threshold in a step."""
    size = watched.cells.size
    return Near(
        counts=np.zeros(2, np.int64),
        watched=np.zeros(size, np.uint32),
        cell=np.zeros(size, np.uint32),
        start=np.zeros(size),
        low=np.zeros(size),
        high=np.zeros(size),
    )


def _with_mirrored_ends(centers: Array, edges: Array) -> Array:
    ends = 2.0 * edges[[0, -1]] - centers[[0, -1]]
    return np.concatenate([ends[:1], centers, ends[1:]])
