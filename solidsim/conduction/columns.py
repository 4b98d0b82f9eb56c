"""Mold columns: where the heat goes that leaves the metal out of the page.

A metal cell of finite depth has two out-of-plane faces. Behind each lies mold, which takes up
heat in one dimension, in layers that widen with the distance z from the face: A(z) = A0 (1 + w z)
with the spread w of the section. The metal cells of a small patch share one column.
"""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import Columns, MaterialTables
from solidsim.conduction.material_tables import segments_of
from solidsim.materials import Material
from solidsim.model import Model

Array = NDArray[np.float64]

FIRST_LAYER = 1e-3  # m
GROWTH = 1.45  # of a layer over the one before
LAYERS = 12  # 0.19 m in all
PATCH = 6  # cells along each side of a patch
END_REACH = 0.2  # fitted to 3-D runs: see DEVELOPERS.md, "Depth"
AWAKE = 3  # layers at the pour
STIRRED = 0.01  # K of change at which the layer behind one wakes up


def pack_columns(
    model: Model, tables: MaterialTables, joint_rows: dict[tuple[int, int], int]
) -> Columns:
    """Stand a column of mold on each patch of metal faces, both sides of the section in one.

    Parameters
    ----------
    model : Model
    tables : MaterialTables
    joint_rows : dict
        (lower, higher) material -> table of their joint; pairs left out touch perfectly.
    """
    section = model.section
    cells = np.flatnonzero((section.face_areas > 0.0) & section.metal)
    j, i = np.divmod(cells, section.grid.x_centers.size)
    patch = np.column_stack([section.part_index.flat[cells], j // PATCH, i // PATCH])
    kinds, column = np.unique(patch, axis=0, return_inverse=True)
    column = column.ravel()
    reach = np.array([1.0, *end_shares(model)])[section.part_index.flat[cells]]
    area = 2.0 * reach * section.face_areas.flat[cells]
    base = np.bincount(column, area, minlength=len(kinds))
    spread = np.array([0.0, *(part.spread for part in section.parts)])[kinds[:, 0]]
    edges = FIRST_LAYER * (GROWTH ** np.arange(LAYERS + 1) - 1.0) / (GROWTH - 1.0)
    shape = (LAYERS, len(kinds))
    width = np.broadcast_to(np.diff(edges)[:, None], shape).copy()
    middle = 0.5 * (edges[1:] + edges[:-1])[:, None]
    volume = base * (1.0 + spread * middle) * width
    material = np.full(shape, model.mold, np.uint8)
    sand = model.materials[model.mold].curve
    start = np.full(shape, float(sand.enthalpy_at(model.mold_temperature, molten=False)))
    cold = np.full(shape, model.mold_temperature)
    pair = (min(model.metal, model.mold), max(model.metal, model.mold))
    return Columns(
        cell=(j + 1) * (section.grid.x_centers.size + 2) + i + 1,
        column=column,
        area=area,
        half_depth=0.5 * section.depth.flat[cells],
        table=np.full(cells.size, joint_rows.get(pair, -1)),
        G=np.zeros(cells.size),
        width=width,
        top=base * (1.0 + spread * edges[1:, None]),
        joint=np.full(shape, -1),
        between=np.zeros(shape),
        u=segments_of(tables, material, start),
        M0=np.zeros(shape),
        D=np.zeros(shape),
        D_last=np.zeros(shape),
        T=cold,
        T_last=cold.copy(),
        inverse_C=1.0 / (volume * tables.width[material]),
        material=material,
        inflow=np.zeros(len(kinds)),
    )


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
    slowness = given_off / flux_per_root_time(sand, model.mold_temperature, metal.solidus)
    shares = []
    for part in model.section.parts:
        time = (slowness * part.modulus_in_plane) ** 2
        deep = isinstance(part.depth, float) and math.isfinite(time)
        shares.append(math.exp(-END_REACH * part.depth**2 / (diffusivity * time)) if deep else 1.0)
    return shares


def flux_per_root_time(sand: Material, cold: float, hot: float) -> float:
    """Heat that thick sand takes from a wall at a steady temperature, [J/m2 s^1/2].

    (2 / sqrt(pi)) b (T - T_0), b from the mean conductivity and the heat taken up in between.
    """
    heat = sand.curve.enthalpy_at(np.linspace(cold, hot, 101))
    conductivity = float(np.mean(sand.curve.conductivity_at(heat)))
    effusivity = math.sqrt(conductivity * float(heat[-1] - heat[0]) / (hot - cold))
    return 2.0 / math.sqrt(math.pi) * effusivity * (hot - cold)


def layers_awake(columns: Columns, active: int, cold: float) -> int:
    """How many layers must be awake now that heat stirs the last one of them."""
    if active < columns.T.shape[0] and columns.T.shape[1]:
        stirred = np.abs(columns.T[active - 1] - cold).max()
        return active + 1 if stirred > STIRRED else active
    return active
