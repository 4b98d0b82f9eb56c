"""Kernels of heat conduction on a grid with one ring of reservoir cells around it.

Symbols: h volumetric enthalpy [J/m3], T temperature [K], k conductivity [W/mK], fs solid fraction
[1], V cell volume [m3], G face conductance [W/K], D change of h since the start of the step, M0
first rate times dt [J/m3]. Cell arrays are (ny + 2, nx + 2); Gx is (ny + 2, nx + 1) with Gx[j, i]
between cells i and i + 1, Gy is (ny + 1, nx + 2) with Gy[j, i] between cells j and j + 1.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


class MaterialTables(NamedTuple):
    """Enthalpy curves: up to four zones a material, evenly spaced segments in each zone.

    bounds (nm, 3) enthalpy where zones 1-3 start; start, inverse (nm, 4) first enthalpy and
    segments per enthalpy; first, last (nm, 4) first segment and number of the last one;
    T, k, fs and dT, dk, dfs (ns,) value at a segment's start and change over it;
    steepest (nm,) largest dT/dh of a material.
    """

    bounds: Array
    start: Array
    inverse: Array
    first: Indices
    last: Indices
    T: Array
    dT: Array
    k: Array
    dk: Array
    fs: Array
    dfs: Array
    steepest: Array


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
    middles [m]; thresholds (nk,) [J/m3] falling; gradient_threshold [J/m3]; crossings (nk, nc) [s];
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
    """State of one step: h at its start, M0, the last two D and T (newest first), 1/V, material."""

    h: Array
    M0: Array
    D: Array
    D_last: Array
    T: Array
    T_last: Array
    inverse_V: Array
    material: NDArray[np.uint8]


@njit(cache=True, inline="always")
def _segment(h, m, tables):
    """Segment of the curve of material m at h, and the share of it that is passed."""
    z = 0
    for b in range(3):
        if h >= tables.bounds[m, b]:
            z = b + 1
    x = (h - tables.start[m, z]) * tables.inverse[m, z]
    n = min(max(int(x), 0), tables.last[m, z])
    return tables.first[m, z] + n, x - n


@njit(cache=True, nogil=True)
def look_up(h, material, tables, T, k_cold, k_hot):
    """Temperature of every cell and its conductivity toward a colder and a hotter neighbor.

    Both are k(h), but a cell that freezes at one temperature holds a sharp front: heat leaves it
    through solid and comes to it through liquid.
    """
    for j in range(h.shape[0]):
        for i in range(h.shape[1]):
            n, x = _segment(h[j, i], material[j, i], tables)
            T[j, i] = tables.T[n] + x * tables.dT[n]
            if tables.dT[n] == 0.0 and 0.0 <= x <= 1.0:
                k_cold[j, i], k_hot[j, i] = tables.k[n], tables.k[n] + tables.dk[n]
            else:
                k_cold[j, i] = tables.k[n] + min(max(x, 0.0), 1.0) * tables.dk[n]
                k_hot[j, i] = k_cold[j, i]


@njit(cache=True, nogil=True)
def solid_fractions(h, material, tables, out):
    """Solid fraction of every cell."""
    for j in range(h.shape[0]):
        for i in range(h.shape[1]):
            n, x = _segment(h[j, i], material[j, i], tables)
            out[j, i] = tables.fs[n] + min(max(x, 0.0), 1.0) * tables.dfs[n]


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

    The surface temperature depends on the flow and the flow on it: three rounds settle both.
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
        for _ in range(3):
            c = _conductance_at(joints, joints.table[f], surface)
            if c <= 0.0:
                G = 0.0
                break
            G = 1.0 / (resistance_a + resistance_b + 1.0 / c)
            flow = (flat_T[a] - flat_T[b]) * G
            surface = (
                flat_T[a] - flow * resistance_a if first_side else flat_T[b] + flow * resistance_b
            )
        if joints.face[f] < flat_x.size:
            flat_x[joints.face[f]] = G * joints.area[f]
        else:
            flat_y[joints.face[f] - flat_x.size] = G * joints.area[f]


@njit(cache=True, nogil=True)
def explicit_limit(faces, inverse_V, material, steepest):
    """Longest stable explicit step [s]: Gershgorin's bound with each material's steepest dT/dh."""
    worst, Gx, Gy = 0.0, faces.Gx, faces.Gy
    for j in range(1, inverse_V.shape[0] - 1):
        for i in range(1, inverse_V.shape[1] - 1):
            total = Gx[j, i - 1] + Gx[j, i] + Gy[j - 1, i] + Gy[j, i]
            worst = max(worst, total * inverse_V[j, i] * steepest[material[j, i]])
    return 1.0 / worst if worst > 0.0 else math.inf


@njit(cache=True, nogil=True)
def first_stage(dt, mu_tilde, arrays, faces, tables):
    """Stage 1 of a step: M0 from T, the first change into D, its temperature into T_last."""
    h, M0, D, T, T_new = arrays.h, arrays.M0, arrays.D, arrays.T, arrays.T_last
    Gx, Gy = faces.Gx, faces.Gy
    ny, nx = h.shape
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            gain = (
                Gx[j, i - 1] * (T[j, i - 1] - T[j, i])
                + Gx[j, i] * (T[j, i + 1] - T[j, i])
                + Gy[j - 1, i] * (T[j - 1, i] - T[j, i])
                + Gy[j, i] * (T[j + 1, i] - T[j, i])
            )
            M0[j, i] = dt * arrays.inverse_V[j, i] * gain
            D[j, i] = mu_tilde * M0[j, i]
            n, x = _segment(h[j, i] + D[j, i], arrays.material[j, i], tables)
            T_new[j, i] = tables.T[n] + x * tables.dT[n]
    for i in range(1, nx - 1):
        M0[0, i] = dt * Gy[0, i] * (T[1, i] - T[0, i])
        M0[ny - 1, i] = dt * Gy[ny - 2, i] * (T[ny - 2, i] - T[ny - 1, i])
        D[0, i] = mu_tilde * M0[0, i]
        D[ny - 1, i] = mu_tilde * M0[ny - 1, i]
    for j in range(1, ny - 1):
        M0[j, 0] = dt * Gx[j, 0] * (T[j, 1] - T[j, 0])
        M0[j, nx - 1] = dt * Gx[j, nx - 2] * (T[j, nx - 2] - T[j, nx - 1])
        D[j, 0] = mu_tilde * M0[j, 0]
        D[j, nx - 1] = mu_tilde * M0[j, nx - 1]


@njit(cache=True, nogil=True)
def next_stage(dt, mu, nu, mu_tilde, gamma_tilde, arrays, faces, tables):
    """Stage j > 1: the change goes into D_last, over that of two stages back, T into T_last."""
    h, M0, D, D_new, T, T_new = (
        arrays.h,
        arrays.M0,
        arrays.D,
        arrays.D_last,
        arrays.T,
        arrays.T_last,
    )
    Gx, Gy = faces.Gx, faces.Gy
    ny, nx = h.shape
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            gain = (
                Gx[j, i - 1] * (T[j, i - 1] - T[j, i])
                + Gx[j, i] * (T[j, i + 1] - T[j, i])
                + Gy[j - 1, i] * (T[j - 1, i] - T[j, i])
                + Gy[j, i] * (T[j + 1, i] - T[j, i])
            )
            D_new[j, i] = (
                mu * D[j, i]
                + nu * D_new[j, i]
                + mu_tilde * dt * arrays.inverse_V[j, i] * gain
                + gamma_tilde * M0[j, i]
            )
            n, x = _segment(h[j, i] + D_new[j, i], arrays.material[j, i], tables)
            T_new[j, i] = tables.T[n] + x * tables.dT[n]
    rate = mu_tilde * dt
    for i in range(1, nx - 1):
        gain = Gy[0, i] * (T[1, i] - T[0, i])
        D_new[0, i] = mu * D[0, i] + nu * D_new[0, i] + rate * gain + gamma_tilde * M0[0, i]
        gain = Gy[ny - 2, i] * (T[ny - 2, i] - T[ny - 1, i])
        D_new[ny - 1, i] = (
            mu * D[ny - 1, i] + nu * D_new[ny - 1, i] + rate * gain + gamma_tilde * M0[ny - 1, i]
        )
    for j in range(1, ny - 1):
        gain = Gx[j, 0] * (T[j, 1] - T[j, 0])
        D_new[j, 0] = mu * D[j, 0] + nu * D_new[j, 0] + rate * gain + gamma_tilde * M0[j, 0]
        gain = Gx[j, nx - 2] * (T[j, nx - 2] - T[j, nx - 1])
        D_new[j, nx - 1] = (
            mu * D[j, nx - 1] + nu * D_new[j, nx - 1] + rate * gain + gamma_tilde * M0[j, nx - 1]
        )


@njit(cache=True, nogil=True)
def largest_change(D, material, enthalpy_scale):
    """Largest |D| of the cells against their material's scale (nm,) [J/m3], [1]."""
    worst = 0.0
    for j in range(1, D.shape[0] - 1):
        for i in range(1, D.shape[1] - 1):
            worst = max(worst, abs(D[j, i]) / enthalpy_scale[material[j, i]])
    return worst


