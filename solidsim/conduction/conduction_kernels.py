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
    the surface of ``cell`` or ``other``, -1 at the hotter; G (nf,) [W/m2K]; half, other_half (nf,) half widths [m];
    area (nf,) [m2]; conductance (nt, nn) [W/m2K] at evenly spaced temperatures from
    ``coldest`` [K] on, ``per_kelvin`` nodes a kelvin.
    """

    cell: Indices
    other: Indices
    face: Indices
    table: Indices
    solid_side: Indices
    G: Array
    half: Array
    other_half: Array
    area: Array
    conductance: Array
    coldest: float
    per_kelvin: float


class Columns(NamedTuple):
    """Mold columns on the out-of-plane faces of the metal: chains of layers away from the face.

    The metal cells of a patch share a column. By cell and face (nc,): cell, flat index in the
    ringed grid; column; area [m2]; half_depth [m], way of the heat to the face; table of the
    joint; G [W/K], from cell to layer 0. By layer and column (nl, np): width [m]; top, area where
    the next layer begins [m2]; joint, table of the joint there or -1; between [W/K], from a layer
    to the next, the last row to nowhere; u, M0, D, D_last, T, T_last, inverse_C, material as in
    StepArrays; gain, room for a stage. inflow (np,) [W].
    """

    cell: Indices
    column: Indices
    area: Array
    half_depth: Array
    table: Indices
    G: Array
    width: Array
    top: Array
    joint: Indices
    between: Array
    u: Array
    M0: Array
    D: Array
    D_last: Array
    T: Array
    T_last: Array
    inverse_C: Array
    material: NDArray[np.uint8]
    inflow: Array
    gain: Array


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
def look_up_layers(columns, active, tables):
    """Temperature of the layers that are awake."""
    last = tables.T.size - 1
    for k in range(active):
        for p in range(columns.u.shape[1]):
            n = _segment(columns.u[k, p], last)
            columns.T[k, p] = tables.T[n] + (columns.u[k, p] - n) * tables.dT[n]


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
            Gx[j, i] = area_x[j, i] * west * east / (half_x[i] * east + half_x[i + 1] * west)
    for j in range(Gy.shape[0]):
        for i in range(Gy.shape[1]):
            falls = T[j, i] >= T[j + 1, i]
            south = k_cold[j, i] if falls else k_hot[j, i]
            north = k_hot[j + 1, i] if falls else k_cold[j + 1, i]
            Gy[j, i] = area_y[j, i] * south * north / (half_y[j] * north + half_y[j + 1] * south)


@njit(cache=True, inline="always")
def _conductance_at(conductance, coldest, per_kelvin, table, T):
    """Joint conductance at a surface temperature; the end values hold outside the table."""
    x = max((T - coldest) * per_kelvin, 0.0)
    n = min(int(x), conductance.shape[1] - 2)
    share = min(x - n, 1.0)
    low, high = conductance[table, n], conductance[table, n + 1]
    return low + share * (high - low)


@njit(cache=True, inline="always")
def _joined(conductance, coldest, per_kelvin, table, G, read, far, near_resistance, far_resistance):
    """Conductance per area of two half cells and their joint, read at the surface of the first.

    A table of -1 is perfect contact.

    The surface temperature depends on the flow and the flow on it: a few rounds from the last G
    settle both to a hundredth of a kelvin.
    """
    if table < 0:
        return 1.0 / (near_resistance + far_resistance)
    surface = read - (read - far) * G * near_resistance
    for _ in range(20):
        c = _conductance_at(conductance, coldest, per_kelvin, table, surface)
        if c <= 0.0:
            return 0.0
        G = 1.0 / (near_resistance + far_resistance + 1.0 / c)
        last, surface = surface, read - (read - far) * G * near_resistance
        if abs(surface - last) < 0.01:
            break
    return G


@njit(cache=True, nogil=True)
def joint_conductances(T, k_cold, k_hot, joints, faces):
    """Put the joints' conductance in series with the half cells."""
    flat_T, flat_cold, flat_hot = T.ravel(), k_cold.ravel(), k_hot.ravel()
    flat_x, flat_y = faces.Gx.ravel(), faces.Gy.ravel()
    table, coldest, per_kelvin = joints.conductance, joints.coldest, joints.per_kelvin
    for f in range(joints.cell.size):
        a, b, row, G = joints.cell[f], joints.other[f], joints.table[f], joints.G[f]
        T_a, T_b = flat_T[a], flat_T[b]
        falls = T_a >= T_b
        R_a = joints.half[f] / (flat_cold[a] if falls else flat_hot[a])
        R_b = joints.other_half[f] / (flat_hot[b] if falls else flat_cold[b])
        if joints.solid_side[f] == 0 or (joints.solid_side[f] == -1 and falls):
            G = _joined(table, coldest, per_kelvin, row, G, T_a, T_b, R_a, R_b)
        else:
            G = _joined(table, coldest, per_kelvin, row, G, T_b, T_a, R_b, R_a)
        joints.G[f] = G
        if joints.face[f] < flat_x.size:
            flat_x[joints.face[f]] = G * joints.area[f]
        else:
            flat_y[joints.face[f] - flat_x.size] = G * joints.area[f]


