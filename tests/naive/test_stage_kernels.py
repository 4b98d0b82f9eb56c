"""The stages of a step and its end against their twins, on small random grids."""

import numpy as np
import pytest
from conduction_grid import (
    AWAKE,
    LAYERS,
    NX,
    PATCHES,
    arrays_in_volumes,
    looked_up,
    network,
    table_lookup,
    watch,
)
from naive_conduction import rkl2_step

from solidsim.conduction import conductance_kernels as conductances
from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction import stage_kernels as stages
from solidsim.conduction import step_end_kernels as steps
from solidsim.conduction.material_tables import segments_of
from solidsim.conduction.super_time_steps import stage_coefficients, stages_for
from solidsim.conduction.watching import near_of


def bends_of(shape):
    size = shape[0] * shape[1]
    stretches = np.zeros(size, np.uint64), np.zeros(size, np.uint64)
    return kernels.Bends(*stretches, np.zeros(shape[0] + 1, np.int64))


def crossings(path, times, thresholds):
    """When u, straight from time to time, last falls past each threshold; NaN where it does not."""
    found = np.full(thresholds.size, np.nan)
    for n, threshold in enumerate(thresholds):
        for s in range(len(path) - 1) if path[0] > thresholds[-1] else ():
            if path[s] > threshold >= path[s + 1]:
                way = (path[s] - threshold) / (path[s] - path[s + 1])
                found[n] = times[s] + way * (times[s + 1] - times[s])
    return found


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

    temperature, rate = network(tables, material, T, u0, faces, columns, all_C, line > 0.0)

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
    expected = [crossings([stage[cell] for stage in found], times, thresholds) for cell in metal]
    np.testing.assert_allclose(watched.crossings.T, expected, rtol=1e-6)

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
    steps.accept(share, arrays, *words, worst, 0.0, group, layer_group, watched, heat)
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
