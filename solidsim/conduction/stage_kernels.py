"""Kernels that take the section and its mold columns through the stages of one step.

Symbols and arrays as in ``conduction_kernels``. Only the first ``active`` layers of the columns
are awake: no heat has come further.
"""

import math

import numpy as np
from numba import njit

from solidsim.conduction.conduction_kernels import Columns, StepArrays


@njit(cache=True, inline="always")
def _temperature(u, T, dT):
    """Temperature at u; the first and last segments go on for ever."""
    n = min(max(np.int32(u), 0), T.size - 1)
    return T[n] + (u - n) * dT[n]


@njit(cache=True, inline="always")
def _gain(T, Gx, Gy, j, i):
    """Heat that flows into a cell of the grid, [W]."""
    return (
        Gx[j, i - 1] * (T[j, i - 1] - T[j, i])
        + Gx[j, i] * (T[j, i + 1] - T[j, i])
        + Gy[j - 1, i] * (T[j - 1, i] - T[j, i])
        + Gy[j, i] * (T[j + 1, i] - T[j, i])
    )


@njit(cache=True, inline="always")
def _layer_gain(columns, k, p, active):
    """Heat that flows into a layer of a column, [W]."""
    T = columns.T
    if k == 0:
        gain = columns.inflow[p]
    else:
        gain = columns.between[k - 1, p] * (T[k - 1, p] - T[k, p])
    if k < active - 1:
        gain += columns.between[k, p] * (T[k + 1, p] - T[k, p])
    return gain


@njit(cache=True, nogil=True)
def leave_by_faces(T, inverse_C, columns, factor, out):
    """Take the heat that leaves metal through its faces from out; add it up in the inflow.

    out, of the ringed grid, changes by minus factor times flow over C.
    """
    flat_T, flat_C, flat_out = T.ravel(), inverse_C.ravel(), out.ravel()
    columns.inflow[:] = 0.0
    for c in range(columns.cell.size):
        cell, p = columns.cell[c], columns.column[c]
        flow = columns.G[c] * (flat_T[cell] - columns.T[0, p])
        columns.inflow[p] += flow
        flat_out[cell] -= factor * flat_C[cell] * flow


@njit(cache=True, nogil=True)
def first_stage(dt, mu_tilde, arrays, faces, columns, active, table_T, table_dT):
    """Stage 1 of a step: M0 from T, the first change into D, its temperature into T_last."""
    u, M0, D, T, T_new = arrays.u, arrays.M0, arrays.D, arrays.T, arrays.T_last
    Gx, Gy, inverse_C = faces.Gx, faces.Gy, arrays.inverse_C
    ny, nx = u.shape
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            M0[j, i] = dt * inverse_C[j, i] * _gain(T, Gx, Gy, j, i)
    for j, near in ((0, 1), (ny - 1, ny - 2)):
        for i in range(1, nx - 1):
            M0[j, i] = dt * inverse_C[j, i] * Gy[min(j, near), i] * (T[near, i] - T[j, i])
    for i, near in ((0, 1), (nx - 1, nx - 2)):
        for j in range(1, ny - 1):
            M0[j, i] = dt * inverse_C[j, i] * Gx[j, min(i, near)] * (T[j, near] - T[j, i])
    leave_by_faces(T, inverse_C, columns, dt, M0)
    for j in range(ny):
        for i in range(nx):
            D[j, i] = mu_tilde * M0[j, i]
            T_new[j, i] = _temperature(u[j, i] + D[j, i], table_T, table_dT)
    for k in range(active):
        for p in range(columns.u.shape[1]):
            columns.M0[k, p] = dt * columns.inverse_C[k, p] * _layer_gain(columns, k, p, active)
            columns.D[k, p] = mu_tilde * columns.M0[k, p]
            at = columns.u[k, p] + columns.D[k, p]
            columns.T_last[k, p] = _temperature(at, table_T, table_dT)


