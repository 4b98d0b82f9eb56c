"""Where the metal of a model streams into its section: cells and direction of every mouth."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.mouths import Mouth
from solidsim.fill.starting import mouth_cells
from solidsim.fill.supply import section_share
from solidsim.model import Model

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

WALLS = (((0, -1), (1.0, 0.0)), ((0, 1), (-1.0, 0.0)), ((-1, 0), (0.0, 1.0)), ((1, 0), (0.0, -1.0)))


def flow_mouths(model: Model) -> list[Mouth]:
    """The mouths of a model's gating, or of a pour that has none: the lowest metal wells up."""
    section, gating = model.section, model.pour.gating
    nx = section.grid.x_centers.size
    taken = np.zeros(section.grid.shape, bool)
    mouths: list[Mouth] = []
    volume = float(section.volumes[section.metal].sum())
    scale = section_share(gating, volume, model.materials[model.metal].density)
    for number, cell in enumerate(mouth_cells(model).tolist()):
        j, i = divmod(cell, nx)
        if gating is None:
            part = section.part_index == section.part_index[j, i]
            row = np.flatnonzero(part[j]) + j * nx
            mouths.append(Mouth(tuple(row.tolist())))
            continue
        area = gating.stretches[gating.mouths[number].stretch].area
        mouths.append(_through_wall(model, j, i, area, scale * area, taken))
        taken.flat[list(mouths[-1].cells)] = True
    return mouths


def _through_wall(model: Model, j: int, i: int, area: float, opening: float, taken: Mask) -> Mouth:
    """Cells of a part near one of them, which open so much for an ingate of an area [m2].

    Along the wall next to it, level streams first, where that is no farther than the side of the
    area; else metal wells up around the cell.
    """
    section = model.section
    grid, own = section.grid, section.part_index == section.part_index[j, i]
    off = np.hypot(
        grid.x_centers - grid.x_centers[i], (grid.y_centers - grid.y_centers[j])[:, None]
    )
    there, free = np.pad(section.metal, 1), section.metal & ~taken & own
    walls = []
    for (down, across), direction in WALLS:
        wall = free & ~np.roll(there, (-down, -across), (0, 1))[1:-1, 1:-1]
        if wall.any() and off[wall].min() <= math.sqrt(area):
            opens = section.depth * (grid.dy[:, None] if across else grid.dx)
            walls.append(
                (off[wall].min(), Mouth(_nearest(wall, off, opens, opening), direction, opening))
            )
    if walls:
        return min(walls, key=lambda found: found[0])[1]
    return Mouth(_nearest(free, off, section.depth * grid.dx, opening))


def _nearest(cells: Mask, off: Array, opens: Array, area: float) -> tuple[int, ...]:
    """The cells least far off that together open an area, flat."""
    found = np.flatnonzero(cells)
    found = found[np.argsort(off.flat[found], kind="stable")]
    count = int(np.searchsorted(np.cumsum(opens.flat[found]), area)) + 1
    return tuple(sorted(found[:count].tolist()))
