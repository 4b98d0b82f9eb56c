"""Kernels that take the section and its mold columns through the stages of one step.

Symbols and arrays as in ``conduction_kernels``. A NamedTuple is taken apart before a loop: passed
on inside one, numba counts references to each of its arrays in every turn. Only the first
``active`` layers of the columns are awake: no heat has come further.
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


@njit(cache=True, nogil=True)
def leave_by_faces(T, inverse_C, columns, factor, out):
    """Take the heat that leaves metal through its faces from out; add it up in the inflow.

    out, of the ringed grid, changes by minus factor times flow over C.
    """
    flat_T, flat_C, flat_out = T.ravel(), inverse_C.ravel(), out.ravel()
    cells, column, G, inflow, face = (
        columns.cell,
        columns.column,
        columns.G,
        columns.inflow,
        columns.T[0],
    )
    inflow[:] = 0.0
    for c in range(cells.size):
        cell, p = cells[c], column[c]
        flow = G[c] * (flat_T[cell] - face[p])
        inflow[p] += flow
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
    first_layers(dt, mu_tilde, columns, active, table_T, table_dT)


@njit(cache=True, nogil=True)
def flow_down(dt, columns, active, rate):
    """Change of the layers that are awake by the heat that flows through them, dt times flow / C.

    The inflow goes from layer to layer; none leaves the last one that is awake.
    """
    T, between, inflow, inverse_C = columns.T, columns.between, columns.inflow, columns.inverse_C
    for k in range(active):
        if k < active - 1:
            for p in range(inflow.size):
                onward = between[k, p] * (T[k, p] - T[k + 1, p])
                rate[k, p] = dt * inverse_C[k, p] * (inflow[p] - onward)
                inflow[p] = onward
        else:
            for p in range(inflow.size):
                rate[k, p] = dt * inverse_C[k, p] * inflow[p]


@njit(cache=True, nogil=True)
def first_layers(dt, mu_tilde, columns, active, table_T, table_dT):
    """Stage 1 of the layers that are awake."""
    u, M0, D, T_new = columns.u, columns.M0, columns.D, columns.T_last
    flow_down(dt, columns, active, M0)
    for k in range(active):
        for p in range(u.shape[1]):
            D[k, p] = mu_tilde * M0[k, p]
            T_new[k, p] = _temperature(u[k, p] + D[k, p], table_T, table_dT)


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
    u, M0, D, D_new, T_new = columns.u, columns.M0, columns.D, columns.D_last, columns.T_last
    gain = columns.gain
    flow_down(rate, columns, active, gain)
    for k in range(active):
        for p in range(u.shape[1]):
            kept = mu * D[k, p] + nu * D_new[k, p]
            D_new[k, p] = kept + gain[k, p] + gamma_tilde * M0[k, p]
        for p in range(u.shape[1]):
            T_new[k, p] = _temperature(u[k, p] + D_new[k, p], table_T, table_dT)


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
            watched.gradients[c] = _gradient(
                T, cell // nx, cell % nx, watched.x, watched.y, watched.is_metal
            )


@njit(cache=True, nogil=True)
def _gradient(T, j, i, x, y, is_metal):
    """Size of the temperature gradient of a cell from its metal neighbors, [K/m]."""
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
        c.u, c.M0, D, D_last, c.T_last, c.T, c.inverse_C, c.material, c.inflow, c.gain,
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
