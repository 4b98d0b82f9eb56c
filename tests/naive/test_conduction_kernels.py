"""Every kernel of conduction against its twin, on small random grids."""

from itertools import pairwise

import numpy as np
import pytest
from naive_conduction import conductance, heating_rate, rkl2_step

from solidsim.conduction import conductance_kernels as conductances
from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction import stage_kernels as stages
from solidsim.conduction import step_end_kernels as steps
from solidsim.conduction.joints import FaceRule, list_faces, pack_joints, table_temperatures
from solidsim.conduction.material_tables import (
    enthalpy_of,
    lines,
    pack_tables,
    segments_of,
    temperature_of,
)
from solidsim.conduction.ring import in_lines, row_size
from solidsim.conduction.super_time_steps import stage_coefficients, stages_for
from solidsim.conduction.watching import near_of
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


NX = 9  # cells of a row with its ring; rows are wider, as where they fill lines of the cache


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


def step_arrays(tables, material, h, V=1.0):
    """Arrays of a step, looked up, and both conductivities."""
    T, flow, D, D_last, T_new, T_last, warming, line, cold, hot = (
        np.zeros_like(h) for _ in range(10)
    )
    u, C = segments_of(tables, material, h), V * tables.width[material]
    arrays = kernels.StepArrays(
        u, T, flow, D, D_last, T_new, T_last, 1.0 / C, warming, line, material
    )
    conductances.look_up(arrays, 0, tables, cold, hot)
    T_new[:] = T
    return arrays, cold, hot


def looked_up(tables, material, h):
    arrays, cold, hot = step_arrays(tables, material, h)
    return arrays.T, cold, hot


def test_look_up_reads_the_curves(materials, grid):
    tables, material, h, _ = grid
    T, cold, hot = looked_up(tables, material, h)
    same = temperature_of(tables, segments_of(tables, material, h))
    np.testing.assert_allclose(T, same, rtol=1e-12)
    fs = np.zeros_like(h)
    kernels.solid_fractions(segments_of(tables, material, h), tables, fs)
    for number, own in enumerate(materials):
        cells = material == number
        np.testing.assert_allclose(T[cells], own.curve.temperature_at(h[cells]), atol=0.1)
        np.testing.assert_allclose(fs[cells], own.curve.solid_fraction_at(h[cells]), atol=1e-3)
        flat = hot[cells] != cold[cells]
        expected = own.curve.conductivity_at(h[cells])
        np.testing.assert_allclose(cold[cells][~flat], expected[~flat], rtol=1e-3)
    assert (T[0, 1 : NX - 1] == 300.0).all()
    assert (T[1:-1, [0, NX - 1]] == 400.0).all()


def test_segments_and_enthalpies_are_each_other_s_inverse(materials, grid):
    tables, material, h, _ = grid
    back = enthalpy_of(tables, material, segments_of(tables, material, h))
    inside = material < 2
    np.testing.assert_allclose(back[inside], h[inside], rtol=1e-12)


def test_a_cell_at_its_freezing_point_conducts_by_phase(materials):
    tables = pack_tables([materials[0].curve], [], 300.0, 1700.0, 50.0)
    flat = next(zone for zone in materials[0].curve.zones if np.ptp(zone.temperature) == 0.0)
    h = np.array([[flat.enthalpy.mean()]])
    _, cold, hot = looked_up(tables, np.zeros((1, 1), np.uint8), h)
    assert (cold[0, 0], hot[0, 0]) == (flat.conductivity[0], flat.conductivity[-1])


