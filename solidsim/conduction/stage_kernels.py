"""Kernels that take the section and its mold columns through the stages of one step.

Symbols and arrays as in ``conduction_kernels``. A NamedTuple is taken apart before a loop: passed
on inside one, numba counts references to each of its arrays in every turn. Only the first
``active`` layers of the columns are awake: no heat has come further. What kernels alone call has no
way in from Python, which takes as long to compile as a small kernel.
"""

import math

import numpy as np
from numba import njit

from solidsim.conduction.conduction_kernels import INNER, Turn


@njit(cache=True, inline="always")
def _segment(u, last):
    """Segment that u lies in; the first and last ones go on for ever.

    One comparison of unsigned numbers takes less time than two of signed ones.
    """
    n = np.uint64(np.int64(u))
    if n > last:
        n = last if u > 0.0 else np.uint64(0)
    return n


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
def _leave_by_faces(first, last, by_face, face, inflow, T, inverse_C, factor, out):
    """Take the heat that leaves metal cells through faces first to last from out, to the inflow.

    by_face is (cell, column, G) of all; face is T of layer 0. Out, flat as T and inverse_C,
    changes by minus factor times flow over C.
    """
    cells, column, G = by_face
    for c in range(first, last):
        cell, p = cells[c], column[c]
        flow = G[c] * (T[cell] - face[p])
        inflow[p] += flow
        out[cell] -= factor * inverse_C[cell] * flow


@njit(cache=True, nogil=True, **INNER)
def flow_down(dt, T, columns, active, rate):
    """Change of the layers that are awake by the heat that flows through them, dt times flow / C.

    The inflow goes from layer to layer; none leaves the last one that is awake.
    """
    between, inflow, inverse_C = columns.between, columns.inflow, columns.inverse_C
    for k in range(active):
        if k < active - 1:
            for p in range(inflow.size):
                onward = between[k, p] * (T[k, p] - T[k + 1, p])
                rate[k, p] = dt * inverse_C[k, p] * (inflow[p] - onward)
                inflow[p] = onward
        else:
            for p in range(inflow.size):
                rate[k, p] = dt * inverse_C[k, p] * inflow[p]


@njit(cache=True, nogil=True, **INNER)
def next_stage(rate, mu, nu, gamma_tilde, arrays, turn, faces, columns, layers, active, tables):
    """Stage j > 1: the change goes into D_new, over that of two stages back, and its T into T_new.

    rate is mu~ dt. turn and layers are what changes hands, of the grid and of the columns.
    """
    u, M0, inverse_C = arrays.u, arrays.M0, arrays.inverse_C
    D, D_new, T, T_new = turn
    Gx, Gy, T0, dT = faces.Gx, faces.Gy, tables.T0, tables.dT
    (ny, nx), last = u.shape, np.uint64(tables.T0.size - 1)
    by_face, row = (columns.cell, columns.column, columns.G), columns.row
    face, inflow = layers.T[0], columns.inflow
    flat_T, flat_C, flat_D = T.ravel(), inverse_C.ravel(), D_new.ravel()
    inflow[:] = 0.0
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            gain = rate * inverse_C[j, i] * _gain(T, Gx, Gy, j, i)
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
        _leave_by_faces(row[j], row[j + 1], by_face, face, inflow, flat_T, flat_C, rate, flat_D)
        for i in range(1, nx - 1):
            v = u[j, i] + D_new[j, i]
            n = _segment(v, last)
            T_new[j, i] = T0[n] + v * dT[n]
    for j, near in ((0, 1), (ny - 1, ny - 2)):
        for i in range(1, nx - 1):
            gain = rate * inverse_C[j, i] * Gy[min(j, near), i] * (T[near, i] - T[j, i])
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
    for i, near in ((0, 1), (nx - 1, nx - 2)):
        for j in range(1, ny - 1):
            gain = rate * inverse_C[j, i] * Gx[j, min(i, near)] * (T[j, near] - T[j, i])
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + gain + gamma_tilde * M0[j, i]
    next_layers(rate, mu, nu, gamma_tilde, columns, layers, active, tables)


@njit(cache=True, nogil=True, **INNER)
def next_layers(rate, mu, nu, gamma_tilde, columns, layers, active, tables):
    """Stage j > 1 of the layers that are awake."""
    u, M0, gain = columns.u, columns.M0, columns.gain
    D, D_new, T, T_new = layers
    T0, dT, last = tables.T0, tables.dT, np.uint64(tables.T0.size - 1)
    flow_down(rate, T, columns, active, gain)
    for k in range(active):
        for p in range(u.shape[1]):
            kept = mu * D[k, p] + nu * D_new[k, p]
            D_new[k, p] = kept + gain[k, p] + gamma_tilde * M0[k, p]
        for p in range(u.shape[1]):
            v = u[k, p] + D_new[k, p]
            n = _segment(v, last)
            T_new[k, p] = T0[n] + v * dT[n]


