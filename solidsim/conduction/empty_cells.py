"""Cavity cells before the metal comes: they hold open air, then metal with its heat.

An empty cell is one more reservoir at the temperature of the open air: the sand around the cavity
and the metal's own surface give heat to it as to any opening.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.joints import FaceRule, pack_joints
from solidsim.conduction.material_tables import enthalpy_of, segments_of, temperature_of
from solidsim.conduction.stage_kernels import forget_passed
from solidsim.conduction.state import METAL, OUTSIDE, Conduction, face_rules

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST_SHARE = 0.1  # of a cell; thinner metal would take steps that are ten times shorter
ALMOST_NOTHING = 1e-12  # of a face that no metal touches yet; kernels divide by the area


@dataclass
class Cavity:
    """How much metal each cell of the section holds, with what it takes to change it.

    ``share`` (ny, nx) of the cell's volume, [1]; ``face_areas`` (nc,) [m2] of the out-of-plane
    faces. With less than ``LEAST_SHARE`` of metal a cell counts as empty and does not conduct.
    """

    share: Array
    face_areas: Array
    rules: dict[tuple[int, int], FaceRule]

    @property
    def full(self) -> Mask:
        """Cells that hold metal, shape (ny, nx)."""
        return self.share >= LEAST_SHARE


def empty_cavity(state: Conduction) -> Cavity:
    """Put open air in place of all metal of a state that has not started."""
    nothing = np.zeros(state.model.section.grid.shape)
    cavity = Cavity(
        share=nothing,
        face_areas=state.columns.area.copy(),
        rules=face_rules(state.model),
    )
    hold_metal(state, cavity, nothing, nothing)
    return cavity


def metal_heat(state: Conduction, cavity: Cavity) -> float:
    """Enthalpy of all metal that conducts, [J]."""
    full, held = cavity.full, cavity.share * state.model.section.volumes
    return float((state.enthalpy[full] * held[full]).sum())


def receive_metal(
    state: Conduction, cavity: Cavity, cells: NDArray[np.int64], enthalpy: Array
) -> None:
    """Fill empty cells (flat), and give all metal the enthalpy (ny, nx) [J/m3] it has now."""
    share = cavity.share.copy()
    share.flat[cells] = 1.0
    hold_metal(state, cavity, share, enthalpy)


def hold_metal(state: Conduction, cavity: Cavity, share: Array, enthalpy: Array) -> None:
    """Let each cell hold a share of metal (ny, nx) [1] with an enthalpy (ny, nx) [J/m3].

    What passed a watched temperature by being pushed on or by mixing, passed it now.
    """
    arrays, watched, model = state.arrays, state.watched, state.model
    before = enthalpy_of(state.tables, arrays.material, arrays.u)
    before[~watched.is_metal] = np.inf
    cavity.share = share
    full = np.pad(cavity.full, 1)
    moved = full.ravel()[watched.cells] != watched.is_metal.ravel()[watched.cells]
    places = np.divmod(watched.cells.astype(np.int64), full.shape[1])
    holds = full[places]
    arrays.material[places] = np.where(holds, model.metal, len(model.materials))
    state.group[places] = np.where(holds, METAL, OUTSIDE)
    watched.is_metal[places] = holds
    heat = np.where(holds, np.pad(enthalpy, 1)[places], 0.0)
    arrays.u[places] = segments_of(state.tables, arrays.material[places], heat)
    _note_crossings(state, before)
    volumes = np.pad(model.section.volumes * np.where(cavity.full, share, 1.0), 1)[places]
    arrays.inverse_C[places] = 1.0 / (volumes * state.tables.width[arrays.material[places]])
    faced = np.pad(np.where(cavity.full, share, ALMOST_NOTHING), 1).ravel()[state.columns.cell]
    state.columns.area[:] = cavity.face_areas * faced
    state.columns.G[:] = 0.0
    if moved.any():
        state.touched.flat[watched.cells[moved]] = state.time
        state.joints = pack_joints(
            arrays.material, cavity.rules, state.faces, state.skins, state.touched
        )
    arrays.T[...] = temperature_of(state.tables, arrays.u)
    arrays.T_last[...] = arrays.T
    forget_passed(arrays.u, watched)


def _note_crossings(state: Conduction, before: Array) -> None:
    """Mark the thresholds that metal cells passed downward without a step, and forget upward."""
    watched, tables, metal = state.watched, state.tables, state.model.metal
    full = watched.is_metal.ravel()[watched.cells]
    low = tables.first[metal]
    h = before.ravel()[watched.cells]
    old = low + (h - tables.start[metal]) / tables.width[metal]
    new = state.arrays.u.ravel()[watched.cells]
    for row, threshold in zip(watched.crossings, watched.thresholds, strict=True):
        row[~full | (new > threshold)] = np.nan
        row[full & (old > threshold) & (new <= threshold)] = state.time
