"""Kernels of heat conduction on a grid with one ring of reservoir cells around it.

The enthalpy of a cell is counted in segments of its material's table, u: all tables stand in one
row, so that T(u) is one look-up with no question of which material. C is the heat of one segment
in a cell, volume times segment width [J].

Symbols: T temperature [K], k conductivity [W/mK], fs solid fraction [1], G face conductance
[W/K], D change of u since the start of the step. Cell arrays are (ny + 2, nx + 2), and wider by
reservoir cells without faces where rows shall begin at a line of the cache; Gx is as wide and as
high, with Gx[j, i] between cells i and i + 1, Gy a row less, Gy[j, i] between cells j and j + 1.

Within a step the stages Y of T and D stand as P = Y_0 + (Y - Y_0) / ``share``, see
``StageCoefficients``: the temperature of a reservoir is then the same in all of them.
"""

from typing import Any, NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]
Places = NDArray[np.uint32]  # numba need not ask whether an unsigned index counts from the end

INNER: dict[str, Any] = {"no_cpython_wrapper": True}  # called by kernels alone, not by Python


class MaterialTables(NamedTuple):
    """Tables of all materials in one row of segments.

    dT (ns,) change of T over a segment; T0 (ns,) what it would be at u = 0, so that
    T = T0[n] + u dT[n]; line (2, ns), how far T may go by the first rate of a step and stay on the
    line of the segment, while metal freezes and after [K]; steepest (ns,) the largest dT that a
    step may come to from there; fs, dfs (ns,) value at a segment's start and change over it;
    k_cold, k_hot (ns,) conductivity toward a colder and a hotter neighbor: k of the segment's
    middle, but in metal that freezes at one temperature that of the solid and of the liquid, as a
    cell there holds a sharp front. By material (nm,): first, its first segment; start, enthalpy
    there [J/m3]; width of a segment [J/m3].
    """

    T0: Array
    dT: Array
    line: Array
    steepest: Array
    k_cold: Array
    k_hot: Array
    fs: Array
    dfs: Array
    first: Array
    start: Array
    width: Array


class Faces(NamedTuple):
    """Faces of the grid: half widths of cells (nx + 2,), (ny + 2,) [m], areas [m2], conductance.

    Half widths are zero in the ring; area_x, Gx are as wide and high as cell arrays, area_y, Gy a
    row less.
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
    (nf,) half widths [m]; skin, other_skin (nf,) effusivities [W s^1/2/m2K], zero where heat comes
    from; since (nf,) [s], when both touched; area (nf,) [m2]; conductance (nt, nn) [W/m2K] at
    evenly spaced temperatures from ``coldest`` [K] on, ``per_kelvin`` nodes a kelvin.
    """

    cell: Indices
    other: Indices
    face: Indices
    table: Indices
    solid_side: Indices
    G: Array
    half: Array
    other_half: Array
    skin: Array
    other_skin: Array
    since: Array
    area: Array
    conductance: Array
    coldest: float
    per_kelvin: float


class Columns(NamedTuple):
    """Mold columns on the out-of-plane faces of the metal: chains of layers away from the face.

    The metal cells of a patch share a column. By cell and face (nc,): cell, flat index in the
    ringed grid; column; area [m2]; half_depth [m], way of the heat to the face; table of the
    joint; G [W/K], from cell to layer 0. row (ny + 3,) is the first of them in each row of the
    grid. By layer and column (nl, np): width [m]; top, area where
    the next layer begins [m2]; joint, table of the joint there or -1; between [W/K], from a layer
    to the next, the last row to nowhere; u, D, D_last, T, T_last, inverse_C, material as in
    StepArrays; T_start, at the step's start [K]; gain, room for a stage. inflow (np,) [W].
    """

    cell: Places
    column: Places
    area: Array
    half_depth: Array
    table: Indices
    G: Array
    row: Indices
    width: Array
    top: Array
    joint: Indices
    between: Array
    u: Array
    D: Array
    D_last: Array
    T: Array
    T_last: Array
    T_start: Array
    inverse_C: Array
    material: NDArray[np.uint8]
    inflow: Array
    gain: Array


