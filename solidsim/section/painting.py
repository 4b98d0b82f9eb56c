"""Which part owns each cell: the one that covers most of it, by exact area.

A side at 45 degrees through the corners of square cells halves every cell it meets. Such a tie
goes to the part in every second row, counted both ways from the middle of the part's height, so
that its area stays true and a mirrored drawing gives a mirrored picture.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.section.grid import Grid

Array = NDArray[np.float64]

_TIE = 1e-6  # of a cell; far above round-off, far below any slope that matters


def paint(grid: Grid, visible: Sequence[BaseGeometry]) -> NDArray[np.int16]:
    """Owner of every cell.

    Parameters
    ----------
    grid : Grid
    visible : sequence of shapely geometry
        What shows of each part; they do not overlap.

    Returns
    -------
    ndarray of int16, shape (ny, nx)
        Zero is the mold, which owns what no part covers; ``k`` is ``visible[k - 1]``.
    """
    cells = _cells(grid)
    tree = shapely.STRtree(cells)
    owner = np.zeros(grid.shape, dtype=np.int16)
    most = np.zeros(grid.shape)
    mold = np.ones(grid.shape)
    second_row = np.zeros(grid.shape, dtype=bool)
    for number, shape in enumerate(visible, start=1):
        if shape.is_empty:
            continue
        share = _covered_share(grid, shape, cells, tree)
        mold -= share
        keeps_ties = _second_rows(grid, shape)[:, None]
        wins = _beats(share, most, keeps_ties) & (share > _TIE)
        owner[wins] = number
        most = np.where(wins, share, most)
        second_row = np.where(wins, keeps_ties, second_row)
    owner[_beats(mold, most, ~second_row)] = 0
    return owner


def _beats(share: Array, most: Array, wins_ties: NDArray[np.bool_]) -> NDArray[np.bool_]:
    return (share > most + _TIE) | (wins_ties & (share >= most - _TIE))


def _cells(grid: Grid) -> NDArray[np.object_]:
    """All cells as boxes, row by row."""
    x, y = grid.x_edges, grid.y_edges
    left, low = np.meshgrid(x[:-1], y[:-1])
    right, high = np.meshgrid(x[1:], y[1:])
    return shapely.box(left.ravel(), low.ravel(), right.ravel(), high.ravel())


def _covered_share(
    grid: Grid, shape: BaseGeometry, cells: NDArray[np.object_], tree: shapely.STRtree
) -> Array:
    """Share of each cell that the shape covers, shape (ny, nx).

    Only cells that the outline meets are cut; the others are in or out with their middle.
    """
    shapely.prepare(shape)
    middles = np.meshgrid(grid.x_centers, grid.y_centers)
    share = shapely.contains_xy(shape, *middles).astype(float)
    met = np.unique(tree.query(_sides(shape), predicate="intersects")[1])
    cut = shapely.area(shapely.intersection(shape, cells[met]))
    share.flat[met] = cut / grid.cell_areas.flat[met]
    return share


def _sides(shape: BaseGeometry) -> NDArray[np.object_]:
    """Straight sides of all rings, each a line of its own, so that few cells meet its bounds."""
    corners, ring = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(shape)), return_index=True
    )
    same = ring[1:] == ring[:-1]
    return shapely.linestrings(np.stack([corners[:-1], corners[1:]], axis=1)[same])


def _second_rows(grid: Grid, shape: BaseGeometry) -> NDArray[np.bool_]:
    """Every second row, counted both ways from the middle of the shape's height, shape (ny,)."""
    _, low, _, high = shape.bounds
    rows = np.arange(grid.y_edges.size)
    middle = np.interp(0.5 * (low + high), grid.y_edges, rows)
    return np.floor(np.abs(rows[:-1] + 0.5 - middle) + _TIE) % 2 == 0
