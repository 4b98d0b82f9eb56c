"""Moist sand that dries and exothermic materials that burn: what is packed for their kernels."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import MaterialTables
from solidsim.conduction.lasting_kernels import Lasting
from solidsim.conduction.material_tables import SEGMENTS
from solidsim.model import Model

Array = NDArray[np.float64]

UNLIT = 2.0  # share of fuel left, before a cell is lit
BURNING_STEPS = 100  # at least, over the time in which a cell burns


def pack_lasting(model: Model, tables: MaterialTables, dried_rows: tuple[int, ...]) -> Lasting:
    """What may happen to each row of the tables.

    Parameters
    ----------
    model : Model
    tables : MaterialTables
    dried_rows : tuple of int
        By material: the row it has when it is dry, or its own.
    """
    rows = tables.first.size
    dry_at, ignition = np.full(rows, math.inf), np.full(rows, math.inf)
    shift, rise, duration = np.zeros(rows), np.zeros(rows), np.ones(rows)
    dried = np.arange(rows, dtype=np.uint8)
    for number, (material, dry) in enumerate(zip(model.materials, dried_rows, strict=True)):
        first, width = tables.first[number], tables.width[number]
        if dry != number and material.dried is not None:
            dry_enthalpy = material.dried.zones[-1].enthalpy[0]
            # from the next node on, both tables are the same
            nodes = math.ceil((dry_enthalpy - tables.start[number]) / width)
            dry_at[number] = first + min(nodes, SEGMENTS)
            dried[number], shift[number] = dry, tables.first[dry] - first
        if material.reaction is not None:
            for row in {number, dry}:
                ignition[row] = material.reaction.ignition_temperature
                rise[row] = material.density * material.reaction.heat / width
                duration[row] = material.reaction.duration
    return Lasting(dry_at, dried, shift, ignition, rise, duration)


def fuel(material: NDArray[np.uint8], lasting: Lasting) -> Array:
    """Share of fuel in each cell at the pour: unlit, or zero where nothing burns; any shape."""
    return np.where(np.isfinite(lasting.ignition)[material], UNLIT, 0.0)


def longest_burning_step(lasting: Lasting, *places: tuple[NDArray[np.uint8], Array]) -> float:
    """Longest step [s] that follows what burns, of pairs of material and fuel left."""
    limit = math.inf
    for material, left in places:
        lit = (left > 0.0) & (left <= 1.0)
        if lit.any():
            limit = min(limit, float(lasting.duration[material[lit]].min()) / BURNING_STEPS)
    return limit