@njit(cache=True, nogil=True, **INNER)
def first_change(mu_tilde, u, M0, rows, D, T_new, tables):
    """The change of stage 1 from the first rate, and its temperature, over so many rows.

    The ring of the grid is looked up, too: it keeps its temperature.
    """
    T0, dT, last = tables.T0, tables.dT, np.uint64(tables.T0.size - 1)
    for j in range(rows):
        for i in range(u.shape[1]):
            D[j, i] = mu_tilde * M0[j, i]
            v = u[j, i] + D[j, i]
            n = _segment(v, last)
            T_new[j, i] = T0[n] + v * dT[n]


@njit(cache=True, nogil=True, **INNER)
def note_passed(u, D_before, D_after, T, time_before, time_after, watched):
    """Note metal cells that cool past a threshold between two stages: when, and the gradient.

    Gradients are differences to metal neighbors only. Cells that had passed all thresholds before
    the step are not looked at: one that melts and freezes again in a step is as good as solid.
    """
    flat_u, before, after = u.ravel(), D_before.ravel(), D_after.ravel()
    cells, pending, passed = watched.cells, watched.pending, watched.passed
    thresholds, crossings, nx = watched.thresholds, watched.crossings, u.shape[1]
    for k in range(pending[-1]):
        c = pending[k]
        cell = cells[c]
        end = flat_u[cell] + after[cell]
        while passed[c] > 0 and end > thresholds[passed[c] - 1]:
            passed[c] -= 1
        while passed[c] < thresholds.size and end <= thresholds[passed[c]]:
            n, start = passed[c], flat_u[cell] + before[cell]
            share = (start - thresholds[n]) / (start - end)
            crossings[n, c] = time_before + share * (time_after - time_before)
            passed[c] += 1
            if n == watched.judging:
                watched.gradients[c] = _gradient(
                    T, cell // nx, cell % nx, watched.x, watched.y, watched.is_metal
                )


@njit(cache=True, nogil=True, **INNER)
def _gradient(T, j, i, x, y, is_metal):
    """Size of the temperature gradient of a cell from its metal neighbors, [K/m].

    A neighbor in the ring is the cell's own mirror image.
    """
    ny, nx = T.shape
    east = i + 1 if is_metal[j, i + 1] else i
    west = i - 1 if is_metal[j, i - 1] else i
    north = j + 1 if is_metal[j + 1, i] else j
    south = j - 1 if is_metal[j - 1, i] else j
    fall_x = T[j, min(east, nx - 2)] - T[j, max(west, 1)]
    fall_y = T[min(north, ny - 2), i] - T[max(south, 1), i]
    gx = fall_x / (x[east] - x[west]) if east > west else 0.0
    gy = fall_y / (y[north] - y[south]) if north > south else 0.0
    return math.sqrt(gx * gx + gy * gy)


@njit(cache=True, nogil=True)
def forget_passed(u, watched):
    """Cells above a threshold have not passed it, or have melted again: NaN; they are pending."""
    flat_u, cells, thresholds = u.ravel(), watched.cells, watched.thresholds
    crossings, count = watched.crossings, 0
    for c in range(cells.size):
        now, n = flat_u[cells[c]], thresholds.size
        while n > 0 and now > thresholds[n - 1]:
            n -= 1
            crossings[n, c] = math.nan
        watched.passed[c] = n
        if n < thresholds.size:
            watched.pending[count] = c
            count += 1
    watched.pending[-1] = count


@njit(cache=True, nogil=True, **INNER)
def largest_change(arrays, columns, T, layer_T, active, scales, tables):
    """Largest change of a step against what counts as much as freezing, [1]; T at its end.

    For the metal |D|, elsewhere the change of temperature: sand that dries at one temperature may
    take up what it likes. A temperature at the start is
    looked up only where the change could be the largest.
    """
    u, D, material = arrays.u, arrays.D, arrays.material
    metal, metal_scale, span = scales.metal, scales.of_metal, scales.of_temperature
    T0, dT, worst, last = tables.T0, tables.dT, 0.0, np.uint64(tables.T0.size - 1)
    steepest = scales.steepest / span
    for j in range(1, D.shape[0] - 1):
        for i in range(1, D.shape[1] - 1):
            change = abs(D[j, i])
            if material[j, i] == metal:
                worst = max(worst, change / metal_scale)
            elif not change * steepest <= worst:
                n = _segment(u[j, i], last)
                worst = max(worst, abs(T[j, i] - T0[n] - u[j, i] * dT[n]) / span)
    for k in range(active):
        for p in range(columns.D.shape[1]):
            n = _segment(columns.u[k, p], last)
            start = T0[n] + columns.u[k, p] * dT[n]
            worst = max(worst, abs(layer_T[k, p] - start) / span)
    return worst


