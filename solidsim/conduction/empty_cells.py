"""Cavity cells before the metal comes: they hold open air, then metal with its heat.

An empty cell is one more reservoir at the temperature of the open air: the sand around the cavity
and the metal's own surface give heat to it as to any opening.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.joints import FaceRule, pack_joints
from solidsim.conduction.material_tables import enthalpy_of, segments_of, temperature_of
from solidsim.conduction.state import METAL, OUTSIDE, Conduction, face_rules
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

ALMOST_NOTHING = 1e-12  # of a face that no metal touches yet; kernels divide by the area


@dataclass
class Cavity:
    """Which cells wait for metal, with what it takes to give it to them.

    ``full`` (ny, nx); ``face_areas`` (nc,) [m2] of the out-of-plane faces.
    """

    full: Mask
    face_areas: Array
    rules: dict[tuple[int, int], FaceRule]


def empty_cavity(state: Conduction) -> Cavity:
    """Put open air in place of all metal of a state that has not started."""
    metal = state.arrays.material == state.model.metal
    cavity = Cavity(
        full=np.zeros(state.model.section.grid.shape, bool),
        face_areas=state.columns.area.copy(),
        rules=face_rules(state.model),
    )
    air = np.uint8(len(state.model.materials))
    state.arrays.material[metal] = air
    state.arrays.u[metal] = segments_of(state.tables, state.arrays.material, 0.0 * metal)[metal]
    state.group[metal] = OUTSIDE
    state.watched.is_metal[metal] = False
    _refit(state, cavity)
    return cavity


def metal_heat(state: Conduction, cavity: Cavity) -> float:
    """Enthalpy of all metal that stands in the mold, [J]."""
    full = cavity.full
    return float((state.enthalpy[full] * state.model.section.volumes[full]).sum())


def receive_metal(
    state: Conduction, cavity: Cavity, cells: NDArray[np.int64], enthalpy: Array
) -> None:
    """Give metal to empty cells (flat), and to all metal the enthalpy (ny, nx) [J/m3] it has now.

    What passed a watched temperature by being pushed on or by mixing, passed it now.
    """
    arrays, grid = state.arrays, state.model.section.grid
    cavity.full.flat[cells] = True
    j, i = np.divmod(cells, grid.x_centers.size)
    arrays.material[j + 1, i + 1] = state.model.metal
    state.group[j + 1, i + 1] = METAL
    state.watched.is_metal[j + 1, i + 1] = True
    full = np.pad(cavity.full, 1)
    before = enthalpy_of(state.tables, arrays.material, arrays.u)
    before[j + 1, i + 1] = np.inf
    arrays.u[full] = segments_of(state.tables, arrays.material, np.pad(enthalpy, 1))[full]
    _note_crossings(state, before)
    if cells.size:
        _refit(state, cavity)
    else:
        arrays.T[...] = temperature_of(state.tables, arrays.u)


def _note_crossings(state: Conduction, before: Array) -> None:
    """Mark the thresholds that metal cells passed downward without a step, and forget upward."""
    watched, tables, metal = state.watched, state.tables, state.model.metal
    full = watched.is_metal.ravel()[watched.cells]
    low = tables.first[metal]
    h = before.ravel()[watched.cells]
    old = low + (h - tables.start[metal]) / tables.width[metal]
    new = state.arrays.u.ravel()[watched.cells]
    for row, threshold in zip(watched.crossings, watched.thresholds, strict=True):
        row[full & (new > threshold)] = np.nan
        row[full & (old > threshold) & (new <= threshold)] = state.time


def _refit(state: Conduction, cavity: Cavity) -> None:
    """Joints, capacities and out-of-plane faces for the metal as it stands."""
    section: Section = state.model.section
    arrays, tables = state.arrays, state.tables
    capacity = np.pad(section.volumes, 1, constant_values=1.0) * tables.width[arrays.material]
    arrays.inverse_C[...] = 1.0 / capacity
    state.joints = pack_joints(arrays.material, cavity.rules, state.faces)
    waiting = ~np.pad(cavity.full, 1).ravel()[state.columns.cell]
    state.columns.area[:] = cavity.face_areas * np.where(waiting, ALMOST_NOTHING, 1.0)
    state.columns.G[:] = 0.0
    arrays.T[...] = temperature_of(tables, arrays.u)
    arrays.T_last[...] = arrays.T
