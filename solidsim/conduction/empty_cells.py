"""Cavity cells before the metal comes: they hold open air, then metal with its heat.

An empty cell is one more reservoir at the temperature of the open air: the sand around the cavity
and the metal's own surface give heat to it as to any opening.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Joints
from solidsim.conduction.joints import FaceList, FaceRule, list_faces, pack_joints
from solidsim.conduction.material_tables import enthalpy_of, segments_of, temperature_of
from solidsim.conduction.state import METAL, OUTSIDE, Conduction, face_rules
from solidsim.conduction.step_end_kernels import forget_passed

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Mask = NDArray[np.bool_]

LEAST_SHARE = 0.1  # of a cell; thinner metal would take steps that are ten times shorter
ALMOST_NOTHING = 1e-12  # of a face that no metal touches yet; kernels divide by the area


@dataclass
class Cavity:
    """How much metal each cell of the section holds, with what it takes to change it.

    ``share`` (ny, nx) of the cell's volume, [1]; ``cells`` (nc,) and ``faced`` (nf,) are the flat
    cells of the cavity and of the columns' faces; ``volumes`` (nc,) [m3], ``face_areas`` (nf,)
    [m2]; ``near`` are all faces of the cavity's cells, ``far`` the joints elsewhere. With less than
    ``LEAST_SHARE`` of metal a cell counts as empty and does not conduct.
    """

    share: Array
    cells: Indices
    faced: Indices
    volumes: Array
    face_areas: Array
    near: FaceList
    far: Joints
    rules: dict[tuple[int, int], FaceRule]

    @property
    def full(self) -> Mask:
        """Cells that hold metal, shape (ny, nx)."""
        return self.share >= LEAST_SHARE


def empty_cavity(state: Conduction) -> Cavity:
    """Put open air in place of all metal of a state that has not started."""
    section, ringed = state.model.section, state.watched.cells
    nothing = np.zeros(section.grid.shape)
    inside = np.zeros(state.arrays.u.size, bool)
    inside[ringed] = True
    faces, rules = list_faces(state.faces), face_rules(state.model)
    touching = inside[faces.first] | inside[faces.second]
    cells = _without_ring(ringed, state)
    cavity = Cavity(
        share=nothing,
        cells=cells,
        faced=_without_ring(state.columns.cell, state),
        volumes=section.volumes.ravel()[cells],
        face_areas=state.columns.area.copy(),
        near=faces.pick(touching),
        far=_joints(state, faces.pick(~touching), rules),
        rules=rules,
    )
    hold_metal(state, cavity, nothing, nothing)
    return cavity


def metal_enthalpy(state: Conduction, cavity: Cavity) -> Array:
    """Enthalpy of the metal that conducts, zero elsewhere, shape (ny, nx), [J/m3]."""
    places = state.watched.cells
    held = enthalpy_of(
        state.tables, state.arrays.material.ravel()[places], state.arrays.u.ravel()[places]
    )
    found = np.zeros_like(cavity.share)
    found.flat[cavity.cells] = np.where(cavity.full.ravel()[cavity.cells], held, 0.0)
    return found


def metal_heat(state: Conduction, cavity: Cavity) -> float:
    """Enthalpy of all metal that conducts, [J]."""
    held = cavity.share * state.model.section.volumes
    return float((metal_enthalpy(state, cavity) * held).sum())


def receive_metal(state: Conduction, cavity: Cavity, cells: Indices, enthalpy: Array) -> None:
    """Fill empty cells (flat), and give all metal the enthalpy (ny, nx) [J/m3] it has now."""
    share = cavity.share.copy()
    share.flat[cells] = 1.0
    hold_metal(state, cavity, share, enthalpy)


def hold_metal(state: Conduction, cavity: Cavity, share: Array, enthalpy: Array) -> None:
    """Let each cell hold a share of metal (ny, nx) [1] with an enthalpy (ny, nx) [J/m3].

    What passed a watched temperature by being pushed on or by mixing, passed it now.
    """
    arrays, watched, model = state.arrays, state.watched, state.model
    places, cavity.share = watched.cells, share
    u, is_metal = arrays.u.ravel(), watched.is_metal.ravel()
    shares = share.ravel()[cavity.cells]
    held, holds = is_metal[places], shares >= LEAST_SHARE
    before = np.where(held, u[places], np.inf)
    kind = np.where(holds, model.metal, len(model.materials)).astype(np.uint8)
    heat = np.where(holds, enthalpy.ravel()[cavity.cells], 0.0)
    now = segments_of(state.tables, kind, heat)
    capacity = cavity.volumes * np.where(holds, shares, 1.0) * state.tables.width[kind]
    is_metal[places], u[places] = holds, now
    arrays.material.ravel()[places] = kind
    arrays.inverse_C.ravel()[places] = 1.0 / capacity
    arrays.T.ravel()[places] = temperature_of(state.tables, now)
    state.group.ravel()[places] = np.where(holds, METAL, OUTSIDE)
    _note_crossings(state, before, np.where(holds, now, np.inf))
    faced = share.ravel()[cavity.faced]
    faced = np.where(faced >= LEAST_SHARE, faced, ALMOST_NOTHING)
    state.columns.area[:] = cavity.face_areas * faced
    state.columns.G[:] = 0.0
    if (held != holds).any():
        state.touched.ravel()[places[held != holds]] = state.time
        cavity.far.G[:] = state.joints.G[: cavity.far.G.size]
        state.joints = _both(cavity.far, _joints(state, cavity.near, cavity.rules))
    forget_passed(arrays.u, watched)


def _joints(state: Conduction, faces: FaceList, rules: dict[tuple[int, int], FaceRule]) -> Joints:
    """Joints of some faces; sand that has dried has those of moist sand."""
    kinds, count = np.arange(state.tables.first.size, dtype=np.uint8), state.skins.size
    kinds[state.lasting.dried[:count]] = kinds[:count]
    return pack_joints(kinds[state.arrays.material], rules, faces, state.skins, state.touched)


def _both(one: Joints, two: Joints) -> Joints:
    """The joints of one and of two, which read the same tables."""
    by_face = Joints._fields[: Joints._fields.index("conductance")]
    joined: dict[str, Any] = {
        name: np.concatenate([getattr(one, name), getattr(two, name)]) for name in by_face
    }
    return one._replace(**joined)


def _without_ring(places: NDArray[np.uint32], state: Conduction) -> Indices:
    """Flat cells of the section, from flat cells of the grid with its ring."""
    j, i = np.divmod(places.astype(np.int64), state.arrays.u.shape[1])
    cells: Indices = (j - 1) * state.model.section.grid.shape[1] + i - 1
    return cells


def _note_crossings(state: Conduction, before: Array, now: Array) -> None:
    """Mark the thresholds that metal passed downward without a step, and forget those above.

    before, now (nc,) of u in the watched cells, infinite where there was or is no metal.
    """
    watched = state.watched
    for row, threshold in zip(watched.crossings, watched.thresholds, strict=True):
        row[now > threshold] = np.nan
        row[(before > threshold) & (now <= threshold)] = state.time
