"""A section: which part each cell of the grid belongs to."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from solidsim.case.description import METAL_ROLES, Role
from solidsim.section.grid import Grid

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Part:
    """A part as painted: what of it stays visible after the later parts were painted over it.

    Parameters
    ----------
    name, role : str
    outlines : tuple of ndarray, each shape (n, 2), [m]
        Closed rings of the drawn shape, exterior rings first.
    drawn_area, gridded_area : float, [m2]
        Visible area of the drawing, and of the cells that carry the part.
    drawn_volume, gridded_volume : float, [m3]
    """

    name: str
    role: Role
    outlines: tuple[Array, ...]
    drawn_area: float
    gridded_area: float
    drawn_volume: float
    gridded_volume: float


@dataclass(frozen=True)
class Section:
    """Parts on a grid.

    Parameters
    ----------
    grid : Grid
    parts : tuple of Part
    part_index : ndarray of int16, shape (ny, nx)
        Zero is the mold; ``k`` is ``parts[k - 1]``.
    depth : ndarray, shape (ny, nx), [m]
    warnings : tuple of str
    """

    grid: Grid
    parts: tuple[Part, ...]
    part_index: NDArray[np.int16]
    depth: Array
    warnings: tuple[str, ...] = ()

    @cached_property
    def metal(self) -> NDArray[np.bool_]:
        """Cells that hold poured metal, shape (ny, nx)."""
        return self.cells_with_role(*METAL_ROLES)

    def cells_with_role(self, *roles: str) -> NDArray[np.bool_]:
        """Cells of all parts that have one of these roles, shape (ny, nx)."""
        chosen = np.array([False] + [part.role in roles for part in self.parts])
        return chosen[self.part_index]

    def part_cells(self, name: str) -> NDArray[np.bool_]:
        """Cells of the part of this name, shape (ny, nx)."""
        names = [part.name for part in self.parts]
        return self.part_index == names.index(name) + 1
