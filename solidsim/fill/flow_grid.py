"""The part of a section that metal may flow in: volumes, open faces, walls and sand around it."""

import math
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from solidsim.fill.closed_air import AIR_VISCOSITY, NEAREST_AIR
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

KARMAN = 0.41  # mixing length over the distance from a wall; Nikuradse 1932
UNSEEN_EDDY = 0.17  # mixing length over the cell, for eddies that cells do not show; Lilly 1967


@dataclass(frozen=True)
class FlowGrid:
    """The window of a section that holds its cavity, in a ring of closed cells.

    All arrays have the shape (ny, nx) of the window with its ring; a face has the index of the
    cell above or right of it.

    Parameters
    ----------
    section : Section
    window : (slice, slice)
        Of the section's cells, without the ring.
    volumes : ndarray, [m3]
        Zero where no metal can be.
    depth : ndarray, [m]
        Between walls out of the page; endless where there are none.
    areas_x, areas_y : ndarray, [m2]
        Of faces between two cells of the cavity, else zero.
    finest : float, [m]
        Side of the smallest cell.
    per_width, per_step : (ndarray, ndarray), [1/m]
        Along x and y: one over the size of each cell, and over its distance from the cell before.
    mixing : ndarray, [m2]
        Squared mixing length of turbulence.
    leak : ndarray, [m3/(s Pa)]
        What leaves through the sand around each cell, by the pressure of its air.
    cells : ndarray of uint64
        Flat indices of the cells of the cavity and of those right of and above them, in order.
    rows : ndarray of int, shape (ny + 1,)
        Where each row begins among them.
    """

    section: Section
    window: tuple[slice, slice]
    volumes: Array
    depth: Array
    areas_x: Array
    areas_y: Array
    finest: float
    per_width: tuple[Array, Array]
    per_step: tuple[Array, Array]
    mixing: Array
    leak: Array
    cells: NDArray[np.uint64]
    rows: NDArray[np.int64]

    @property
    def cavity(self) -> Mask:
        """Cells that metal may fill, shape (ny, nx)."""
        return self.volumes > 0.0

    def inside(self, field: NDArray, around: float = 0.0) -> NDArray:
        """A field of the section as one of the window."""
        return np.pad(field[self.window], 1, constant_values=around)

    def outside(self, field: NDArray, elsewhere: float = 0.0) -> NDArray:
        """A field of the window as one of the section, with a value for cells out of it."""
        whole = np.full(self.section.grid.shape, elsewhere, field.dtype)
        whole[self.window] = field[1:-1, 1:-1]
        return whole

    def number(self, cell: int) -> int:
        """Flat index in the window of a cell with a flat index in the section."""
        j, i = divmod(cell, self.section.grid.shape[1])
        rows, columns = self.window
        return (j - rows.start + 1) * self.volumes.shape[1] + i - columns.start + 1

    def number_at(self, x: float, y: float) -> int:
        """Flat index in the window of the cell at a place [m] of it."""
        grid, (rows, columns) = self.section.grid, self.window
        j = int(np.searchsorted(grid.y_edges, y)) - rows.start
        i = int(np.searchsorted(grid.x_edges, x)) - columns.start
        return j * self.volumes.shape[1] + i

    def place(self, number: int) -> tuple[float, float]:
        """Middle of a cell with a flat index in the window, [m]."""
        j, i = divmod(number, self.volumes.shape[1])
        grid, (rows, columns) = self.section.grid, self.window
        return (
            float(grid.x_centers[i - 1 + columns.start]),
            float(grid.y_centers[j - 1 + rows.start]),
        )


