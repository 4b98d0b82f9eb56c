"""How deep would a wire go into the shrinkage pipe?"""

import numpy as np
from numpy.typing import NDArray

from solidsim.section.grid import Grid

Array = NDArray[np.float64]

HALF = 0.5  # a cell that is emptier than this lets a wire in


def pipe_depth(
    grid: Grid, depth: Array, part: NDArray[np.bool_], metal: NDArray[np.bool_], pipe: Array
) -> float:
    """Depth of the pipe that starts in a part, from the top of the part down, [m].

    Parameters
    ----------
    grid : Grid
    depth : ndarray, shape (ny, nx), [m]
        Out of the page: the height of the metal in the plan view.
    part, metal : ndarray of bool, shape (ny, nx)
    pipe : ndarray, shape (ny, nx), [1]
        Empty share of each cell.

    Notes
    -----
    Upright, the lowest cell that is more than half empty, in the columns of the part; the share
    to which the cell below it is empty is added. Where no cell is, the fullest column tells.
    """
    if not part.any():
        return 0.0
    if grid.view == "plan":
        return float((pipe * depth)[part].max())
    columns = np.flatnonzero(part.any(axis=0))
    top = grid.y_edges[np.flatnonzero(part.any(axis=1))[-1] + 1]
    deepest = 0.0
    for i in columns:
        empty = np.where(metal[:, i], pipe[:, i], 0.0)
        open_rows = np.flatnonzero(empty > HALF)
        if open_rows.size:
            low = open_rows[0]
            more = empty[low - 1] * grid.dy[low - 1] if low > 0 else 0.0
            deepest = max(deepest, top - grid.y_edges[low] + more)
        else:
            deepest = max(deepest, float(empty @ grid.dy))
    return float(deepest)
