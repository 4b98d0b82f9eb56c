"""The cavity as rows of cells side by side: where quiet metal falls to and how its level rises.

A run is a stretch of cavity cells in one row. Metal in a run falls to an open run below, spreads
over a run whose floor is full, and then lifts all open runs that lie lowest around its pool.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.section.grid import Grid

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Runs:
    """Stretches of cavity cells, numbered upward row by row.

    Parameters
    ----------
    number : ndarray of int64, shape (ny, nx)
        Run of each cell, -1 outside the cavity.
    row : ndarray of int64, shape (nr,)
    middle, left, right : ndarray, shape (nr,), [m]
    bottom, height : ndarray, shape (nr,), [m]
    volume : ndarray, shape (nr,), [m3]
    above, below : tuple of tuples
        Touching runs in the next row up and down.
    touching : ndarray of int64, shape (pairs, 2)
        Runs that touch, the lower one first.
    """

    number: NDArray[np.int64]
    row: NDArray[np.int64]
    middle: Array
    left: Array
    right: Array
    bottom: Array
    height: Array
    volume: Array
    above: tuple[tuple[int, ...], ...]
    below: tuple[tuple[int, ...], ...]
    touching: NDArray[np.int64]

    @property
    def count(self) -> int:
        """How many runs there are."""
        return self.row.size

    def sums(self, values: Array) -> Array:
        """Sum of a cell field (ny, nx) over each run, shape (nr,)."""
        inside = self.number >= 0
        return np.bincount(self.number[inside], values[inside], self.count).astype(float)

    def any(self, cells: Mask) -> Mask:
        """Whether any cell of each run is among these (ny, nx), shape (nr,)."""
        return self.sums(cells.astype(float)) > 0.0


def find_runs(cavity: Mask, grid: Grid, volumes: Array) -> Runs:
    """Cut a cavity (ny, nx) into runs; cell volumes (ny, nx) [m3]."""
    starts = cavity & ~np.pad(cavity, ((0, 0), (1, 0)))[:, :-1]
    number = np.where(cavity, np.cumsum(starts).reshape(cavity.shape) - 1, -1)
    inside = number[cavity]
    j, i = np.nonzero(cavity)
    count = int(starts.sum())
    first, last = (
        np.flatnonzero(np.diff(inside, prepend=-1)),
        np.flatnonzero(np.diff(inside, append=count)),
    )
    row = np.zeros(count, np.int64)
    row[inside] = j
    cells = np.bincount(inside, minlength=count)
    both = cavity[1:] & cavity[:-1]
    pairs = np.unique(np.column_stack([number[:-1][both], number[1:][both]]), axis=0)
    above: list[list[int]] = [[] for _ in range(count)]
    below: list[list[int]] = [[] for _ in range(count)]
    for low, up in pairs.tolist():
        above[low].append(up)
        below[up].append(low)
    return Runs(
        number=number,
        row=row,
        middle=np.bincount(inside, grid.x_centers[i], count) / cells,
        left=grid.x_edges[i[first]],
        right=grid.x_edges[i[last] + 1],
        bottom=grid.y_edges[row],
        height=grid.dy[row],
        volume=np.bincount(inside, volumes[cavity], count).astype(float),
        above=tuple(map(tuple, above)),
        below=tuple(map(tuple, below)),
        touching=pairs.astype(np.int64),
    )
