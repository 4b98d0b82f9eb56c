"""Mold columns: where the heat goes that leaves the metal out of the page.

A metal cell of finite depth has two out-of-plane faces. Behind each lies mold, which takes up
heat in one dimension, in layers that widen with the distance z from the face: A(z) = A0 (1 + w z)
with the spread w of the section. The metal cells of a small patch share one column.
"""

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Columns, MaterialTables
from solidsim.conduction.material_tables import segments_of
from solidsim.materials import Material
from solidsim.model import FaceLayer, Model

Array = NDArray[np.float64]

FIRST_LAYER = 5e-4  # m
GROWTH = 1.3  # of a layer over the one before; 1.45 errs by 1 % more
LAYERS = 18  # 0.19 m in all
PLATE_LAYERS = 4  # of them for a plate that lies on the face
PATCH = 6  # cells along each side of a patch
AWAKE = 4  # layers at the pour
STIRRED = 0.01  # K of change at which the layer behind one wakes up
END_REACH = 0.2  # fitted to 3-D runs: see DEVELOPERS.md, "Depth"


def pack_columns(
    model: Model, tables: MaterialTables, joint_rows: dict[tuple[int, int], int], row_size: int
) -> Columns:
    """Stand a column on each patch of metal faces; alike faces of both sides share one.

    Parameters
    ----------
    model : Model
    tables : MaterialTables
    joint_rows : dict
        (lower, higher) material -> table of their joint; pairs left out touch perfectly.
    row_size : int
        Cells of a row of the ringed grid.
    """
    section = model.section
    places, sides, faces = _faced_cells(model)
    nx = section.grid.x_centers.size
    j, i = np.divmod(places, nx)
    part = section.part_index.flat[places].astype(np.int64)
    patches, column = np.unique(
        np.column_stack([part, sides, j // PATCH, i // PATCH]), axis=0, return_inverse=True
    )
    column = column.ravel()
    cell = (j + 1) * row_size + i + 1
    area = faces * np.array([1.0, *end_shares(model)])[part] * section.face_areas.flat[places]
    base = np.bincount(column, area, minlength=len(patches))
    spread = np.array([0.0, *(part.spread for part in section.parts)])[patches[:, 0]]
    covers = [model.faces[number - 1][side] for number, side in patches[:, :2]]
    edges = np.zeros((LAYERS + 1, len(covers)))
    material = np.zeros((LAYERS, len(covers)), np.uint8)
    for number, cover in enumerate(covers):
        edges[:, number] = _layer_edges(cover)
        material[:, number] = _layer_materials(cover, model.mold)
    width = np.diff(edges, axis=0)
    volume = base * (1.0 + spread * 0.5 * (edges[1:] + edges[:-1])) * width
    joint = np.full(material.shape, -1)
    joint[:-1] = _rows(joint_rows, material[:-1], material[1:])
    start = _start_enthalpy(model)[material]
    return Columns(
        cell=cell.astype(np.uint32),
        column=column.astype(np.uint32),
        area=area,
        half_depth=0.5 * section.depth.flat[places],
        table=_rows(joint_rows, np.full(column.size, model.metal), material[0][column]),
        G=np.zeros(column.size),
        row=np.searchsorted(cell, np.arange(section.grid.y_centers.size + 3) * row_size),
        width=width,
        top=base * (1.0 + spread * edges[1:]),
        joint=joint,
        between=np.zeros(width.shape),
        u=segments_of(tables, material, start),
        D=np.zeros(width.shape),
        D_last=np.zeros(width.shape),
        T=np.full(width.shape, model.mold_temperature),
        T_last=np.full(width.shape, model.mold_temperature),
        T_start=np.full(width.shape, model.mold_temperature),
        inverse_C=1.0 / (volume * tables.width[material]),
        material=material,
        inflow=np.zeros(len(patches)),
        gain=np.zeros(width.shape),
    )


def _faced_cells(model: Model) -> tuple[NDArray[np.int64], NDArray[np.int64], Array]:
    """Metal cells with ends, the side of each face, and how many like faces it stands for.

    In reading order; a cell whose two faces differ stands there twice.
    """
    section = model.section
    cells = np.flatnonzero((section.face_areas > 0.0) & section.metal)
    alike = np.array([True, *(one == two for one, two in model.faces)])
    both = alike[section.part_index.flat[cells]]
    places = np.repeat(cells, np.where(both, 1, 2))
    second = np.diff(places, prepend=-1) == 0
    return (
        places,
        second.astype(np.int64),
        np.repeat(np.where(both, 2.0, 1.0), np.where(both, 1, 2)),
    )


def _layer_edges(cover: FaceLayer) -> Array:
    """Distances of the layers' bounds from the face, shape (LAYERS + 1,), [m]."""
    plate = PLATE_LAYERS if math.isfinite(cover.thickness) else 0
    count = np.arange(LAYERS - plate + 1, dtype=float)
    graded: Array = FIRST_LAYER * (GROWTH**count - 1.0) / (GROWTH - 1.0)
    if not plate:
        return graded
    return np.append(np.linspace(0.0, cover.thickness, plate + 1)[:-1], cover.thickness + graded)


def _layer_materials(cover: FaceLayer, mold: int) -> NDArray[np.int64]:
    """Material number of each layer, shape (LAYERS,)."""
    plate = PLATE_LAYERS if math.isfinite(cover.thickness) else LAYERS
    return np.array([cover.material] * plate + [mold] * (LAYERS - plate))


def _start_enthalpy(model: Model) -> Array:
    """Enthalpy of each material at the mold's temperature, open air last, [J/m3]."""
    solids = [
        float(material.curve.enthalpy_at(model.mold_temperature, molten=False))
        for material in model.materials
    ]
    return np.array([*solids, 0.0])


def _rows(
    joint_rows: dict[tuple[int, int], int], one: NDArray[Any], two: NDArray[Any]
) -> NDArray[np.int64]:
    """Table of the joint of each pair of materials, -1 where they touch perfectly."""
    pairs = np.stack([np.minimum(one, two), np.maximum(one, two)])
    found = np.full(one.shape, -1)
    for (low, high), row in joint_rows.items():
        if low != high:
            found[(pairs[0] == low) & (pairs[1] == high)] = row
    return found


def end_shares(model: Model) -> list[float]:
    """Share of the heat lost at its two ends that the middle of each part feels, [1].

    Before a deep part freezes at mid-depth, the cold of its ends has hardly come there, and
    spread over the depth it would freeze the section too early: exp(-0.2 b^2 / (a t)), with the
    depth b, the metal's diffusivity a and the time t in which the section would freeze without
    ends (Chvorinov's rule with Flemings' constant). 0.2 is fitted to 3-D runs.
    """
    metal, sand = model.materials[model.metal], model.materials[model.mold]
    if not metal.latent_heat:
        return [1.0 for _ in model.section.parts]
    below = metal.curve.enthalpy_at(np.array([metal.solidus - 100.0, metal.solidus]), molten=False)
    given_off = float(metal.curve.enthalpy_at(model.pour_temperature)) - below[1]
    diffusivity = float(metal.curve.conductivity_at(below[1])) * 100.0 / (below[1] - below[0])
    cold, hot = model.mold_temperature, metal.solidus
    drawn = 2.0 / math.sqrt(math.pi) * mold_effusivity(sand, cold, hot) * (hot - cold)
    slowness = given_off / drawn
    shares = []
    for part in model.section.parts:
        time = (slowness * part.modulus_in_plane) ** 2
        depth = part.depth if isinstance(part.depth, float) and math.isfinite(time) else 0.0
        shares.append(math.exp(-END_REACH * depth**2 / (diffusivity * time)) if depth else 1.0)
    return shares


def mold_effusivity(sand: Material, cold: float, hot: float) -> float:
    """Root of conductivity times heat taken up a kelvin, from cold to hot, [W s^1/2/m2K]."""
    heat = sand.curve.enthalpy_at(np.linspace(cold, hot, 101))
    conductivity = float(np.mean(sand.curve.conductivity_at(heat)))
    return math.sqrt(conductivity * float(heat[-1] - heat[0]) / (hot - cold))


def effusivities(model: Model, rows: int) -> Array:
    """Effusivity of what takes up the metal's heat, by row of the tables, [W s^1/2/m2K]."""
    metal, cold = model.materials[model.metal], model.mold_temperature
    hot = metal.solidus if metal.latent_heat else model.pour_temperature
    skins = np.zeros(rows)
    for number, own in enumerate(model.materials):
        if number != model.metal and hot > cold:
            skins[number] = mold_effusivity(own, cold, hot)
    return skins


def layers_awake(columns: Columns, active: int, cold: float) -> int:
    """How many layers must be awake now that heat stirs the last one of them."""
    if active < columns.T.shape[0] and columns.T.shape[1]:
        stirred = np.abs(columns.T[active - 1] - cold).max()
        return active + 1 if stirred > STIRRED else active
    return active
