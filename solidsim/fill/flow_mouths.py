"""Where the metal of a model streams into its section: cells and direction of every mouth."""

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.mouths import Mouth
from solidsim.fill.starting import mouth_cells
from solidsim.model import Model

Mask = NDArray[np.bool_]

WALLS = (((0, -1), (1.0, 0.0)), ((0, 1), (-1.0, 0.0)), ((-1, 0), (0.0, 1.0)), ((1, 0), (0.0, -1.0)))


def flow_mouths(model: Model) -> list[Mouth]:
    """The mouths of a model's gating, or of a pour that has none: the lowest metal wells up."""
    section, gating = model.section, model.pour.gating
    nx = section.grid.x_centers.size
    taken = np.zeros(section.grid.shape, bool)
    mouths = []
    for number, cell in enumerate(mouth_cells(model).tolist()):
        j, i = divmod(cell, nx)
        if gating is None:
            part = section.part_index == section.part_index[j, i]
            row = np.flatnonzero(part[j]) + j * nx
            mouths.append(Mouth(tuple(row.tolist())))
            continue
        area = gating.stretches[gating.mouths[number].stretch].area
        mouths.append(_through_wall(model, j, i, area, taken))
        taken.flat[list(mouths[-1].cells)] = True
    return mouths


def _through_wall(model: Model, j: int, i: int, area: float, taken: Mask) -> Mouth:
    """Cells along the wall at a cell that together open an area [m2]; level streams first."""
    section = model.section
    free = np.pad(section.metal & ~taken, 1)
    there = np.pad(section.metal, 1)
    shut = [wall for wall in WALLS if not there[j + 1 + wall[0][0], i + 1 + wall[0][1]]]
    if not shut:
        return Mouth((j * section.grid.x_centers.size + i,))
    (down, across), direction = shut[0]
    beside = np.roll(there, (-down, -across), (0, 1))
    wall = (free & ~beside)[1:-1, 1:-1]
    if across:
        line, here = wall[:, i], j
        opens, index = section.depth[:, i] * section.grid.dy, lambda n: n * wall.shape[1] + i
    else:
        line, here = wall[j], i
        opens, index = section.depth[j] * section.grid.dx, lambda n: j * wall.shape[1] + n
    chosen, total, reach = [], 0.0, 0
    while total < area and reach < line.size:
        for n in {here - reach, here + reach}:
            if 0 <= n < line.size and line[min(n, here) : max(n, here) + 1].all() and total < area:
                chosen.append(index(n))
                total += float(opens[n])
        reach += 1
    return Mouth(tuple(sorted(chosen)) or (index(here),), direction)
