"""Kernels of heat conduction on a grid with one ring of reservoir cells around it.

The enthalpy of a cell is counted in segments of its material's table, u: all tables stand in one
row, so that T(u) is one look-up with no question of which material. C is the heat of one segment
in a cell, volume times segment width [J].

Symbols: T temperature [K], k conductivity [W/mK], fs solid fraction [1], G face conductance
[W/K], D change of u since the start of the step, M0 first rate times dt. Cell arrays are
(ny + 2, nx + 2); Gx is (ny + 2, nx + 1) with Gx[j, i] between cells i and i + 1, Gy is
(ny + 1, nx + 2) with Gy[j, i] between cells j and j + 1.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


class MaterialTables(NamedTuple):
    """Tables of all materials in one row of segments.

    T, dT, fs, dfs (ns,) value at a segment's start and change over it; k_cold, k_hot (ns,)
    conductivity toward a colder and a hotter neighbor: k of the segment's middle, but in metal
    that freezes at one temperature that of the solid and of the liquid, as a cell there holds a
    sharp front. By material (nm,): steepest, the largest dT; first, its first segment; start,
    enthalpy there [J/m3]; width of a segment [J/m3].
    """

    T: Array
    dT: Array
    k_cold: Array
    k_hot: Array
    fs: Array
    dfs: Array
    steepest: Array
    first: Array
    start: Array
    width: Array


class Faces(NamedTuple):
    """Faces of the grid: half widths of cells (nx + 2,), (ny + 2,) [m], areas [m2], conductance.

    Half widths are zero in the ring; area_x, Gx (ny + 2, nx + 1), area_y, Gy (ny + 1, nx + 2).
    """

    half_x: Array
    half_y: Array
    area_x: Array
    area_y: Array
    Gx: Array
    Gy: Array


class Joints(NamedTuple):
    """Faces with a conductance of their own, and the tables of it.

    cell, other (nf,) flat indices of both cells; face (nf,) flat index into Gx or, past its
    size, into Gy; table (nf,) row of the table; solid_side (nf,) 0 or 1 where the table is read at
    the surface of ``cell`` or ``other``, -1 at the hotter; half, other_half (nf,) half widths [m];
    area (nf,) [m2]; conductance (nt, nn) [W/m2K] at evenly spaced temperatures from
    ``coldest`` [K] on, ``per_kelvin`` nodes a kelvin.
    """

    cell: Indices
    other: Indices
    face: Indices
    table: Indices
    solid_side: Indices
    half: Array
    other_half: Array
    area: Array
    conductance: Array
    coldest: float
    per_kelvin: float


class Watched(NamedTuple):
    """What is noted while a step goes through its stages.

    cells (nc,) flat indices of metal; is_metal (ny + 2, nx + 2); x (nx + 2,), y (ny + 2,) cell
    middles [m]; thresholds (nk,) falling u; gradient_threshold u; crossings (nk, nc) [s];
    gradients (nc,) [K/m]; samples (np,) flat indices of cells whose temperature is kept.
    """

    cells: Indices
    is_metal: NDArray[np.bool_]
    x: Array
    y: Array
    thresholds: Array
    gradient_threshold: float
    crossings: Array
    gradients: Array
    samples: Indices


class StepArrays(NamedTuple):
    """State of one step: u at its start, M0, the last two D and T (newest first), 1/C, material."""

    u: Array
    M0: Array
    D: Array
    D_last: Array
    T: Array
    T_last: Array
    inverse_C: Array
    material: NDArray[np.uint8]


@njit(cache=True, inline="always")
def _segment(u, last):
    """Segment that u lies in; the first and last ones go on for ever."""
    return min(max(np.int32(u), 0), last)


@njit(cache=True, nogil=True)
def look_up(u, tables, T, k_cold, k_hot):
    """Temperature of every cell and its conductivity toward a colder and a hotter neighbor."""
    last = tables.T.size - 1
    for j in range(u.shape[0]):
        for i in range(u.shape[1]):
            n = _segment(u[j, i], last)
            T[j, i] = tables.T[n] + (u[j, i] - n) * tables.dT[n]
            k_cold[j, i], k_hot[j, i] = tables.k_cold[n], tables.k_hot[n]


@njit(cache=True, nogil=True)
def solid_fractions(u, tables, out):
    """Solid fraction of every cell."""
    last = tables.T.size - 1
    for j in range(u.shape[0]):
        for i in range(u.shape[1]):
            n = _segment(u[j, i], last)
            out[j, i] = tables.fs[n] + min(max(u[j, i] - n, 0.0), 1.0) * tables.dfs[n]


@njit(cache=True, nogil=True)
def face_conductances(T, k_cold, k_hot, faces):
    """Conductance of every face in perfect contact: area over both half-cell resistances."""
    half_x, half_y, area_x, area_y, Gx, Gy = faces
    for j in range(Gx.shape[0]):
        for i in range(Gx.shape[1]):
            falls = T[j, i] >= T[j, i + 1]
            west = k_cold[j, i] if falls else k_hot[j, i]
            east = k_hot[j, i + 1] if falls else k_cold[j, i + 1]
            Gx[j, i] = area_x[j, i] / (half_x[i] / west + half_x[i + 1] / east)
    for j in range(Gy.shape[0]):
        for i in range(Gy.shape[1]):
            falls = T[j, i] >= T[j + 1, i]
            south = k_cold[j, i] if falls else k_hot[j, i]
            north = k_hot[j + 1, i] if falls else k_cold[j + 1, i]
            Gy[j, i] = area_y[j, i] / (half_y[j] / south + half_y[j + 1] / north)


@njit(cache=True, inline="always")
def _conductance_at(joints, table, T):
    """Joint conductance at a surface temperature; the end values hold outside the table."""
    x = max((T - joints.coldest) * joints.per_kelvin, 0.0)
    n = min(int(x), joints.conductance.shape[1] - 2)
    share = min(x - n, 1.0)
    low, high = joints.conductance[table, n], joints.conductance[table, n + 1]
    return low + share * (high - low)


@njit(cache=True, nogil=True)
def joint_conductances(T, k_cold, k_hot, joints, faces):
    """Put the joints' conductance in series with the half cells.

    The surface temperature depends on the flow and the flow on it: a few rounds settle both to a
    hundredth of a kelvin.
    """
    flat_T, flat_cold, flat_hot = T.ravel(), k_cold.ravel(), k_hot.ravel()
    flat_x, flat_y = faces.Gx.ravel(), faces.Gy.ravel()
    for f in range(joints.cell.size):
        a, b = joints.cell[f], joints.other[f]
        falls = flat_T[a] >= flat_T[b]
        resistance_a = joints.half[f] / (flat_cold[a] if falls else flat_hot[a])
        resistance_b = joints.other_half[f] / (flat_hot[b] if falls else flat_cold[b])
        first_side = joints.solid_side[f] == 0 or (joints.solid_side[f] == -1 and falls)
        surface = flat_T[a] if first_side else flat_T[b]
        G = 0.0
        for _ in range(20):
            c = _conductance_at(joints, joints.table[f], surface)
            if c <= 0.0:
                G = 0.0
                break
            G = 1.0 / (resistance_a + resistance_b + 1.0 / c)
            flow, last = (flat_T[a] - flat_T[b]) * G, surface
            if first_side:
                surface = flat_T[a] - flow * resistance_a
            else:
                surface = flat_T[b] + flow * resistance_b
            if abs(surface - last) < 0.01:
                break
        if joints.face[f] < flat_x.size:
            flat_x[joints.face[f]] = G * joints.area[f]
        else:
            flat_y[joints.face[f] - flat_x.size] = G * joints.area[f]


@njit(cache=True, nogil=True)
def explicit_limit(faces, inverse_C, material, steepest):
    """Longest stable explicit step [s]: Gershgorin's bound with each material's steepest T(u)."""
    worst, Gx, Gy = 0.0, faces.Gx, faces.Gy
    for j in range(1, inverse_C.shape[0] - 1):
        for i in range(1, inverse_C.shape[1] - 1):
            total = Gx[j, i - 1] + Gx[j, i] + Gy[j - 1, i] + Gy[j, i]
            worst = max(worst, total * inverse_C[j, i] * steepest[material[j, i]])
    return 1.0 / worst if worst > 0.0 else math.inf


@njit(cache=True, inline="always")
def _gain(T, Gx, Gy, j, i):
    """Heat that flows into a cell of the grid, [W]."""
    return (
        Gx[j, i - 1] * (T[j, i - 1] - T[j, i])
        + Gx[j, i] * (T[j, i + 1] - T[j, i])
        + Gy[j - 1, i] * (T[j - 1, i] - T[j, i])
        + Gy[j, i] * (T[j + 1, i] - T[j, i])
    )


@njit(cache=True, nogil=True)
def first_stage(dt, mu_tilde, arrays, faces, tables):
    """Stage 1 of a step: M0 from T, the first change into D, its temperature into T_last."""
    u, M0, D, T, T_new = arrays.u, arrays.M0, arrays.D, arrays.T, arrays.T_last
    Gx, Gy, inverse_C = faces.Gx, faces.Gy, arrays.inverse_C
    ny, nx = u.shape
    last = tables.T.size - 1
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            M0[j, i] = dt * inverse_C[j, i] * _gain(T, Gx, Gy, j, i)
            D[j, i] = mu_tilde * M0[j, i]
            at = u[j, i] + D[j, i]
            n = _segment(at, last)
            T_new[j, i] = tables.T[n] + (at - n) * tables.dT[n]
    for j, near in ((0, 1), (ny - 1, ny - 2)):
        for i in range(1, nx - 1):
            M0[j, i] = dt * inverse_C[j, i] * Gy[min(j, near), i] * (T[near, i] - T[j, i])
            D[j, i] = mu_tilde * M0[j, i]
    for i, near in ((0, 1), (nx - 1, nx - 2)):
        for j in range(1, ny - 1):
            M0[j, i] = dt * inverse_C[j, i] * Gx[j, min(i, near)] * (T[j, near] - T[j, i])
            D[j, i] = mu_tilde * M0[j, i]


@njit(cache=True, nogil=True)
def next_stage(dt, mu, nu, mu_tilde, gamma_tilde, arrays, faces, tables):
    """Stage j > 1: the change goes into D_last, over that of two stages back, T into T_last."""
    u, M0, D, D_new = arrays.u, arrays.M0, arrays.D, arrays.D_last
    T, T_new, inverse_C = arrays.T, arrays.T_last, arrays.inverse_C
    Gx, Gy = faces.Gx, faces.Gy
    ny, nx = u.shape
    last = tables.T.size - 1
    rate = mu_tilde * dt
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            gain = rate * inverse_C[j, i] * _gain(T, Gx, Gy, j, i)
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
        for i in range(1, nx - 1):
            at = u[j, i] + D_new[j, i]
            n = _segment(at, last)
            T_new[j, i] = tables.T[n] + (at - n) * tables.dT[n]
    for j, near in ((0, 1), (ny - 1, ny - 2)):
        for i in range(1, nx - 1):
            gain = rate * inverse_C[j, i] * Gy[min(j, near), i] * (T[near, i] - T[j, i])
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
    for i, near in ((0, 1), (nx - 1, nx - 2)):
        for j in range(1, ny - 1):
            gain = rate * inverse_C[j, i] * Gx[j, min(i, near)] * (T[j, near] - T[j, i])
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]


@njit(cache=True, nogil=True)
def largest_change(D, material, scale):
    """Largest |D| of the cells against their material's scale (nm,), [1]."""
    worst = 0.0
    for j in range(1, D.shape[0] - 1):
        for i in range(1, D.shape[1] - 1):
            worst = max(worst, abs(D[j, i]) / scale[material[j, i]])
    return worst


