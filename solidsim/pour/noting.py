"""What every way of pouring keeps of its gating."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.heat_on_the_way import enthalpy_at_mouths
from solidsim.fill.inlets import find_inlets
from solidsim.fill.supply import Supply
from solidsim.model import Model

Array = NDArray[np.float64]

ROUGHER = 4.0  # times the tolerance of a step while metal still comes
COMMON_CONDUCTANCE = 1000.0  # W/m2K between metal and sand, where the joint is perfect


def joint_conductance(model: Model) -> float:
    """Between metal and sand at its largest, [W/m2K]."""
    joint = model.interfaces.get((min(model.metal, model.mold), max(model.metal, model.mold)))
    return float(joint.conductance.max()) if joint else COMMON_CONDUCTANCE


def poured_enthalpy(model: Model) -> float:
    """Of the metal in the basin, [J/m3]."""
    return float(model.materials[model.metal].curve.enthalpy_at(model.pour_temperature))


def entering_enthalpy(
    model: Model, supply: Supply, mouths: int, time: float, effusivity: float
) -> Array:
    """Enthalpy of what leaves each mouth at a time [s], shape (mouths,), [J/m3]."""
    poured = poured_enthalpy(model)
    if supply.circuit is None or supply.flow is None:
        return np.full(mouths, poured)
    return enthalpy_at_mouths(
        supply.circuit, supply.flow, poured, model.materials[model.metal].curve, time,
        effusivity, model.mold_temperature, joint_conductance(model),
    )  # fmt: skip


def supply_record(
    model: Model,
    supply: Supply,
    mouth_cells: Sequence[int],
    temperatures: Sequence[tuple[float, Array]],
) -> dict[str, Any]:
    """The entries of a fill record that tell of the gating.

    ``temperatures`` are times [s] with those of the metal at the mouths [K].
    """
    gating, history = model.pour.gating, supply.history
    times = np.array([moment.time for moment in history])
    known = np.array([time for time, _ in temperatures])
    warmth = np.array([value for _, value in temperatures])
    parts = tuple(_part_at(model, cell) for cell in mouth_cells)
    return {
        "mouths": tuple(gating.stretches[m.stretch].name for m in gating.mouths)
        if gating
        else parts,
        "parts": parts,
        "areas": np.array([gating.stretches[m.stretch].area for m in gating.mouths])
        if gating
        else np.full(len(parts), math.nan),
        "times": times,
        "flows": np.array([moment.flows for moment in history]),
        "temperatures": np.column_stack(
            [np.interp(times, known, warmth[:, m]) for m in range(warmth.shape[1])]
        ),
        "basin_levels": np.array([moment.basin_level for moment in history])
        - (gating.sprue.top if gating else math.nan),
        "sprue_full": np.array([moment.full for moment in history]),
        "trap_velocity": _trap_velocity(supply),
        "solved": all(moment.solved for moment in history),
        "wanted_time": model.pour.time,
        "weight": gating.weight if gating else math.nan,
        "inlets": find_inlets(model),
    }


def _part_at(model: Model, cell: int) -> str:
    section = model.section
    return section.parts[int(section.part_index.flat[cell]) - 1].name


def _trap_velocity(supply: Supply) -> float:
    """The fastest flow in a dirt trap, [m/s]."""
    circuit = supply.circuit
    if circuit is None:
        return math.nan
    traps = [n + 1 for n, own in enumerate(circuit.system.stretches) if own.kind == "trap"]
    flows = np.array([moment.flows for moment in supply.history]) @ circuit.ways
    speeds = flows[:, traps] / circuit.area[traps]
    return float(speeds.max()) if traps else math.nan
