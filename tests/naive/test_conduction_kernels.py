"""Every kernel of conduction against its twin, on small random grids."""

import numpy as np
import pytest
from naive_conduction import conductance, heating_rate, rkl2_step

from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction.joints import FaceRule, pack_joints, table_temperatures
from solidsim.conduction.material_tables import enthalpy_of, pack_tables, segments_of
from solidsim.conduction.super_time_steps import stage_coefficients, stages_for
from solidsim.materials import build_material

METAL = {
    "kind": "alloy",
    "density": "7000 kg/m3",
    "specific_heat": [["0 °C", "500 J/kgK"], ["1100 °C", "700 J/kgK"], ["1600 °C", "850 J/kgK"]],
    "conductivity": [["0 °C", "50 W/mK"], ["1150 °C", "30 W/mK"], ["1600 °C", "35 W/mK"]],
    "latent_heat": "220 kJ/kg",
    "solid_fraction": {
        "curve": "linear",
        "solidus": "1140 °C",
        "liquidus": "1190 °C",
        "eutectic_share": 0.3,
    },
}
SAND = {
    "kind": "mold",
    "density": "1550 kg/m3",
    "specific_heat": "1050 J/kgK",
    "conductivity": "0.7 W/mK",
    "moisture": "4 %",
}


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
    tables = pack_tables(curves, [300.0, 400.0], 300.0, 1700.0)
    shape = (7, 9)
    material = rng.integers(0, 2, shape).astype(np.uint8)
    material[0] = material[-1] = 2
    material[:, 0] = material[:, -1] = 3
    h = np.zeros(shape)
    for number, own in enumerate(materials):
        cells = material == number
        h[cells] = own.curve.enthalpy_at(rng.uniform(300.0, 1700.0, cells.sum()))
    faces = kernels.Faces(
        half_x=np.pad(rng.uniform(5e-4, 2e-3, shape[1] - 2), 1),
        half_y=np.pad(rng.uniform(5e-4, 2e-3, shape[0] - 2), 1),
        area_x=np.pad(rng.uniform(1e-4, 2e-4, (shape[0] - 2, shape[1] - 1)), ((1, 1), (0, 0))),
        area_y=np.pad(rng.uniform(1e-4, 2e-4, (shape[0] - 1, shape[1] - 2)), ((0, 0), (1, 1))),
        Gx=np.zeros((shape[0], shape[1] - 1)),
        Gy=np.zeros((shape[0] - 1, shape[1])),
    )
    return tables, material, h, faces


def looked_up(tables, material, h):
    T, cold, hot = (np.zeros_like(h) for _ in range(3))
    kernels.look_up(segments_of(tables, material, h), tables, T, cold, hot)
    return T, cold, hot


def test_look_up_reads_the_curves(materials, grid):
    tables, material, h, _ = grid
    T, cold, hot = looked_up(tables, material, h)
    fs = np.zeros_like(h)
    kernels.solid_fractions(segments_of(tables, material, h), tables, fs)
    for number, own in enumerate(materials):
        cells = material == number
        np.testing.assert_allclose(T[cells], own.curve.temperature_at(h[cells]), atol=0.1)
        np.testing.assert_allclose(fs[cells], own.curve.solid_fraction_at(h[cells]), atol=1e-3)
        flat = hot[cells] != cold[cells]
        expected = own.curve.conductivity_at(h[cells])
        np.testing.assert_allclose(cold[cells][~flat], expected[~flat], rtol=1e-3)
    assert (T[0, 1:-1] == 300.0).all()
    assert (T[1:-1, 0] == 400.0).all()


def test_segments_and_enthalpies_are_each_other_s_inverse(materials, grid):
    tables, material, h, _ = grid
    back = enthalpy_of(tables, material, segments_of(tables, material, h))
    inside = material < 2
    np.testing.assert_allclose(back[inside], h[inside], rtol=1e-12)


def test_a_cell_at_its_freezing_point_conducts_by_phase(materials):
    tables = pack_tables([materials[0].curve], [], 300.0, 1700.0)
    flat = next(zone for zone in materials[0].curve.zones if np.ptp(zone.temperature) == 0.0)
    h = np.array([[flat.enthalpy.mean()]])
    _, cold, hot = looked_up(tables, np.zeros((1, 1), np.uint8), h)
    assert (cold[0, 0], hot[0, 0]) == (flat.conductivity[0], flat.conductivity[-1])