def lay_flow_grid(section: Section, permeability: float) -> FlowGrid:
    """The window of a section; permeability [m2] of its sand to air, endless where it is open."""
    grid, metal = section.grid, section.metal
    rows, columns = np.flatnonzero(metal.any(axis=1)), np.flatnonzero(metal.any(axis=0))
    window = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    within = np.pad(metal[window], 1)
    areas_x, areas_y = (np.zeros(within.shape) for _ in range(2))
    x_faces = section.areas_x[window[0], columns[0] : columns[-1] + 2]
    y_faces = section.areas_y[rows[0] : rows[-1] + 2, window[1]]
    areas_x[1:-1, 1:] = np.where(within[1:-1, 1:] & within[1:-1, :-1], x_faces, 0.0)
    areas_y[1:, 1:-1] = np.where(within[1:, 1:-1] & within[:-1, 1:-1], y_faces, 0.0)
    walled = section.face_areas > 0.0
    depth = np.where(walled, section.depth, math.inf)
    widths, x_steps = _sizes(grid.dx[window[1]])
    heights, y_steps = _sizes(grid.dy[window[0]])
    faced = within | np.roll(within, 1, 0) | np.roll(within, 1, 1)
    cells = np.flatnonzero(faced).astype(np.uint64)
    return FlowGrid(
        section=section,
        window=window,
        volumes=np.where(within, np.pad(section.volumes[window], 1), 0.0),
        depth=np.pad(depth[window], 1, constant_values=1.0),
        areas_x=areas_x,
        areas_y=areas_y,
        finest=float(min(widths.min(), heights.min())),
        per_width=_over(within.shape, widths, heights),
        per_step=_over(within.shape, x_steps, y_steps),
        mixing=_mixing(within, np.pad(depth[window], 1), np.sqrt(np.outer(heights, widths))),
        leak=np.pad(_leak(section, permeability)[window], 1),
        cells=cells,
        rows=np.searchsorted(cells, within.shape[1] * np.arange(within.shape[0] + 1)),
    )


def _sizes(inner: Array) -> tuple[Array, Array]:
    """Sizes of the cells of a line with its ring, and distance of each from the one before."""
    sizes = np.pad(inner, 1, mode="edge")
    return sizes, 0.5 * (sizes + np.roll(sizes, 1))


def _over(shape: tuple[int, int], along_x: Array, along_y: Array) -> tuple[Array, Array]:
    """One over the lengths along x and along y, for every cell, [1/m]."""
    return (
        np.broadcast_to(1.0 / along_x, shape).copy(),
        np.broadcast_to(1.0 / along_y[:, None], shape).copy(),
    )


def _mixing(within: Mask, depth: Array, size: Array) -> Array:
    """Squared mixing length of eddies smaller than cells, [m2]; Smagorinsky 1963."""
    from_wall = np.maximum(scipy.ndimage.distance_transform_edt(within) - 0.5, 0.0) * size
    from_wall = np.minimum(from_wall, 0.5 * depth)
    return np.minimum(KARMAN * from_wall, UNSEEN_EDDY * size) ** 2


def _leak(section: Section, permeability: float) -> Array:
    """Darcy's law on the way through the sand to the top of the box, [m3/(s Pa)]."""
    grid, metal = section.grid, section.metal
    if not math.isfinite(permeability):
        return np.zeros(grid.shape)
    way = np.maximum(grid.y_edges[-1] - grid.y_centers, NEAREST_AIR)[:, None]
    return sand_walls(section) * metal * permeability / (AIR_VISCOSITY * way)


def sand_walls(section: Section) -> Array:
    """Surface of each metal cell against sand, in the section and out of it, [m2]."""
    metal = section.metal
    outside = np.pad(~metal, 1, constant_values=True)
    surface = 2.0 * section.face_areas
    surface += np.where(outside[1:-1, :-2], section.areas_x[:, :-1], 0.0)
    surface += np.where(outside[1:-1, 2:], section.areas_x[:, 1:], 0.0)
    surface += np.where(outside[:-2, 1:-1], section.areas_y[:-1], 0.0)
    surface += np.where(outside[2:, 1:-1], section.areas_y[1:], 0.0)
    return np.where(metal, surface, 0.0)


def open_faces(grid: FlowGrid, passable: Mask) -> tuple[Array, Array]:
    """Areas of the faces between passable cells along x and y, flat, [m2]."""
    west, south = np.zeros_like(passable), np.zeros_like(passable)
    west[:, 1:] = passable[:, 1:] & passable[:, :-1]
    south[1:] = passable[1:] & passable[:-1]
    return (
        np.where(west, grid.areas_x, 0.0).ravel(),
        np.where(south, grid.areas_y, 0.0).ravel(),
    )