@njit(cache=True, nogil=True)
def next_stage(rate, mu, nu, gamma_tilde, arrays, faces, columns, active, table_T, table_dT):
    """Stage j > 1: the change goes into D_last, over that of two stages back, T into T_last.

    rate is mu~ dt.
    """
    u, M0, D, D_new = arrays.u, arrays.M0, arrays.D, arrays.D_last
    T, T_new, inverse_C = arrays.T, arrays.T_last, arrays.inverse_C
    Gx, Gy = faces.Gx, faces.Gy
    ny, nx = u.shape
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            gain = rate * inverse_C[j, i] * _gain(T, Gx, Gy, j, i)
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
        for i in range(1, nx - 1):
            T_new[j, i] = _temperature(u[j, i] + D_new[j, i], table_T, table_dT)
    for j, near in ((0, 1), (ny - 1, ny - 2)):
        for i in range(1, nx - 1):
            gain = rate * inverse_C[j, i] * Gy[min(j, near), i] * (T[near, i] - T[j, i])
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
    for i, near in ((0, 1), (nx - 1, nx - 2)):
        for j in range(1, ny - 1):
            gain = rate * inverse_C[j, i] * Gx[j, min(i, near)] * (T[j, near] - T[j, i])
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
    leave_by_faces(T, inverse_C, columns, rate, D_new)
    flat_u, flat_D, flat_T = u.ravel(), D_new.ravel(), T_new.ravel()
    for cell in columns.cell:
        flat_T[cell] = _temperature(flat_u[cell] + flat_D[cell], table_T, table_dT)
    next_layers(rate, mu, nu, gamma_tilde, columns, active, table_T, table_dT)


@njit(cache=True, nogil=True)
def next_layers(rate, mu, nu, gamma_tilde, columns, active, table_T, table_dT):
    """Stage j > 1 of the layers that are awake."""
    M0, D, D_new = columns.M0, columns.D, columns.D_last
    for k in range(active):
        for p in range(columns.u.shape[1]):
            gain = rate * columns.inverse_C[k, p] * _layer_gain(columns, k, p, active)
            D_new[k, p] = mu * D[k, p] + nu * D_new[k, p] + gain + gamma_tilde * M0[k, p]
            at = columns.u[k, p] + D_new[k, p]
            columns.T_last[k, p] = _temperature(at, table_T, table_dT)


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


@njit(cache=True, inline="always")
def _turned(arrays):
    """The same arrays with the newest D and T in front."""
    return StepArrays(
        arrays.u, arrays.M0, arrays.D_last, arrays.D, arrays.T_last, arrays.T,
        arrays.inverse_C, arrays.material,
    )  # fmt: skip


@njit(cache=True, inline="always")
def _turned_columns(c, D, D_last):
    """The same columns with other D and D_last in front, and the newest T."""
    return Columns(
        c.cell, c.column, c.area, c.half_depth, c.table, c.G, c.width, c.top, c.joint, c.between,
        c.u, c.M0, D, D_last, c.T_last, c.T, c.inverse_C, c.material, c.inflow,
    )  # fmt: skip


@njit(cache=True, nogil=True)
def run_stages(start, dt, coefficients, arrays, faces, columns, active, tables, watched, samples):
    """All stages of one step; samples (stages, np) [K] takes the watched temperatures.

    T and T_last must both hold the ring's temperatures. The number of stages is odd, so that the
    newest change ends in D and its temperature in T_last. Nothing is returned: an interrupt that
    comes while numba builds a NamedTuple for Python is a segmentation fault.
    """
    c, T, dT = coefficients, tables.T, tables.dT
    arrays.D_last[:] = 0.0
    columns.D_last[:] = 0.0
    first_stage(dt, c.mu_tilde[1], arrays, faces, columns, active, T, dT)
    arrays = StepArrays(
        arrays.u, arrays.M0, arrays.D, arrays.D_last, arrays.T_last, arrays.T,
        arrays.inverse_C, arrays.material,
    )  # fmt: skip
    columns = _turned_columns(columns, columns.D, columns.D_last)
    for s in range(1, c.mu.size):
        if s > 1:
            next_stage(
                dt * c.mu_tilde[s], c.mu[s], c.nu[s], c.gamma_tilde[s],
                arrays, faces, columns, active, T, dT,
            )  # fmt: skip
            arrays = _turned(arrays)
            columns = _turned_columns(columns, columns.D_last, columns.D)
        before, after = start + dt * c.time[s - 1], start + dt * c.time[s]
        note_passed(arrays.u, arrays.D_last, arrays.D, arrays.T, before, after, watched)
        flat_T = arrays.T.ravel()
        for p in range(watched.samples.size):
            samples[s - 1, p] = flat_T[watched.samples[p]]
