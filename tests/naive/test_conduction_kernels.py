"""Tables and the start of a step against their twins, on small random grids."""

from itertools import pairwise

import numpy as np
import pytest
from conduction_grid import (
    AWAKE,
    NX,
    PATCHES,
    arrays_in_volumes,
    looked_up,
)
from naive_conduction import conductance, heating_rate

from solidsim.conduction import conductance_kernels as conductances
from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction.joints import FaceRule, list_faces, pack_joints, table_temperatures
from solidsim.conduction.material_tables import (
    enthalpy_of,
    lines,
    pack_tables,
    segments_of,
    temperature_of,
)
from solidsim.conduction.ring import in_lines, row_size


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