@njit(cache=True, nogil=True)
def note_passed(h, D_before, D_after, T, time_before, time_after, watched):
    """Note metal cells that cool past a threshold between two stages: when, and the gradient.

    Gradients are differences to metal neighbors only.
    """
    flat_h, before, after = h.ravel(), D_before.ravel(), D_after.ravel()
    thresholds, nx = watched.thresholds, h.shape[1]
    for c in range(watched.cells.size):
        cell = watched.cells[c]
        start, end = flat_h[cell] + before[cell], flat_h[cell] + after[cell]
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
def forget_passed(h, watched):
    """Cells above a threshold have not passed it, or have melted again: NaN."""
    flat_h = h.ravel()
    for c in range(watched.cells.size):
        for n in range(watched.thresholds.size):
            if flat_h[watched.cells[c]] > watched.thresholds[n]:
                watched.crossings[n, c] = math.nan


@njit(cache=True, nogil=True)
def run_stages(start, dt, coefficients, arrays, faces, tables, watched, samples):
    """All stages of one step; samples (stages, np) [K] takes the watched temperatures.

    Returns the arrays with the newest change in D and its temperature in T.
    """
    c = coefficients
    arrays.D_last[:] = 0.0
    first_stage(dt, c.mu_tilde[1], arrays, faces, tables)
    D, D_last, T, T_last = arrays.D, arrays.D_last, arrays.T_last, arrays.T
    stages = c.mu.size - 1
    for s in range(1, stages + 1):
        if s > 1:
            before = StepArrays(
                arrays.h, arrays.M0, D, D_last, T, T_last, arrays.inverse_V, arrays.material
            )
            next_stage(dt, c.mu[s], c.nu[s], c.mu_tilde[s], c.gamma_tilde[s], before, faces, tables)
            D, D_last, T, T_last = D_last, D, T_last, T
        times = start + dt * c.time[s - 1], start + dt * c.time[s]
        note_passed(arrays.h, D_last, D, T, times[0], times[1], watched)
        flat_T = T.ravel()
        for p in range(watched.samples.size):
            samples[s - 1, p] = flat_T[watched.samples[p]]
    return StepArrays(arrays.h, arrays.M0, D, D_last, T, T_last, arrays.inverse_V, arrays.material)


@njit(cache=True, nogil=True)
def heat_sums(D, V, group, out):
    """Heat taken up since the start of the step by each group of cells, [J]; out (ng,)."""
    out[:] = 0.0
    for j in range(D.shape[0]):
        for i in range(D.shape[1]):
            out[group[j, i]] += D[j, i] * V[j, i]