def test_faces_are_half_cells_in_series(grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    conductances.face_conductances(T, cold, hot, faces)
    for j in range(1, h.shape[0] - 1):
        for i in range(NX - 1):
            falls = T[j, i] >= T[j, i + 1]
            expected = conductance(
                faces.area_x[j, i],
                faces.half_x[i],
                (cold if falls else hot)[j, i],
                faces.half_x[i + 1],
                (hot if falls else cold)[j, i + 1],
            )
            assert faces.Gx[j, i] == pytest.approx(expected, rel=1e-12)


def packed(material, table, faces):
    rules, cold = {(0, 1): FaceRule(table)}, np.zeros(material.shape)
    return pack_joints(material, rules, list_faces(faces), np.zeros(4), cold)


def test_joints_settle_on_the_surface_temperature(grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    conductances.face_conductances(T, cold, hot, faces)
    table = 200.0 + 0.5 * (table_temperatures() - 300.0)
    joints = pack_joints(
        material, {(0, 1): FaceRule(table)}, list_faces(faces), np.zeros(4), np.zeros(h.shape)
    )
    before = faces.Gy.copy()
    conductances.joint_conductances(T, cold, hot, 1.0, joints, faces)
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


def test_a_joint_s_half_cell_is_no_thicker_than_its_warm_skin(grid):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    touched = np.where(material == 0, 2.0, 0.0)
    skins = np.array([0.0, 900.0, 0.0, 0.0])
    joints = pack_joints(
        material, {(0, 1): FaceRule(np.full(563, 1e30))}, list_faces(faces), skins, touched
    )
    for time in (2.0, 2.3, 50.0):
        conductances.joint_conductances(T, cold, hot, time, joints, faces)
        skin = np.sqrt(np.pi * (time - 2.0)) / 900.0
        for f, (metal, sand) in enumerate(zip(joints.cell, joints.other, strict=True)):
            falls = T.flat[metal] >= T.flat[sand]
            near = joints.half[f] / (cold if falls else hot).flat[metal]
            far = joints.other_half[f] / (hot if falls else cold).flat[sand]
            assert joints.G[f] == pytest.approx(1.0 / (near + min(far, skin)), rel=1e-9)


LAYERS, PATCHES, AWAKE = 5, 3, 4


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


def watch(metal, material, thresholds):
    return kernels.Watched(
        cells=metal.astype(np.uint32),
        is_metal=material == 0,
        x=np.arange(float(NX)),
        y=np.arange(float(material.shape[0])),
        thresholds=thresholds,
        judging=len(thresholds) // 2,
        passed=np.zeros(metal.size, np.int64),
        room=np.zeros(metal.size),
        pending=np.zeros(metal.size + 1, np.uint32),
        crossings=np.full((thresholds.size, metal.size), np.nan),
        gradients=np.full(metal.size, np.nan),
        samples=metal[[0, -1]],
    )


def table_lookup(tables, u):
    n = u.astype(int)
    return tables.T0[n] + u * tables.dT[n]


def test_column_conductances_are_in_series(grid, columns):
    tables, material, h, faces = grid
    T, cold, _ = looked_up(tables, material, h)
    table = 300.0 + 0.2 * (table_temperatures() - 300.0)
    joints = pack_joints(
        material, {(0, 1): FaceRule(table)}, list_faces(faces), np.zeros(4), np.zeros(h.shape)
    )
    flow = np.zeros_like(T)
    conductances.column_conductances(T, cold, flow, columns, AWAKE, tables, joints)
    k = tables.k_cold[columns.u.astype(int)]

    def joined(row, near, far, read, other):
        surface = read
        for _ in range(60):
            c = 300.0 + 0.2 * (surface - 300.0) if row == 0 else np.inf
            G = 1.0 / (near + far + 1.0 / c)
            surface = read - (read - other) * G * near
        return G

    for c, (cell, p) in enumerate(zip(columns.cell, columns.column, strict=True)):
        metal = columns.half_depth[c] / (3.0 * cold.flat[cell])
        layer = columns.width[0, p] / (2.0 * k[0, p])
        ends = [(T.flat[cell], metal), (columns.T[0, p], layer)]
        (hot, near), (low, far) = sorted(ends, reverse=True)
        expected = joined(columns.table[c], near, far, hot, low) * columns.area[c]
        assert columns.G[c] == pytest.approx(expected, rel=5e-4)
    for j in range(AWAKE - 1):
        for p in range(PATCHES):
            low, high = columns.width[j : j + 2, p] / (2.0 * k[j : j + 2, p])
            ends = [(columns.T[j, p], low), (columns.T[j + 1, p], high)]
            (hot, near), (cool, far) = sorted(ends, reverse=True)
            expected = joined(columns.joint[j, p], near, far, hot, cool) * columns.top[j, p]
            assert columns.between[j, p] == pytest.approx(expected, rel=5e-4)
    lost = np.zeros(T.size)
    for cell, p, G in zip(columns.cell, columns.column, columns.G, strict=True):
        lost[cell] += G * (T.flat[cell] - columns.T[0, p])
    np.testing.assert_allclose(flow.ravel(), -lost, rtol=1e-12)


def test_first_flow_is_what_the_faces_bring(rng):
    T, Gx, Gy = rng.uniform(size=(7, 9)), np.zeros((7, 8)), np.zeros((6, 9))
    Gx[1:-1], Gy[:, 1:-1] = rng.uniform(size=(5, 8)), rng.uniform(size=(6, 7))
    flow, inner = np.zeros_like(T), np.s_[1:-1, 1:-1]
    conductances.first_flow(T, Gx, Gy, flow)
    np.testing.assert_allclose(flow[inner], heating_rate(T, Gx, Gy, 1.0)[inner], atol=1e-14)


def steepest_near(tables, u, reach):
    """Steepest T(u) of each place's material within a reach of its temperature."""
    found = np.zeros(u.shape)
    for place, value in np.ndenumerate(u):
        row = np.searchsorted(tables.first, value, side="right") - 1
        ends = [*tables.first.astype(int), tables.dT.size]
        own = np.arange(ends[row], ends[row + 1])
        T = tables.T0[own] + own * tables.dT[own]
        now = tables.T0[int(value)] + value * tables.dT[int(value)]
        found[place] = tables.dT[own[np.abs(T - now) <= reach]].max(initial=tables.dT[int(value)])
    return found


def test_the_explicit_limit_is_gershgorin_s(rng, grid, columns):
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    conductances.face_conductances(T, cold, hot, faces)
    arrays, C = arrays_in_volumes(rng, tables, material, h)
    room = np.zeros(T.size), np.zeros(PATCHES)
    limit = conductances.explicit_limit(faces, arrays, columns, AWAKE, tables.steepest, *room)
    total = np.zeros(T.size)
    for cell in range(T.size):
        unit = np.zeros(T.size)
        unit[cell] = 1.0
        lost = heating_rate(unit.reshape(T.shape), faces.Gx, faces.Gy, np.ones_like(T))
        total[cell] = -lost.flat[cell]
    np.add.at(total, columns.cell, columns.G)
    worst = [(total.reshape(T.shape) / C * steepest_near(tables, arrays.u, 50.0)).max()]
    base = np.bincount(columns.column, columns.G, PATCHES)
    for j in range(AWAKE):
        G = (base if j == 0 else columns.between[j - 1]) + (
            columns.between[j] if j < AWAKE - 1 else 0.0
        )
        slope = steepest_near(tables, columns.u[j], 50.0)
        worst.append((G * columns.inverse_C[j] * slope).max())
    assert 0.5 / max(worst) < limit <= 1.0 / max(worst) * (1.0 + 1e-12)


def arrays_in_volumes(rng, tables, material, h):
    """Arrays of a step in cells of random volume, and the heat of a segment in each."""
    V = np.ones_like(h)
    V[1:-1, 1 : NX - 1] = rng.uniform(1e-6, 2e-6, (h.shape[0] - 2, NX - 2))
    arrays, _, _ = step_arrays(tables, material, h, V)
    return arrays, V * tables.width[material]


def bends_of(shape):
    size = shape[0] * shape[1]
    stretches = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
    return kernels.Bends(*stretches, np.zeros(shape[0] + 1, np.int64))


@pytest.mark.parametrize("line", [-1.0, 1e9])
@pytest.mark.parametrize("near", [True, False])
def test_all_stages_of_a_step(rng, materials, grid, columns, line, near):
    """Section and columns against one network of nodes: grid, then layers that are awake.

    With a line of 1e9 K every cell of the grid counts as straight, with one of -1 K none.
    """
    tables, material, h, faces = grid
    T, cold, hot = looked_up(tables, material, h)
    conductances.face_conductances(T, cold, hot, faces)
    arrays, C = arrays_in_volumes(rng, tables, material, h)
    arrays.line[:] = line
    room = np.zeros(T.size), np.zeros(PATCHES)
    limit = conductances.explicit_limit(faces, arrays, columns, AWAKE, tables.steepest, *room)
    dt = 20.0 * limit
    count = stages_for(dt, limit)
    metal = np.flatnonzero(material == 0)
    points = np.sort(materials[0].curve.enthalpy_at(np.linspace(400.0, 1650.0, 12)))[::-1]
    thresholds = segments_of(tables, np.zeros(12, np.uint8), points)
    watched = watch(metal, material, thresholds)
    samples = np.zeros((count, 2))
    u0, layers0 = arrays.u.copy(), columns.u[:AWAKE].copy()
    all_C = np.concatenate([C.ravel(), 1.0 / columns.inverse_C[:AWAKE].ravel()])

    def temperature(on_grid):
        now = table_lookup(tables, u0 if line > 0.0 else on_grid)
        if line > 0.0:
            now += (on_grid - u0) * tables.dT[u0.astype(int)]
        return np.where(material < 2, now, T)

    def rate(now):
        on_grid, layers = now[: T.size].reshape(T.shape), now[T.size :].reshape(AWAKE, PATCHES)
        hot_grid, hot_layers = temperature(on_grid), table_lookup(tables, layers)
        heat = heating_rate(hot_grid, faces.Gx, faces.Gy, np.ones_like(T)).ravel()
        gain = np.zeros((AWAKE, PATCHES))
        for c, (cell, p) in enumerate(zip(columns.cell, columns.column, strict=True)):
            flow = columns.G[c] * (hot_grid.flat[cell] - hot_layers[0, p])
            heat[cell] -= flow
            gain[0, p] += flow
        for j in range(AWAKE - 1):
            flow = columns.between[j] * (hot_layers[j] - hot_layers[j + 1])
            gain[j] -= flow
            gain[j + 1] += flow
        return np.concatenate([heat, gain.ravel()]) / all_C

    first = rate(np.concatenate([u0.ravel(), layers0.ravel()]))
    arrays.flow[:] = (first * all_C)[: T.size].reshape(T.shape)
    scales = kernels.Scales(0, 7.0, 11.0, np.inf if near else -np.inf)
    steps.forget_passed(arrays.u, watched)
    coefficients, share = stage_coefficients(count), stage_coefficients(count).share[-1]
    ring = stages.run_stages(
        5.0, dt, coefficients, arrays, faces.Gx, faces.Gy, columns, AWAKE, bends_of(T.shape),
        near_of(watched), tables.T0, tables.dT, scales.floor, watched, samples,
    )  # fmt: skip
    words = columns, AWAKE, scales, tables.T0, tables.dT
    worst, off = steps.largest_change(share, arrays, *words)
    found = rkl2_step(np.concatenate([u0.ravel(), layers0.ravel()]), dt, count, rate)
    change = found[-1] - found[0]
    changed = change[: T.size].reshape(T.shape)
    layer_change, atol = share * columns.D, 1e-10 * np.abs(change).max()
    np.testing.assert_allclose(layer_change[:AWAKE].ravel(), change[T.size :], rtol=0.0, atol=atol)
    assert (columns.D[AWAKE:] == 0.0).all()
    end = temperature(u0 + changed)
    np.testing.assert_allclose(arrays.T + share * (arrays.T_new - arrays.T), end, rtol=1e-12)
    np.testing.assert_allclose(samples[-1], end.flat[watched.samples])

    times = 5.0 + dt * stage_coefficients(count).time
    if not near:
        found, times = [found[0], found[-1]], times[[0, -1]]
    for c, cell in enumerate(metal):
        path = [stage[cell] for stage in found]
        for n, threshold in enumerate(thresholds):
            expected = np.nan
            for s in range(len(path) - 1) if path[0] > thresholds[-1] else ():
                if path[s] > threshold >= path[s + 1]:
                    way = (path[s] - threshold) / (path[s] - path[s + 1])
                    expected = times[s] + way * (times[s + 1] - times[s])
            assert watched.crossings[n, c] == pytest.approx(expected, rel=1e-6, nan_ok=True)

    inner = np.s_[1:-1, 1 : NX - 1]
    is_metal = material[inner] == 0
    warmed = (end - T)[inner]
    layers = table_lookup(tables, columns.u + layer_change) - table_lookup(tables, columns.u)
    changes = [
        np.abs(changed[inner][is_metal]).max() / 7.0,
        np.abs(warmed[~is_metal]).max() / 11.0,
        np.abs(layers[:AWAKE]).max() / 11.0,
    ]
    assert worst == pytest.approx(max(changes), rel=1e-9)
    assert off == 0.0

    heat = np.zeros(4)
    group = np.minimum(material, 2).astype(np.int64)
    layer_group = np.ones((LAYERS, PATCHES), np.int64)
    before, layers = arrays.u.copy(), columns.u.copy()
    steps.accept(share, arrays, *words, 0.5 * worst, 1.0, group, layer_group, watched, heat)
    assert (arrays.u == before).all()
    assert not heat.any()
    enough = worst * (1.0 + 1e-12)
    steps.accept(share, arrays, *words, enough, 0.0, group, layer_group, watched, heat)
    assert abs(heat[:3].sum() + ring) < 1e-12 * np.abs(heat).max()
    assert heat[0] == pytest.approx((changed * C)[material == 0].sum(), rel=1e-9)
    assert heat[3] == pytest.approx((layer_change / columns.inverse_C).sum(), rel=1e-9)
    np.testing.assert_allclose(arrays.T_new, end, rtol=1e-12)
    np.testing.assert_allclose(columns.u, layers + layer_change, rtol=1e-12)
    np.testing.assert_allclose(arrays.u[inner], (u0 + changed)[inner], rtol=0.0, atol=atol)
    now = arrays.u.flat[metal]
    still = now[np.newaxis] > thresholds[:, np.newaxis]
    assert np.isnan(watched.crossings[still]).all()
    pending = watched.pending[: watched.pending[-1]]
    np.testing.assert_array_equal(pending, np.flatnonzero(still.any(axis=0)))


def test_a_cell_that_leaves_its_line_tells_how_far(rng, grid, columns):
    tables, material, h, _ = grid
    arrays, _ = arrays_in_volumes(rng, tables, material, h)
    arrays.line[:] = 0.0
    sand = np.argwhere(material == 1)
    j, i = min(sand, key=lambda at: arrays.T[*at])
    arrays.T_new[j, i] += 200.0
    u = arrays.u[j, i] + 200.0 / tables.dT[int(arrays.u[j, i])]
    expected = abs(table_lookup(tables, np.array([u]))[0] - arrays.T_new[j, i])

    scales = kernels.Scales(0, 7.0, 11.0, 0.0)
    columns.T_start[:] = columns.T
    words = columns, AWAKE, scales, tables.T0, tables.dT
    worst, off = steps.largest_change(1.0, arrays, *words)
    assert (worst, off) == (pytest.approx(200.0 / 11.0), pytest.approx(expected, rel=1e-9))
    assert expected > 1.0


def test_stretches_cover_what_may_bend(rng):
    """Cells that may go too far for their line, few straight ones between; long rows as a whole."""
    shape = (9, 102)
    field = {name: np.ones(shape) for name in kernels.StepArrays._fields}
    field["flow"] = rng.normal(size=shape)
    field["line"] = np.abs(rng.normal(0.0, [[8.0]] * 6 + [[1.0]] * 3, shape))
    field["material"] = np.zeros(shape, np.uint8)
    arrays, bends, nx = kernels.StepArrays(**field), bends_of(shape), shape[1] - 2
    arrays.warming[4, 50] = 0.0
    dt = 0.1

    stages.find_bends(dt, nx, arrays, bends)
    may_bend = stages.REACH * dt * np.abs(arrays.flow) >= arrays.line
    may_bend[4, 50] = True
    for j in range(1, shape[0] - 1):
        own = np.flatnonzero(may_bend[j, 1 : nx - 1]) + 1
        parts = np.split(own, np.flatnonzero(np.diff(own) > stages.GAP) + 1) if own.size else []
        expected = [(part[0], part[-1] + 1) for part in parts]
        if sum(last - first for first, last in expected) > stages.MOST * (nx - 2):
            expected = [(1, nx - 1)]
        k = np.s_[bends.first[j] : bends.first[j + 1]]
        assert list(zip(bends.begin[k], bends.end[k], strict=True)) == expected
        inner = np.s_[j, 1 : nx - 1]
        np.testing.assert_array_equal(arrays.warming[inner] == 0.0, may_bend[inner])
    assert 1 < bends.first[-1] < 60


def test_a_line_is_as_long_as_the_table_is_straight(materials):
    """Every temperature within the way of a line is within the cut of it."""
    curves = [material.curve for material in materials]
    bare = pack_tables(curves, [300.0], 300.0, 1700.0, 50.0)
    cuts = (0.5, 2.0)
    found = lines(bare, cuts, 0, 3.0, 4.0)
    ends = [*bare.first.astype(int), bare.dT.size]
    for row, (first, last) in enumerate(pairwise(ends)):
        dT = bare.dT[first:last]
        nodes = bare.T0[first:last] + np.arange(first, last) * dT
        for cut, line in zip(cuts, found[:, first:last], strict=True):
            for n in range(0, dT.size, 97):
                if dT[n] <= 1e-3 * dT.max():
                    assert line[n] <= 0.0
                    continue
                way = line[n] / dT[n] + 3.0 if row == 0 else (line[n] + 4.0) / dT[n]
                near = np.arange(max(n - int(way), 0), min(n + int(way), dT.size - 1) + 1)
                off = nodes[near] - nodes[n] - (near - n) * dT[n]
                assert np.abs(off).max() <= cut * (1.0 + 1e-9)


def test_solid_volume_counts_what_is_there(rng, materials, grid):
    tables, material, h, _ = grid
    u, cells = segments_of(tables, material, h), np.flatnonzero(material == 0).astype(np.uint32)
    present = rng.random(material.shape) < 0.7
    volumes = rng.uniform(1.0, 2.0, cells.size)
    fs = np.zeros_like(u)
    kernels.solid_fractions(u, tables, fs)
    expected = (volumes * fs.flat[cells] * present.flat[cells]).sum()
    found = kernels.solid_volume(u, cells, present, volumes, tables)
    assert found == pytest.approx(expected, rel=1e-12)


def test_rows_inside_the_ring_begin_at_lines_of_the_cache():
    for nx in (1, 6, 7, 8, 200):
        size = row_size(nx)
        assert nx + 2 <= size < nx + 10
        array = in_lines((5, size))
        assert array.flags.c_contiguous
        assert not array.any()
        assert {array[j, 1:].ctypes.data % 64 for j in range(5)} == {0}