@njit(cache=True, nogil=True)
def note_passed(u, D_before, D_after, T, time_before, time_after, watched):
    """Note metal cells that cool past a threshold between two stages: when, and the gradient.

    Gradients are differences to metal neighbors only.
    """
    flat_u, before, after = u.ravel(), D_before.ravel(), D_after.ravel()
    thresholds, nx = watched.thresholds, u.shape[1]
    for c in range(watched.cells.size):
        cell = watched.cells[c]
        start, end = flat_u[cell] + before[cell], flat_u[cell] + after[cell]
        if end > thresholds[0] or start <= thresholds[-1]:
            continue
        for n in range(thresholds.size):
            if start > thresholds[n] >= end:
                share = (start - thresholds[n]) / (start - end)
                watched.crossings[n, c] = time_before + share * (time_after - time_before)
        if start > watched.gradient_threshold >= end:
            watched.gradients[c] = _gradient(T, cell // nx, cell % nx, watched)


@njit(cache=True, nogil=True)
def _gradient(T, j, i, watched):
    """Size of the temperature gradient of a cell from its metal neighbors, [K/m]."""
    x, y, is_metal = watched.x, watched.y, watched.is_metal
    east = i + 1 if is_metal[j, i + 1] else i
    west = i - 1 if is_metal[j, i - 1] else i
    north = j + 1 if is_metal[j + 1, i] else j
    south = j - 1 if is_metal[j - 1, i] else j
    gx = (T[j, east] - T[j, west]) / (x[east] - x[west]) if east > west else 0.0
    gy = (T[north, i] - T[south, i]) / (y[north] - y[south]) if north > south else 0.0
    return math.sqrt(gx * gx + gy * gy)


@njit(cache=True, nogil=True)
def forget_passed(u, watched):
    """Cells above a threshold have not passed it, or have melted again: NaN."""
    flat_u = u.ravel()
    for c in range(watched.cells.size):
        for n in range(watched.thresholds.size):
            if flat_u[watched.cells[c]] > watched.thresholds[n]:
                watched.crossings[n, c] = math.nan


@njit(cache=True, nogil=True)
def run_stages(start, dt, coefficients, arrays, faces, tables, watched, samples):
    """All stages of one step; samples (stages, np) [K] takes the watched temperatures.

    T and T_last must both hold the ring's temperatures. The number of stages is odd, so that the
    newest change ends in D and its temperature in T_last. Nothing is returned: an interrupt that
    comes while numba builds a NamedTuple is a segmentation fault.
    """
    c = coefficients
    arrays.D_last[:] = 0.0
    first_stage(dt, c.mu_tilde[1], arrays, faces, tables)
    D, D_last, T, T_last = arrays.D, arrays.D_last, arrays.T_last, arrays.T
    stages = c.mu.size - 1
    for s in range(1, stages + 1):
        if s > 1:
            before = StepArrays(
                arrays.u, arrays.M0, D, D_last, T, T_last, arrays.inverse_C, arrays.material
            )
            next_stage(dt, c.mu[s], c.nu[s], c.mu_tilde[s], c.gamma_tilde[s], before, faces, tables)
            D, D_last, T, T_last = D_last, D, T_last, T
        times = start + dt * c.time[s - 1], start + dt * c.time[s]
        note_passed(arrays.u, D_last, D, T, times[0], times[1], watched)
        flat_T = T.ravel()
        for p in range(watched.samples.size):
            samples[s - 1, p] = flat_T[watched.samples[p]]


@njit(cache=True, nogil=True)
def heat_sums(D, C, group, out):
    """Heat taken up since the start of the step by each group of cells, [J]; out (ng,)."""
    out[:] = 0.0
    for j in range(D.shape[0]):
        for i in range(D.shape[1]):
            out[group[j, i]] += D[j, i] * C[j, i]