@njit(cache=True, nogil=True)
def run_stages(
    start, dt, coefficients, arrays, faces, columns, active, tables, scales, watched, samples
):
    """All stages of one step, and its largest change; samples (stages, np) [K] are taken.

    T and T_last must both hold the ring's temperatures. The number of stages is odd, so that the
    newest change ends in D and its temperature in T_last. No array is returned: an interrupt that
    comes while numba builds a NamedTuple for Python is a segmentation fault.
    """
    c, u, M0 = coefficients, arrays.u, arrays.M0
    M0[:], columns.M0[:] = 0.0, 0.0
    arrays.D_last[:], columns.D_last[:] = 0.0, 0.0
    turn = Turn(arrays.D_last, M0, arrays.T, arrays.T_last)
    layers = Turn(columns.D_last, columns.M0, columns.T, columns.T_last)
    for s in range(c.mu.size):
        if s != 1:
            next_stage(
                dt * c.mu_tilde[s], c.mu[s], c.nu[s], c.gamma_tilde[s],
                arrays, turn, faces, columns, layers, active, tables,
            )  # fmt: skip
        if s < 2:
            turn = Turn(arrays.D, arrays.D_last, arrays.T_last, arrays.T)
            layers = Turn(columns.D, columns.D_last, columns.T_last, columns.T)
        else:
            turn = Turn(turn.D_new, turn.D, turn.T_new, turn.T)
            layers = Turn(layers.D_new, layers.D, layers.T_new, layers.T)
        if s == 1:
            first_change(c.mu_tilde[1], u, M0, u.shape[0], turn.D, turn.T, tables)
            first_change(c.mu_tilde[1], columns.u, columns.M0, active, layers.D, layers.T, tables)
        if s > 0:
            before, after = start + dt * c.time[s - 1], start + dt * c.time[s]
            note_passed(u, turn.D_new, turn.D, turn.T, before, after, watched)
            flat_T = turn.T.ravel()
            for p in range(watched.samples.size):
                samples[s - 1, p] = flat_T[watched.samples[p]]
    return largest_change(arrays, columns, turn.T, layers.T, active, scales, tables)


@njit(cache=True, nogil=True, fastmath={"reassoc"}, **INNER)
def heat_sums(arrays, columns, active, group, column_group, out):
    """Heat taken up since the start of the step by each group of cells and layers, [J].

    out (4,): metal, elsewhere, outside, and all that the columns took up. Sums may be taken in
    any order: as vectors they were measured to take half of the time.
    """
    metal, elsewhere, outside, layers = 0.0, 0.0, 0.0, 0.0
    D, inverse_C = arrays.D, arrays.inverse_C
    for j in range(D.shape[0]):
        for i in range(D.shape[1]):
            heat = D[j, i] / inverse_C[j, i]
            metal += heat if group[j, i] == 0 else 0.0
            elsewhere += heat if group[j, i] == 1 else 0.0
            outside += heat if group[j, i] == 2 else 0.0
    for k in range(active):
        for p in range(columns.D.shape[1]):
            heat = columns.D[k, p] / columns.inverse_C[k, p]
            layers += heat
            elsewhere += heat if column_group[k, p] == 1 else 0.0
            outside += heat if column_group[k, p] == 2 else 0.0
    out[0], out[1], out[2], out[3] = metal, elsewhere, outside, layers


@njit(cache=True, nogil=True)
def accept(arrays, columns, active, group, column_group, watched, out):
    """Make the newest change the state; out takes its heat sums."""
    heat_sums(arrays, columns, active, group, column_group, out)
    u, D = arrays.u, arrays.D
    for j in range(u.shape[0]):
        for i in range(u.shape[1]):
            u[j, i] += D[j, i]
    for k in range(active):
        for p in range(columns.u.shape[1]):
            columns.u[k, p] += columns.D[k, p]
    forget_passed(u, watched)
