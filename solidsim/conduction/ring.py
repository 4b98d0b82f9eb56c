"""Arrays of the grid with a ring of reservoir cells, in rows that fill lines of the cache."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Faces
from solidsim.section.layout import Section

Array = NDArray[np.float64]

LINE = 8  # numbers in a line of the cache


def row_size(nx: int) -> int:
    """Cells of a row with its ring and what fills the last line of the cache."""
    return -(-(nx + 2) // LINE) * LINE


def in_lines(shape: tuple[int, int]) -> Array:
    """Zeros whose second column begins at a line of the cache, if rows are whole lines.

    A row of cells inside the ring is then read by loads that lie in one line each.
    """
    size = math.prod(shape)
    room = np.zeros(size + LINE)
    first = (-room.ctypes.data // room.itemsize - 1) % LINE
    return room[first : first + size].reshape(shape)


def with_ring(index: NDArray[np.uint8], count: int, shape: tuple[int, int]) -> NDArray[np.uint8]:
    """Material numbers with the reservoirs of the four sides around them."""
    ringed, nx = np.full(shape, count, np.uint8), index.shape[1]
    ringed[1:-1, 0], ringed[1:-1, nx + 1] = count + 1, count + 2
    ringed[0, 1 : nx + 1], ringed[-1, 1 : nx + 1] = count + 3, count + 4
    ringed[1:-1, 1 : nx + 1] = index
    return ringed


def faces_of(section: Section) -> Faces:
    """Half widths and areas of all faces with the ring, where half widths are zero."""
    grid, (ny, nx) = section.grid, section.grid.shape
    area_x, area_y, Gx, Gy = (in_lines((ny + rows, row_size(nx))) for rows in (2, 1, 2, 1))
    area_x[1:-1, : nx + 1], area_y[:, 1 : nx + 1] = section.areas_x, section.areas_y
    return Faces(
        half_x=np.pad(grid.dx / 2.0, 1),
        half_y=np.pad(grid.dy / 2.0, 1),
        area_x=area_x,
        area_y=area_y,
        Gx=Gx,
        Gy=Gy,
    )
