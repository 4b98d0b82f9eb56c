"""How wide is the metal where a way closed?"""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.section.grid import Grid

Array = NDArray[np.float64]

DIRECTIONS = 24  # in which a neck is measured across


def neck_width(metal: NDArray[np.bool_], grid: Grid, cell: tuple[int, int]) -> float:
    """Shortest way across the metal through a cell, [m]."""
    x, y = grid.x_centers[cell[1]], grid.y_centers[cell[0]]
    step = 0.5 * min(grid.dx[cell[1]], grid.dy[cell[0]])
    reach = np.arange(0.0, np.hypot(np.ptp(grid.x_edges), np.ptp(grid.y_edges)), step)
    widths = []
    for angle in np.pi * np.arange(DIRECTIONS) / DIRECTIONS:
        ways = [_free_way(metal, grid, x + side * reach * math.cos(angle),
                          y + side * reach * math.sin(angle)) for side in (1.0, -1.0)]  # fmt: skip
        widths.append((sum(ways) - 1) * step)
    return float(min(widths))


def _free_way(metal: NDArray[np.bool_], grid: Grid, x: Array, y: Array) -> int:
    """How many of the points, one after the other, lie in metal."""
    i = np.searchsorted(grid.x_edges, x, side="right") - 1
    j = np.searchsorted(grid.y_edges, y, side="right") - 1
    ny, nx = grid.shape
    inside = (0 <= i) & (i < nx) & (0 <= j) & (j < ny)
    inside[inside] = metal[j[inside], i[inside]]
    return int(inside.size if inside.all() else np.argmin(inside))
