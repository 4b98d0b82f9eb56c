"""Materials, a grid and columns in no order, for the kernels of conduction."""

import numpy as np
import pytest
from conduction_grid import LAYERS, METAL, NX, PATCHES, SAND

from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction.material_tables import pack_tables, segments_of
from solidsim.materials import build_material


@pytest.fixture(scope="module")
def materials():
    def refuse(*fault):
        raise AssertionError(fault)

    return [
        build_material(name, card, standing="given", report=refuse)
        for name, card in (("m", METAL), ("s", SAND))
    ]


@pytest.fixture
def grid(rng, materials):
    """A small ringed grid of metal, sand and reservoirs in no order."""
    curves = [material.curve for material in materials]
    tables = pack_tables(curves, [300.0, 400.0], 300.0, 1700.0, 50.0)
    shape = (7, NX + 3)
    material = rng.integers(0, 2, shape).astype(np.uint8)
    material[0] = material[-1] = 2
    material[:, 0] = material[:, NX - 1 :] = 3
    h = np.zeros(shape)
    for number, own in enumerate(materials):
        cells = material == number
        h[cells] = own.curve.enthalpy_at(rng.uniform(300.0, 1700.0, cells.sum()))
    faces = kernels.Faces(
        half_x=np.pad(rng.uniform(5e-4, 2e-3, NX - 2), 1),
        half_y=np.pad(rng.uniform(5e-4, 2e-3, shape[0] - 2), 1),
        area_x=np.pad(rng.uniform(1e-4, 2e-4, (shape[0] - 2, NX - 1)), ((1, 1), (0, 4))),
        area_y=np.pad(rng.uniform(1e-4, 2e-4, (shape[0] - 1, NX - 2)), ((0, 0), (1, 4))),
        Gx=np.zeros(shape),
        Gy=np.zeros((shape[0] - 1, shape[1])),
    )
    return tables, material, h, faces


@pytest.fixture
def columns(rng, materials, grid):
    """Columns of sand on some of the metal cells, one layer of them asleep."""
    tables, material, _, _ = grid
    metal = np.flatnonzero(material == 0)
    cell = np.sort(np.concatenate([metal, metal[:4]]))  # four cells stand on two columns
    shape = (LAYERS, PATCHES)
    layer = np.full(shape, 1, np.uint8)
    h = materials[1].curve.enthalpy_at(rng.uniform(300.0, 900.0, shape))
    blank = [np.zeros(shape) for _ in range(3)]
    T = materials[1].curve.temperature_at(h)
    return kernels.Columns(
        cell=cell.astype(np.uint32),
        column=rng.integers(0, PATCHES, cell.size).astype(np.uint32),
        area=rng.uniform(1e-6, 2e-6, cell.size),
        half_depth=rng.uniform(5e-3, 2e-2, cell.size),
        table=np.where(np.arange(cell.size) % 2, 0, -1),
        G=rng.uniform(1e-4, 2e-4, cell.size),
        row=np.searchsorted(cell, np.arange(material.shape[0] + 1) * material.shape[1]),
        width=rng.uniform(1e-3, 3e-3, shape),
        top=rng.uniform(1e-5, 2e-5, shape),
        joint=np.where(rng.random(shape) < 0.3, 0, -1),
        between=rng.uniform(1e-3, 2e-3, shape),
        u=segments_of(tables, layer, h),
        D=blank[0],
        D_last=blank[1],
        T=T,
        T_last=T.copy(),
        T_start=blank[2],
        inverse_C=1.0 / (rng.uniform(1e-8, 2e-8, shape) * tables.width[layer]),
        material=layer,
        inflow=np.zeros(PATCHES),
        gain=np.zeros(shape),
    )
