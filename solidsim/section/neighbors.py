"""Cells and those beside them."""

import numpy as np
from numpy.typing import NDArray

Cells = NDArray[np.bool_]


def grown(cells: Cells) -> Cells:
    """Cells and all that share a side with one of them, shape (ny, nx)."""
    more = cells.copy()
    more[1:] |= cells[:-1]
    more[:-1] |= cells[1:]
    more[:, 1:] |= cells[:, :-1]
    more[:, :-1] |= cells[:, 1:]
    return more


def skin_of(cells: Cells) -> Cells:
    """Those of the cells that share a side with another cell, or with the edge of the box."""
    return cells & grown(np.pad(~cells, 1, constant_values=True))[1:-1, 1:-1]
