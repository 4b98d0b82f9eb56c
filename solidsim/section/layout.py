"""A section: which part each cell of the grid belongs to."""

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.case.description import METAL_ROLES, Role
from solidsim.section.grid import Grid
from solidsim.section.neighbors import grown

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
    depth : float [m], "through", "round" or None
        None where the nearest metal decides.
    spread : float, [1/m]
        How fast the mold behind the out-of-plane faces widens with the distance from them.
    modulus_in_plane : float, [m]
        Area in the section over the outline that does not touch other metal.
    """

    name: str
    role: Role
    outlines: tuple[Array, ...]
    drawn_area: float
    gridded_area: float
    drawn_volume: float
    gridded_volume: float
    depth: float | Literal["through", "round"] | None = None
    spread: float = 0.0
    modulus_in_plane: float = math.inf


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
    face_areas : ndarray, shape (ny, nx), [m2]
        Surface of each metal cell on one side of the section, out of the page; zero where the
        metal has no ends.
    warnings : tuple of str
    """

    grid: Grid
    parts: tuple[Part, ...]
    part_index: NDArray[np.int16]
    depth: Array
    face_areas: Array
    warnings: tuple[str, ...] = ()

    @cached_property
    def metal(self) -> NDArray[np.bool_]:
        """Cells that hold poured metal, shape (ny, nx)."""
        return self.cells_with_role(*METAL_ROLES)

    @property
    def metal_cell(self) -> float:
        """Width of most cells across the metal, [m]."""
        rows, columns = self.metal.any(axis=1), self.metal.any(axis=0)
        return float(np.median(np.concatenate([self.grid.dy[rows], self.grid.dx[columns]])))

    @property
    def endless(self) -> bool:
        """Whether some metal has no ends, so that nothing can be weighed."""
        return self.grid.view != "round" and any(
            part.depth == "through" for part in self.parts if part.role in METAL_ROLES
        )

    def stands_on_metal(self, name: str) -> bool:
        """Whether a part seen in plan has metal all around: it stands on what is below it."""
        if self.grid.view != "plan":
            return False
        own = self.part_cells(name)
        around = grown(own) & ~own
        return bool(own.any() and self.metal[around].all())

    @cached_property
    def round_metal(self) -> NDArray[np.bool_]:
        """Metal cells of round parts, shape (ny, nx)."""
        if self.grid.view == "round":
            return np.zeros(self.grid.shape, dtype=bool)
        chosen = [part.depth == "round" and part.role in METAL_ROLES for part in self.parts]
        return np.array([False, *chosen])[self.part_index]

    @cached_property
    def volumes(self) -> Array:
        """Volume of each cell, shape (ny, nx), [m3]."""
        return self.grid.cell_volumes(self.depth)

    @cached_property
    def areas_x(self) -> Array:
        """Area of the faces across x that pass heat, shape (ny, nx + 1), [m2].

        A round part loses the heat of its flanks through its out-of-plane faces: they are the
        same surface, and in the section nothing is left of it.
        """
        areas = self.grid.face_areas_x(self.depth)
        for one, two in ((np.s_[:, 1:], np.s_[:, :-1]), (np.s_[:, :-1], np.s_[:, 1:])):
            areas[:, 1:-1][self.round_metal[one] & ~self.metal[two]] = 0.0
        return areas

    @cached_property
    def areas_y(self) -> Array:
        """Area of the faces across y, shape (ny + 1, nx), [m2]."""
        return self.grid.face_areas_y(self.depth)

    def cells_with_role(self, *roles: str) -> NDArray[np.bool_]:
        """Cells of all parts that have one of these roles, shape (ny, nx)."""
        chosen = np.array([False] + [part.role in roles for part in self.parts])
        return chosen[self.part_index]

    def part_cells(self, name: str) -> NDArray[np.bool_]:
        """Cells of the part of this name, shape (ny, nx)."""
        names = [part.name for part in self.parts]
        return self.part_index == names.index(name) + 1
