"""Kernels of heat conduction on a grid with one ring of reservoir cells around it.

The enthalpy of a cell is counted in segments of its material's table, u: all tables stand in one
row, so that T(u) is one look-up with no question of which material. C is the heat of one segment
in a cell, volume times segment width [J].

Symbols: T temperature [K], k conductivity [W/mK], fs solid fraction [1], G face conductance
[W/K], D change of u since the start of the step, M0 first rate times dt. Cell arrays are
(ny + 2, nx + 2); Gx is (ny + 2, nx + 1) with Gx[j, i] between cells i and i + 1, Gy is
(ny + 1, nx + 2) with Gy[j, i] between cells j and j + 1.
"""

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
    the surface of ``cell`` or ``other``, -1 at the hotter; G (nf,) [W/m2K]; half, other_half
    (nf,) half widths [m]; area (nf,) [m2]; conductance (nt, nn) [W/m2K] at evenly spaced
    temperatures from ``coldest`` [K] on, ``per_kelvin`` nodes a kelvin.
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
