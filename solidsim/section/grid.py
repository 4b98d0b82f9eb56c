"""The rectilinear grid of a section: edges, cell volumes and face areas.

Axis order is [j, i] = [y, x], y up; this drawing is the only place that says so::

      y_edges[ny] +-------+-------+-------+
                  |       |       |       |
                  | [1,0] | [1,1] | [1,2] |      cell values      (ny, nx)
       y_edges[1] +-------+-------+-------+      faces across x   (ny, nx + 1)
                  |       |       |       |      faces across y   (ny + 1, nx)
                  | [0,0] | [0,1] | [0,2] |
       y_edges[0] +-------+-------+-------+
             x_edges[0]      ...        x_edges[nx]

In the ``round`` view x is the radius about the left edge and a cell is a full ring.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

View = Literal["upright", "plan", "round"]
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Grid:
    """A rectilinear grid of the section.

    Parameters
    ----------
    x_edges : ndarray, shape (nx + 1,), [m]
        Strictly rising; in the round view radii, the first not below zero.
    y_edges : ndarray, shape (ny + 1,), [m]
        Strictly rising.
    view : {"upright", "plan", "round"}
    """

    x_edges: Array
    y_edges: Array
    view: View = "upright"

    @property
    def shape(self) -> tuple[int, int]:
        """Number of cells (ny, nx)."""
        return self.y_edges.size - 1, self.x_edges.size - 1

    @cached_property
    def dx(self) -> Array:
        """Cell widths, shape (nx,), [m]."""
        return np.diff(self.x_edges)

    @cached_property
    def dy(self) -> Array:
        """Cell heights, shape (ny,), [m]."""
        return np.diff(self.y_edges)

    @cached_property
    def x_centers(self) -> Array:
        """Middles of the cells along x, shape (nx,), [m]."""
        return 0.5 * (self.x_edges[1:] + self.x_edges[:-1])

    @cached_property
    def y_centers(self) -> Array:
        """Middles of the cells along y, shape (ny,), [m]."""
        return 0.5 * (self.y_edges[1:] + self.y_edges[:-1])

    @cached_property
    def cell_areas(self) -> Array:
        """Area of each cell in the drawing, shape (ny, nx), [m2]."""
        return np.outer(self.dy, self.dx)

    def cell_volumes(self, depth: Array) -> Array:
        """Volume of each cell, shape (ny, nx), [m3]; depth (ny, nx) [m] is not used when round."""
        if self.view == "round":
            return np.outer(self.dy, np.pi * np.diff(self.x_edges**2))
        return self.cell_areas * depth

    def face_areas_x(self, depth: Array) -> Array:
        """Area of the faces across x, shape (ny, nx + 1), [m2]: the lesser depth of both cells."""
        if self.view == "round":
            return np.outer(self.dy, 2.0 * np.pi * self.x_edges)
        shared = np.minimum(depth[:, 1:], depth[:, :-1])
        return self.dy[:, None] * np.hstack([depth[:, :1], shared, depth[:, -1:]])

    def face_areas_y(self, depth: Array) -> Array:
        """Area of the faces across y, shape (ny + 1, nx), [m2]: the lesser depth of both cells."""
        if self.view == "round":
            return np.tile(np.pi * np.diff(self.x_edges**2), (self.dy.size + 1, 1))
        shared = np.minimum(depth[1:], depth[:-1])
        return self.dx[None, :] * np.vstack([depth[:1], shared, depth[-1:]])