def test_faces_are_half_cells_in_series(grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    kernels.face_conductances(T, cold, hot, faces)
    for j in range(1, h.shape[0] - 1):
        for i in range(h.shape[1] - 1):
            falls = T[j, i] >= T[j, i + 1]
            expected = conductance(
                faces.area_x[j, i],
                faces.half_x[i],
                (cold if falls else hot)[j, i],
                faces.half_x[i + 1],
                (hot if falls else cold)[j, i + 1],
            )
            assert faces.Gx[j, i] == pytest.approx(expected, rel=1e-12)


def test_joints_settle_on_the_surface_temperature(grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    kernels.face_conductances(T, cold, hot, faces)
    table = 200.0 + 0.5 * (table_temperatures() - 300.0)
    joints = pack_joints(material, {(0, 1): FaceRule(table)}, faces)
    before = faces.Gy.copy()
    kernels.joint_conductances(T, cold, hot, joints, faces)
    pairs = np.sort(np.stack([material[:-1], material[1:]]), axis=0)
    joined = (pairs[0] == 0) & (pairs[1] == 1) & (faces.area_y > 0)
    assert (faces.Gy[~joined] == before[~joined]).all()
    for j, i in np.argwhere(joined):
        falls = T[j, i] >= T[j + 1, i]
        k_low, k_high = (cold if falls else hot)[j, i], (hot if falls else cold)[j + 1, i]
        surface = max(T[j, i], T[j + 1, i])
        for _ in range(60):
            G = conductance(
                faces.area_y[j, i],
                faces.half_y[j],
                k_low,
                faces.half_y[j + 1],
                k_high,
                200.0 + 0.5 * (surface - 300.0),
            )
            flow = abs(T[j, i] - T[j + 1, i]) * G / faces.area_y[j, i]
            hotter, k = (j, k_low) if falls else (j + 1, k_high)
            surface = max(T[j, i], T[j + 1, i]) - flow * faces.half_y[hotter] / k
        assert faces.Gy[j, i] == pytest.approx(G, rel=1e-3)


def test_all_stages_of_a_step(rng, materials, grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    kernels.face_conductances(T, cold, hot, faces)
    V = np.ones_like(h)
    V[1:-1, 1:-1] = rng.uniform(1e-6, 2e-6, (h.shape[0] - 2, h.shape[1] - 2))
    C = V * tables.width[material]
    limit = kernels.explicit_limit(faces, 1.0 / C, material, tables.steepest)
    dt = 20.0 * limit
    stages = stages_for(dt, limit)
    metal = np.flatnonzero(material == 0)
    u = segments_of(tables, material, h)
    points = np.sort(materials[0].curve.enthalpy_at(np.linspace(400.0, 1650.0, 12)))[::-1]
    thresholds = segments_of(tables, np.zeros(12, np.uint8), points)
    watched = kernels.Watched(
        cells=metal,
        is_metal=material == 0,
        x=np.arange(float(h.shape[1])),
        y=np.arange(float(h.shape[0])),
        thresholds=thresholds,
        gradient_threshold=thresholds[3],
        crossings=np.full((12, metal.size), np.nan),
        gradients=np.full(metal.size, np.nan),
        samples=np.array([metal[0], metal[-1]]),
    )
    blank = [np.zeros_like(h) for _ in range(3)]
    arrays = kernels.StepArrays(u, *blank, T.copy(), T.copy(), 1.0 / C, material)
    samples = np.zeros((stages, 2))
    kernels.run_stages(5.0, dt, stage_coefficients(stages), arrays, faces, tables, watched, samples)

    def temperatures(now):
        found = T.copy()
        for cell in np.argwhere(material < 2):
            place = tuple(cell)
            n = int(now[place])
            found[place] = tables.T[n] + (now[place] - n) * tables.dT[n]
        return found

    found = rkl2_step(
        u, dt, stages, lambda now: heating_rate(temperatures(now), faces.Gx, faces.Gy, C)
    )
    scale = np.abs(found[-1] - u).max()
    np.testing.assert_allclose(u + arrays.D, found[-1], rtol=0.0, atol=1e-10 * scale)
    np.testing.assert_allclose(samples[-1], temperatures(found[-1]).flat[watched.samples])

    times = 5.0 + dt * stage_coefficients(stages).time
    for c, cell in enumerate(metal):
        path = [stage.flat[cell] for stage in found]
        for n, threshold in enumerate(thresholds):
            expected = np.nan
            for s in range(stages):
                if path[s] > threshold >= path[s + 1]:
                    share = (path[s] - threshold) / (path[s] - path[s + 1])
                    expected = times[s] + share * (times[s + 1] - times[s])
            assert watched.crossings[n, c] == pytest.approx(expected, rel=1e-6, nan_ok=True)


def test_heat_is_kept_to_round_off(rng, grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    kernels.face_conductances(T, cold, hot, faces)
    V = np.ones_like(h)
    V[1:-1, 1:-1] = rng.uniform(1e-6, 2e-6, (h.shape[0] - 2, h.shape[1] - 2))
    blank = [np.zeros_like(h) for _ in range(3)]
    C = V * tables.width[material]
    arrays = kernels.StepArrays(
        segments_of(tables, material, h), *blank, T, T.copy(), 1.0 / C, material
    )
    limit = kernels.explicit_limit(faces, 1.0 / C, material, tables.steepest)
    watched = kernels.Watched(
        cells=np.zeros(0, np.int64),
        is_metal=material == 0,
        x=np.arange(float(h.shape[1])),
        y=np.arange(float(h.shape[0])),
        thresholds=np.zeros(1),
        gradient_threshold=0.0,
        crossings=np.zeros((1, 0)),
        gradients=np.zeros(0),
        samples=np.zeros(0, np.int64),
    )
    coefficients = stage_coefficients(stages_for(30 * limit, limit))
    kernels.run_stages(
        0.0, 30 * limit, coefficients, arrays, faces, tables, watched, np.zeros((99, 0))
    )
    heat = np.zeros(3)
    group = np.where(material == 0, 0, np.where(material == 1, 1, 2))
    kernels.heat_sums(arrays.D, C, group, heat)
    assert abs(heat.sum()) < 1e-12 * np.abs(heat).max()