@njit(cache=True, nogil=True)
def column_conductances(T, k_cold, columns, active, tables, joints):
    """Set the conductances from metal to layer 0 and between the layers that are awake.

    Heat comes to the face from all over the depth, so that its mean way is a third of the half
    depth (a parabola across a slab). Joints are read at the hotter surface.
    """
    flat_T, flat_k, last = T.ravel(), k_cold.ravel(), tables.T.size - 1
    table, coldest, per_kelvin = joints.conductance, joints.coldest, joints.per_kelvin
    for c in range(columns.cell.size):
        cell, p, row = columns.cell[c], columns.column[c], columns.table[c]
        G = columns.G[c] / columns.area[c]
        k_layer = tables.k_cold[_segment(columns.u[0, p], last)]
        T_a, T_b = flat_T[cell], columns.T[0, p]
        R_a = columns.half_depth[c] / (3.0 * flat_k[cell])
        R_b = columns.width[0, p] / (2.0 * k_layer)
        if T_a >= T_b:
            G = _joined(table, coldest, per_kelvin, row, G, T_a, T_b, R_a, R_b)
        else:
            G = _joined(table, coldest, per_kelvin, row, G, T_b, T_a, R_b, R_a)
        columns.G[c] = G * columns.area[c]
    for k in range(active - 1):
        for p in range(columns.u.shape[1]):
            row, G = columns.joint[k, p], columns.between[k, p] / columns.top[k, p]
            T_a, T_b = columns.T[k, p], columns.T[k + 1, p]
            k_a = tables.k_cold[_segment(columns.u[k, p], last)]
            k_b = tables.k_cold[_segment(columns.u[k + 1, p], last)]
            R_a, R_b = columns.width[k, p] / (2.0 * k_a), columns.width[k + 1, p] / (2.0 * k_b)
            if T_a >= T_b:
                G = _joined(table, coldest, per_kelvin, row, G, T_a, T_b, R_a, R_b)
            else:
                G = _joined(table, coldest, per_kelvin, row, G, T_b, T_a, R_b, R_a)
            columns.between[k, p] = G * columns.top[k, p]


@njit(cache=True, nogil=True)
def explicit_limit(faces, arrays, columns, active, steepest, through_face, total):
    """Longest stable explicit step [s]: Gershgorin's bound with each material's steepest T(u).

    through_face (size of the grid, flat) and total (np,) are room for sums [W/K].
    """
    worst, Gx, Gy = 0.0, faces.Gx, faces.Gy
    inverse_C, material = arrays.inverse_C, arrays.material
    ny, nx = inverse_C.shape
    through_face[:] = 0.0
    total[:] = 0.0
    for c in range(columns.cell.size):
        through_face[columns.cell[c]] += columns.G[c]
        total[columns.column[c]] += columns.G[c]
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            G = Gx[j, i - 1] + Gx[j, i] + Gy[j - 1, i] + Gy[j, i] + through_face[j * nx + i]
            worst = max(worst, G * inverse_C[j, i] * steepest[material[j, i]])
    for k in range(active):
        for p in range(total.size):
            G = total[p] if k == 0 else columns.between[k - 1, p]
            if k < active - 1:
                G += columns.between[k, p]
            worst = max(worst, G * columns.inverse_C[k, p] * steepest[columns.material[k, p]])
    return 1.0 / worst if worst > 0.0 else math.inf


@njit(cache=True, nogil=True)
def largest_change(arrays, columns, active, metal, metal_scale, span, tables):
    """Largest change of a step against what counts as much as freezing, [1].

    For the metal |D| against metal_scale, elsewhere the change of temperature against span [K]:
    sand that dries at one temperature may take up what it likes.
    """
    worst, last = 0.0, tables.T.size - 1
    for j in range(1, arrays.D.shape[0] - 1):
        for i in range(1, arrays.D.shape[1] - 1):
            if arrays.material[j, i] == metal:
                worst = max(worst, abs(arrays.D[j, i]) / metal_scale)
            elif arrays.D[j, i] != 0.0:
                start = arrays.u[j, i]
                n = _segment(start, last)
                T = tables.T[n] + (start - n) * tables.dT[n]
                worst = max(worst, abs(arrays.T[j, i] - T) / span)
    for k in range(active):
        for p in range(columns.D.shape[1]):
            start = columns.u[k, p]
            n = _segment(start, last)
            T = tables.T[n] + (start - n) * tables.dT[n]
            worst = max(worst, abs(columns.T[k, p] - T) / span)
    return worst


@njit(cache=True, nogil=True)
def heat_sums(arrays, columns, active, group, column_group, out):
    """Heat taken up since the start of the step by each group of cells and layers, [J].

    out (ng + 1,); the last one is all that the columns took up.
    """
    out[:] = 0.0
    for j in range(arrays.D.shape[0]):
        for i in range(arrays.D.shape[1]):
            out[group[j, i]] += arrays.D[j, i] / arrays.inverse_C[j, i]
    for k in range(active):
        for p in range(columns.D.shape[1]):
            heat = columns.D[k, p] / columns.inverse_C[k, p]
            out[column_group[k, p]] += heat
            out[-1] += heat