class Watched(NamedTuple):
    """What is noted while a step goes through its stages.

    cells (nc,) flat indices of metal; is_metal (ny + 2, nx + 2); x (nx + 2,), y (ny + 2,) cell
    middles [m]; thresholds (nk,) falling u; judging, the number of that at which the gradient is
    taken; passed (nc,) how many a cell has passed, room (nc,) how far u is from the next one up or
    down; pending (nc + 1,) the cells that have not
    passed all, and in the end how many those are; crossings (nk, nc) [s]; gradients (nc,) [K/m];
    samples (np,) flat indices of cells whose temperature is kept.
    """

    cells: Places
    is_metal: NDArray[np.bool_]
    x: Array
    y: Array
    thresholds: Array
    judging: int
    passed: Indices
    room: Array
    pending: Places
    crossings: Array
    gradients: Array
    samples: Indices


class Scales(NamedTuple):
    """What a step's changes are measured against: that of u in ``metal``, elsewhere that of T [K].

    metal is the metal's number; floor, what u of metal may change in a step by other ways than
    its first rate.
    """

    metal: int
    of_metal: float
    of_temperature: float
    floor: float


class Turn(NamedTuple):
    """What changes hands from stage to stage: the last D, room for the next, T, room for the next.

    The room for the next D holds that of two stages back.
    """

    D: Array
    D_new: Array
    T: Array
    T_new: Array


class StepArrays(NamedTuple):
    """State of one step: u and T at its start, the last two D and T (newest first), 1/C.

    flow [W] is the heat that flows into the cells at the start. A cell that stays on a straight
    piece of T(u) goes through the stages by T alone: its ``warming`` is dT / C [K/J], its D is
    known at the end. Where T(u) may bend ``warming`` is zero, and each stage counts D and looks T
    up. line [K] is that of the tables.
    """

    u: Array
    T: Array
    flow: Array
    D: Array
    D_last: Array
    T_new: Array
    T_last: Array
    inverse_C: Array
    warming: Array
    line: Array
    material: NDArray[np.uint8]


class Bends(NamedTuple):
    """Cells of the grid whose T(u) may bend in a step, as stretches in a row, in reading order.

    begin, end (cells,), where a stretch begins and the next cell after it; first (ny + 3,), the
    first stretch of each row of the grid.
    """

    begin: NDArray[np.uint64]
    end: NDArray[np.uint64]
    first: Indices


class Near(NamedTuple):
    """Watched cells that may pass a threshold in a step: straight ones in front, others at the end.

    counts (2,), how many straight ones and where the others begin. Shapes (nc,): watched, their
    number among the watched cells; cell, flat; start, low, high: what T, of others D, is at the
    start of the step, and between which changes of it they pass nothing.
    """

    counts: Indices
    watched: Places
    cell: Places
    start: Array
    low: Array
    high: Array


@njit(cache=True, inline="always")
def _segment(u, last):
    """Segment that u lies in; the first and last ones go on for ever.

    One comparison of unsigned numbers takes less time than two of signed ones.
    """
    n = np.uint64(np.int64(u))
    if n > last:
        n = last if u > 0.0 else np.uint64(0)
    return n


@njit(cache=True, nogil=True)
def solid_fractions(u, tables, out):
    """Solid fraction of every cell."""
    fs, dfs, last = tables.fs, tables.dfs, np.uint64(tables.fs.size - 1)
    for j in range(u.shape[0]):
        for i in range(u.shape[1]):
            n = _segment(u[j, i], last)
            out[j, i] = fs[n] + min(max(u[j, i] - n, 0.0), 1.0) * dfs[n]


@njit(cache=True, nogil=True)
def solid_volume(u, cells, is_metal, volumes, tables):
    """Solid volume [m3] of those watched cells that hold metal; volumes (nc,) [m3]."""
    flat_u, present = u.ravel(), is_metal.ravel()
    fs, dfs, last, total = tables.fs, tables.dfs, np.uint64(tables.fs.size - 1), 0.0
    for c in range(cells.size):
        v = flat_u[cells[c]]
        n = _segment(v, last)
        if present[cells[c]]:
            total += volumes[c] * (fs[n] + min(max(v - n, 0.0), 1.0) * dfs[n])
    return total
