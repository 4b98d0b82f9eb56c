"""A rising fill before its first metal: runs, mouths, flow and openings of a model."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.closed_air import breathing
from solidsim.fill.pools import empty_pools
from solidsim.fill.rising import Filling
from solidsim.fill.runs import find_runs
from solidsim.fill.supply import lay_supply, section_share
from solidsim.model import Model


def start_filling(model: Model) -> Filling:
    """A cavity with its gating, before the first metal comes."""
    section = model.section
    runs = find_runs(section.metal, section.grid, section.volumes)
    gating = model.pour.gating
    cells = mouth_cells(model)
    volume = float(runs.volume.sum())
    density = model.materials[model.metal].density
    filling = Filling(
        model=model,
        pools=empty_pools(runs),
        breath=breathing(model, runs),
        supply=lay_supply(gating, volume, model.pour.time, cells.size),
        mouth_cells=cells,
        mouth_runs=runs.number.flat[cells],
        scale=section_share(gating, volume, density),
        filled_at=np.full(runs.count, math.nan),
    )
    filling.fell = np.zeros(runs.count)
    return filling


def mouth_cells(model: Model) -> NDArray[np.int64]:
    """The cell that each mouth opens into, flat, shape (mouths,)."""
    gating = model.pour.gating
    if gating is None:
        return _lowest_mouths(model)
    return np.array([_mouth_cell(model, m.part, m.x, m.y) for m in gating.mouths])


def _mouth_cell(model: Model, part: str, x: float, y: float) -> int:
    """Cell of a part nearest to a place, flat."""
    grid, cells = model.section.grid, np.flatnonzero(model.section.part_cells(part))
    j, i = np.divmod(cells, grid.x_centers.size)
    return int(cells[np.argmin((grid.x_centers[i] - x) ** 2 + (grid.y_centers[j] - y) ** 2)])


def _lowest_mouths(model: Model) -> NDArray[np.int64]:
    """Where metal comes in without gating: the lowest cell of each ingate, else of all metal."""
    section = model.section
    names = [part.name for part in section.parts if part.role == "ingate"]
    fields = [section.part_cells(name) for name in names] or [section.metal]
    return np.array([int(np.flatnonzero(cells)[0]) for cells in fields if cells.any()])
