"""The ways that metal takes from the mouths through what stands in the mold."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.pressure_kernels import System, factor, solve
from solidsim.fill.rising_kernels import spread
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Cells = NDArray[np.int64]

LEFT_OUT = 0.97  # share of what the factor leaves out that goes to its diagonal; Gustafsson 1978
EXACT = 1e-5  # of the energy of the flow: residual at which it counts as found
MOST_TURNS = 200
AT_MOUTHS = 1e4  # times the conductance between cells
NOTHING = 1e-300


@dataclass
class Ways:
    """Ways of a potential flow from the mouths to the cells that take metal; see ``lay_ways``.

    Metal flows down the potential, as creeping and as frictionless metal would, and spreads over
    the whole width of a channel. Cells are flat, nx wide.

    Parameters
    ----------
    nx : int
    across_x, across_y : ndarray, shape (n + 1,), (n + nx,)
        Conductance of the west and of the south face of each cell; zero past the last one.
    potential : ndarray, shape (n + nx,)
        Zero at the mouths and below elsewhere; minus endless in what no metal has reached.
    order : ndarray of int64
        The reached cells by falling potential.
    """

    nx: int
    across_x: Array
    across_y: Array
    potential: Array
    order: Cells

    def lead(self, passable: NDArray[np.bool_], mouths: Cells, wanted: Array) -> None:
        """Lead the ways to all cells that metal passes now, from the potential known before.

        Parameters
        ----------
        passable : ndarray of bool, shape (n,)
        mouths : ndarray of int64, shape (mouths,)
            Cells where metal comes in, -1 where it does not.
        wanted : ndarray, shape (n,), [m3]
            What each cell takes for good.
        """
        reached = np.zeros(passable.size, np.int64)
        count = spread(passable, mouths, self.nx, np.full(passable.size, -1), reached)
        cells, at = np.sort(reached[:count]), mouths[mouths >= 0]
        system, number = _system(cells, self.nx, self.across_x, self.across_y)
        diagonal, sinks, found = (system.values[row, :count] for row in (3, 4, 5))
        largest = diagonal.max(initial=0.0) or 1.0  # a cell alone has no neighbor
        diagonal[number[at]] += AT_MOUTHS * largest
        sinks[:] = -wanted[cells] * largest / max(wanted.sum(), NOTHING)
        lowest = self.potential[self.order[-1]] if self.order.size else 0.0
        found[:] = np.nan_to_num(self.potential[cells], neginf=lowest)
        found[number[at]] = 0.0
        if sinks.any():
            energy = abs(float(sinks @ found)) or float(np.abs(sinks).sum())
            factor(count, 0, 0, LEFT_OUT, system)
            solve(count, 0, 0, EXACT * energy, MOST_TURNS, system)
        self.potential[cells] = np.minimum(found, -NOTHING)
        self.potential[at] = 0.0
        self.order = cells[np.argsort(-self.potential[cells])]


def lay_ways(section: Section) -> Ways:
    """No ways yet in a section that is still empty."""
    grid, (ny, nx) = section.grid, section.grid.shape
    across_x, across_y = np.zeros(ny * nx + 1), np.zeros(ny * nx + nx)
    x, y = np.diff(grid.x_centers), np.diff(grid.y_centers)
    across_x[:-1].reshape(ny, nx)[:, 1:] = section.areas_x[:, 1:-1] / x
    across_y[:-nx].reshape(ny, nx)[1:] = section.areas_y[1:-1] / y[:, None]
    potential = np.full(ny * nx + nx, -np.inf)
    return Ways(nx, across_x, across_y, potential, np.zeros(0, np.int64))


def _system(
    cells: Cells, nx: int, across_x: Array, across_y: Array
) -> tuple[System, NDArray[np.int64]]:
    """Equations of the potential in cells, and the number of each cell of the grid in them."""
    count, own = cells.size, np.arange(cells.size)
    number = np.full(across_y.size, -1)
    number[cells] = own
    system = System(
        np.zeros((3, count + 2), np.int64), np.zeros((12, count + 2)),
        np.zeros((2, 0), np.int64), np.zeros(0),
    )  # fmt: skip
    south, west = number[cells - nx], number[cells - 1]
    w = np.where(west >= 0, across_x[cells], 0.0)
    s = np.where(south >= 0, across_y[cells], 0.0)
    onward = np.zeros(count)
    onward[west[w > 0.0]] += w[w > 0.0]
    onward[south[s > 0.0]] += s[s > 0.0]
    system.cells[0, :count] = cells
    system.cells[1, :count] = np.where(s > 0.0, south, own)
    system.cells[2, :count] = own
    system.cells[2, south[s > 0.0]] = own[s > 0.0]
    system.values[0, :count], system.values[1, :count] = w, s
    system.values[3, :count], system.values[6, :count] = w + s + onward, onward
    return system, number
