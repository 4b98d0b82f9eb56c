"""The state of the heat in a model: all arrays of the kernels, made from the model's."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction.columns import AWAKE, effusivities, pack_columns
from solidsim.conduction.joints import FaceRule, joint_rules, list_faces, pack_joints
from solidsim.conduction.lasting import fuel, pack_lasting
from solidsim.conduction.lasting_kernels import Lasting, dry
from solidsim.conduction.material_tables import (
    SEGMENTS,
    enthalpy_of,
    lines,
    pack_tables,
    segments_of,
    temperature_of,
)
from solidsim.conduction.ring import faces_of, in_lines, row_size, with_ring
from solidsim.conduction.step_end_kernels import forget_passed
from solidsim.conduction.watching import mirrored_where_insulated, near_of, watch
from solidsim.materials.material import Material
from solidsim.model import Model

Array = NDArray[np.float64]

SCALE_SHARE = 0.15  # of the span of temperatures: this change counts like all the latent heat
WIDE_RANGE, NARROW_RANGE = 30.0, 10.0  # K of freezing range
WIDE_TOLERANCE, NARROW_TOLERANCE = 0.06, 0.2  # change of a cell in a step against its scale
STRAIGHT = 4e-4  # of the span of temperatures: T(u) that stays within it of a line is straight
FLOOR = 1.0  # of the change allowed in a step, which may come without a first rate
NEAR = 0.5  # likewise, for the watch on thresholds: with a quarter 2 % of a T's cells slip through
COOLING = 4.0  # times the tolerance when all metal is solid: it moves a shake-out by 0.3 %
NEVER = -1e300  # J/m3: a threshold that nothing passes
# groups of the heat account; faces: part of the others; added: by burning, and then elsewhere
METAL, ELSEWHERE, OUTSIDE, FACES, ADDED = range(5)


@dataclass
class Conduction:
    """State of the heat in a model; made by ``start_conduction``.

    Arrays carry a ring of reservoir cells, and more of them on the right until each row fills whole
    lines of the cache; ``inside`` are those of the section. ``watched.crossings`` (nk, nc) [s], its
    rows in the order of ``passing``, and ``watched.gradients`` (nc,) [K/m] belong to the metal
    cells in reading order. ``fuel`` is the share of fuel left in the cells and in the layers
    of the columns; ``skins``, ``touched`` as in ``pack_joints``; ``metal_volumes`` (nc,) [m3];
    ``conductivity`` and ``room`` serve the kernels.
    """

    model: Model
    passing: tuple[str, ...]
    tables: kernels.MaterialTables
    joints: kernels.Joints
    skins: Array
    touched: Array
    columns: kernels.Columns
    active: int
    arrays: kernels.StepArrays
    watched: kernels.Watched
    bends: kernels.Bends
    near: kernels.Near
    faces: kernels.Faces
    lasting: Lasting
    fuel: tuple[Array, Array]
    conductivity: tuple[Array, Array]
    room: tuple[Array, Array]
    group: NDArray[np.int64]
    column_group: NDArray[np.int64]
    metal_volumes: Array
    scales: kernels.Scales
    tolerance: float
    cut: float
    time: float = 0.0
    next_length: float = 0.0
    cell_updates: int = 0

    @property
    def inside(self) -> tuple[slice, slice]:
        """Where the cells of the section are in arrays that carry a ring."""
        ny, nx = self.model.section.grid.shape
        return np.s_[1 : ny + 1, 1 : nx + 1]

    @property
    def enthalpy(self) -> Array:
        """Volumetric enthalpy of the cells, shape (ny, nx), [J/m3]."""
        ringed = enthalpy_of(self.tables, self.arrays.material, self.arrays.u)
        return ringed[self.inside]

    @property
    def temperature(self) -> Array:
        """Temperature of the cells, shape (ny, nx), [K]."""
        return self.arrays.T[self.inside]

    def passed(self, name: str) -> Array:
        """Time at which each cell cooled past a point, (ny, nx), [s]; NaN where it has not."""
        return self._spread(self.watched.crossings[self.passing.index(name)])

    def gradient(self) -> Array:
        """Temperature gradient of each metal cell as it was judged, shape (ny, nx), [K/m]."""
        return self._spread(self.watched.gradients)

    def _spread(self, values: Array) -> Array:
        out = np.full(self.arrays.u.shape, math.nan)
        out.flat[self.watched.cells] = values
        return out[self.inside]

    def hottest_metal(self) -> float:
        """Temperature of the hottest metal in the mold, [K]; cells that wait for it are cold."""
        return float(self.arrays.T.ravel()[self.watched.cells].max())

    def all_solid(self) -> bool:
        """Whether every metal cell has cooled past its solidus."""
        passed = ~np.isnan(self.watched.crossings[self.passing.index("solidus")])
        return bool(passed[self.watched.is_metal.ravel()[self.watched.cells]].all())

    def solid_share(self) -> float:
        """Solid share of the volume of all metal, in the mold or to come, [1]."""
        watched, u = self.watched, self.arrays.u
        volumes = self.metal_volumes
        solid = kernels.solid_volume(u, watched.cells, watched.is_metal, volumes, self.tables)
        return float(solid / volumes.sum())

    def solid_fraction(self) -> Array:
        """Solid fraction of the cells, shape (ny, nx), [1]; one for what never melts."""
        out = np.zeros_like(self.arrays.u)
        kernels.solid_fractions(self.arrays.u, self.tables, out)
        return out[self.inside]


def start_conduction(model: Model, sampled: NDArray[np.int64] | None = None) -> Conduction:
    """Make the arrays of a model's heat.

    Parameters
    ----------
    model : Model
    sampled : ndarray of int64, shape (np,), optional
        Cells, as ``j * nx + i``, whose temperature is kept at every stage.
    """
    section, count = model.section, len(model.materials)
    outside = [model.open_air, *model.sides]
    coldest, hottest = temperature_span(model)
    moist = {n: own.dried for n, own in enumerate(model.materials) if own.dried is not None}
    span = SCALE_SHARE * max(float(np.subtract(*_start_span(model)[::-1])), 1e-6)
    tolerance = _tolerance(model.materials[model.metal])
    tables = pack_tables(
        [material.curve for material in model.materials],
        [boundary.temperature for boundary in outside],
        coldest,
        hottest,
        COOLING * tolerance * max(span, _latent_span(model)),
        moist,
    )
    of_metal, cut = _metal_scale(model, tables, span), STRAIGHT * (hottest - coldest)
    floor = FLOOR * tolerance
    tables = tables._replace(
        line=lines(tables, (cut, COOLING * cut), model.metal, floor * of_metal, floor * span)
    )
    dried_rows = {number: count + len(outside) + place for place, number in enumerate(moist)}
    lasting = pack_lasting(model, tables, tuple(dried_rows.get(n, n) for n in range(count)))
    ny, nx = section.grid.shape
    inside, shape = np.s_[1:-1, 1 : nx + 1], (ny + 2, row_size(nx))
    material = with_ring(model.material_index, count, shape)
    enthalpy, u, capacity = np.zeros(shape), in_lines(shape), tables.width[material]
    enthalpy[inside] = model.initial_enthalpy
    enthalpy[material >= count] = 0.0
    u[...] = segments_of(tables, material, enthalpy)
    capacity[inside] *= section.volumes
    faces = faces_of(section)
    rules = face_rules(model)
    skins, touched = effusivities(model, count + len(outside)), np.zeros(u.shape)
    joints = pack_joints(material, rules, list_faces(faces), skins, touched)
    joint_rows = {pair: row for row, pair in enumerate(rules)}
    columns = pack_columns(model, tables, joint_rows, shape[1])
    is_metal = material == model.metal
    ringed = np.arange(u.size).reshape(u.shape)[inside].ravel()
    passing = passing_points(model)
    points = np.array(list(passing.values()))
    watched = watch(
        section.grid,
        mirrored_where_insulated(is_metal, model),
        segments_of(tables, np.full(points.size, model.metal, np.uint8), points),
        list(passing).index("judging"),
        ringed[[] if sampled is None else sampled],
    )
    state = Conduction(
        model=model,
        passing=tuple(passing),
        tables=tables,
        joints=joints,
        skins=skins,
        touched=touched,
        columns=columns,
        active=AWAKE,
        arrays=_step_arrays(u, capacity, material),
        watched=watched,
        faces=faces,
        lasting=lasting,
        fuel=(fuel(material, lasting), fuel(columns.material, lasting)),
        bends=_no_bends(shape),
        near=near_of(watched),
        conductivity=(in_lines(shape), in_lines(shape)),
        room=(np.zeros(u.size), np.zeros(columns.inflow.size)),
        group=np.select([is_metal, material < count], [METAL, ELSEWHERE], OUTSIDE),
        column_group=np.where(columns.material < count, ELSEWHERE, OUTSIDE),
        metal_volumes=section.volumes[is_metal[inside]],
        scales=kernels.Scales(model.metal, of_metal, span, NEAR * tolerance * of_metal),
        tolerance=tolerance,
        cut=cut,
    )
    dry_out(state)
    look_up_temperatures(state)
    state.arrays.T_new[...] = state.arrays.T  # stages do not write the ring
    forget_passed(u, watched)
    return state


def _step_arrays(u: Array, capacity: Array, material: NDArray[np.uint8]) -> kernels.StepArrays:
    """Arrays of steps that have not begun; capacity [J] is that of a segment in each cell."""
    names = ("T", "flow", "D", "D_last", "T_new", "T_last", "inverse_C", "warming", "line")
    blank = {name: in_lines(u.shape) for name in names}
    blank["inverse_C"][...] = 1.0 / capacity
    return kernels.StepArrays(u=u, material=material, **blank)


def _no_bends(shape: tuple[int, int]) -> kernels.Bends:
    """Room for as many stretches as there are cells."""
    begin, end = (np.zeros(math.prod(shape), np.uint64) for _ in range(2))
    return kernels.Bends(begin, end, np.zeros(shape[0] + 1, np.int64))


def face_rules(model: Model) -> dict[tuple[int, int], FaceRule]:
    """Conductance of the faces between all pairs of materials and reservoirs."""
    return joint_rules(
        model.interfaces,
        list(enumerate([model.open_air, *model.sides], start=len(model.materials))),
        [part.emissivity for part in model.materials],
    )


def temperature_span(model: Model) -> tuple[float, float]:
    """Coldest and hottest temperature that can occur, [K].

    Those at the start and outside; where something burns, it may do so when it is hottest already.
    """
    coldest, hottest = _start_span(model)
    peaks = [hottest]
    for material in model.materials:
        if material.reaction is not None:
            burnt = material.curve.enthalpy_at(hottest) + material.density * material.reaction.heat
            peaks.append(float(material.curve.temperature_at(burnt)))
    return coldest, max(peaks)


def _start_span(model: Model) -> tuple[float, float]:
    """Coldest and hottest temperature at the start and outside, [K]."""
    held = [side.temperature for side in (*model.sides, model.open_air) if side.kind != "insulated"]
    for number, material in enumerate(model.materials):
        cells = model.initial_enthalpy[model.material_index == number]
        held += [float(at) for at in material.curve.temperature_at(_ends(cells))]
    return min(held), max(held)


def _ends(values: Array) -> Array:
    return np.array([values.min(), values.max()]) if values.size else values


def passing_points(model: Model) -> dict[str, float]:
    """Enthalpies of the metal whose passing is noted, falling, [J/m3]."""
    metal, judging = model.materials[model.metal], model.judging
    if not metal.latent_heat:
        return dict.fromkeys(("liquidus", "judging", "solidus"), NEVER)
    at = metal.curve.enthalpy_at
    points = {
        "liquidus": at(metal.liquidus, molten=True),
        "cutoff": np.array(metal.curve.enthalpy_at_solid_fraction(metal.feeding_cutoff)),
        "judging_above": at(judging.temperature + judging.window / 2.0),
        "judging": at(judging.temperature),
        "judging_below": at(judging.temperature - judging.window / 2.0, molten=False),
        "solidus": at(metal.solidus, molten=False),
    }
    return {
        name: float(h) for name, h in sorted(points.items(), key=lambda point: -float(point[1]))
    }


def dry_out(state: Conduction) -> None:
    """Part sand that has dried from its water for good."""
    if np.isfinite(state.lasting.dry_at).any():
        dry(state.arrays.u, state.arrays.material, state.lasting)
        awake = np.s_[: state.active]
        dry(state.columns.u[awake], state.columns.material[awake], state.lasting)


def look_up_temperatures(state: Conduction) -> None:
    """Set all temperatures for the state as it is."""
    state.arrays.T[...] = temperature_of(state.tables, state.arrays.u)
    state.columns.T[...] = temperature_of(state.tables, state.columns.u)


def _metal_scale(model: Model, tables: kernels.MaterialTables, span: float) -> float:
    """Change of the metal's u that counts as much as freezing: all latent heat, if there is any."""
    metal = model.materials[model.metal]
    latent = metal.density * metal.latent_heat / float(tables.width[model.metal])
    first = int(tables.first[model.metal])
    return latent or span / float(tables.dT[first : first + SEGMENTS].max())


def _latent_span(model: Model) -> float:
    """Fall of the solid metal's temperature by as much heat as freezing takes, [K]."""
    metal = model.materials[model.metal]
    if not metal.latent_heat:
        return 0.0
    end = metal.curve.enthalpy_at(metal.solidus, molten=False)
    below = metal.curve.temperature_at(end - metal.density * metal.latent_heat)
    return float(metal.solidus - below)


def _tolerance(metal: Material) -> float:
    """Allowed change of a step: a narrow freezing range freezes about a cell in 1/tolerance steps.

    The values at both ends are measured ones: see DEVELOPERS.md, "Choice of scheme".
    """
    if not metal.latent_heat:
        return WIDE_TOLERANCE
    width = metal.liquidus - metal.solidus
    share = np.clip((width - NARROW_RANGE) / (WIDE_RANGE - NARROW_RANGE), 0.0, 1.0)
    return float(NARROW_TOLERANCE * (WIDE_TOLERANCE / NARROW_TOLERANCE) ** share)
