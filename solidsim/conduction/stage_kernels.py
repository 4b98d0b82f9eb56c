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

REACH = 1.5  # times as far as by the first rate a cell may go in a step
GAP = 8  # cells
MOST = 0.3  # of a row
ONE = np.uint64(1)  # what is counted without a sign is never asked whether it is negative


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
def _gain(T, Gx, Gy, j, west, i, east):
    """Heat that flows into a cell of the grid, [W]."""
    return (
        Gx[j, west] * (T[j, west] - T[j, i])
        + Gx[j, i] * (T[j, east] - T[j, i])
        + Gy[j - 1, i] * (T[j - 1, i] - T[j, i])
        + Gy[j, i] * (T[j + 1, i] - T[j, i])
    )


@njit(cache=True, inline="always")
def _leave_by_faces(first, last, by_face, T, face, inflow, rate, per_heat):
    """Take the heat that leaves metal cells through faces first to last, to the inflow.

    by_face is (cell, column, G) of all; face is T of layer 0. It changes T by so much and D by so
    much: per_heat is (per joule, what changes) of each, flat as T.
    """
    cells, column, G = by_face
    (warming, T_new), (inverse_C, D_new) = per_heat
    at, total = np.uint32(0), 0.0
    for c in range(first, last):
        cell, p = cells[c], column[c]
        if p != at:
            inflow[at] += total
            at, total = p, 0.0
        flow = G[c] * (T[cell] - face[p])
        total += flow
        T_new[cell] -= rate * warming[cell] * flow
        D_new[cell] -= rate * inverse_C[cell] * flow
    inflow[at] += total


@njit(cache=True, inline="always")
def _ring(rate, mu, nu, gamma, T, Gx, Gy, inverse_C, flow, D, D_new):
    """Change of the ring, whose T stays; a cell of it has one neighbor."""
    ny, nx = T.shape
    for j, near in ((0, 1), (ny - 1, ny - 2)):
        for i in range(1, nx - 1):
            heat = rate * Gy[min(j, near), i] * (T[near, i] - T[j, i]) + gamma * flow[j, i]
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + inverse_C[j, i] * heat
    for i, near in ((0, 1), (nx - 1, nx - 2)):
        for j in range(1, ny - 1):
            heat = rate * Gx[j, min(i, near)] * (T[j, near] - T[j, i]) + gamma * flow[j, i]
            D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + inverse_C[j, i] * heat


@njit(cache=True, inline="always")
def _look_up(u, D, T, warming, j, begin, end, T0, dT):
    """Temperature of a stretch of cells in a row; straight ones in it stay on their line."""
    last = np.uint64(T0.size - 1)
    for i in range(begin, end):
        v = u[j, i] + D[j, i]
        n = _segment(v if warming[j, i] == 0.0 else u[j, i], last)
        T[j, i] = T0[n] + v * dT[n]


@njit(cache=True, inline="always")
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
def next_stage(rate, mu, nu, gamma, arrays, turn, Gx, Gy, columns, bends, layer_T, T0, dT):
    """A stage: T_new takes the place of T two stages back, where T(u) may bend D_new that of D.

    rate is mu~ dt, gamma that of gamma~. turn is what changes hands; layer_T of the columns.
    """
    T_start, flow, warming, inverse_C = arrays.T, arrays.flow, arrays.warming, arrays.inverse_C
    u, (D, D_new, T, T_new) = arrays.u, turn
    nx = T.shape[1]
    begin, end, first = bends.begin, bends.end, bends.first
    by_face, row = (columns.cell, columns.column, columns.G), columns.row
    face, inflow, flat_T, kept = layer_T[0], columns.inflow, T.ravel(), 1.0 - mu - nu
    per_heat = (warming.ravel(), T_new.ravel()), (inverse_C.ravel(), D_new.ravel())
    inflow[:] = 0.0
    for j in range(1, T.shape[0] - 1):
        if first[j + 1] == first[j] or begin[first[j]] > 1 or end[first[j]] < nx - 1:
            for i in range(1, nx - 1):
                heat = rate * _gain(T, Gx, Gy, j, i - 1, i, i + 1) + gamma * flow[j, i]
                before = mu * T[j, i] + nu * T_new[j, i] + kept * T_start[j, i]
                T_new[j, i] = before + warming[j, i] * heat
        for s in range(first[j], first[j + 1]):
            for i in range(begin[s], end[s]):
                heat = rate * _gain(T, Gx, Gy, j, i - ONE, i, i + ONE) + gamma * flow[j, i]
                D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + inverse_C[j, i] * heat
        _leave_by_faces(row[j], row[j + 1], by_face, flat_T, face, inflow, rate, per_heat)
        for s in range(first[j], first[j + 1]):
            _look_up(u, D_new, T_new, warming, j, begin[s], end[s], T0, dT)
    _ring(rate, mu, nu, gamma, T, Gx, Gy, inverse_C, flow, D, D_new)


@njit(cache=True, nogil=True, **INNER)
def next_stage_of_layers(rate, mu, nu, gamma, columns, layers, active, T0, dT):
    """A stage of the layers that are awake; rate is mu~ dt, gamma that of gamma~."""
    u, M0, gain = columns.u, columns.M0, columns.gain
    D, D_new, T, T_new = layers
    last = np.uint64(T0.size - 1)
    flow_down(rate, T, columns, active, gain)
    for k in range(active):
        for p in range(u.shape[1]):
            kept = mu * D[k, p] + nu * D_new[k, p]
            D_new[k, p] = kept + gain[k, p] + gamma * M0[k, p]
        for p in range(u.shape[1]):
            v = u[k, p] + D_new[k, p]
            n = _segment(v, last)
            T_new[k, p] = T0[n] + v * dT[n]


@njit(cache=True, inline="always")
def find_bends(dt, arrays, bends):
    """List the stretches of cells whose T(u) may bend in a step; their ``warming`` is zero.

    Those of a try before this one stay. Less than GAP straight cells between two that may bend
    are counted with them, and a row of which they are MOST is one stretch: long loops are fast.
    """
    flow, warming, line, reach = arrays.flow, arrays.warming, arrays.line, REACH * dt
    begin, end, first, (ny, nx), count = bends.begin, bends.end, bends.first, flow.shape, 0
    first[:2] = 0
    for j in range(1, ny - 1):
        cells, after = 0, -GAP
        for i in range(1, nx - 1):
            warms = warming[j, i]
            if warms == 0.0 or not reach * abs(flow[j, i]) * warms < line[j, i]:
                warming[j, i] = 0.0
                if i - after >= GAP:
                    after, count = i, count + 1
                    begin[count - 1] = i
                cells, after = cells + i + 1 - after, i + 1
                end[count - 1] = after
        if cells > MOST * (nx - 2):
            count = first[j] + 1
            begin[count - 1], end[count - 1] = 1, nx - 1
        first[j + 1] = count
    first[ny:] = count


@njit(cache=True, inline="always")
def list_near(dt, arrays, floor, watched, near):
    """List the pending cells that may pass a threshold in a step.

    floor is what u may change by other ways than its first rate.
    """
    cells, pending, room, count = watched.cells, watched.pending, watched.room, 0
    flow, inverse_C, reach = arrays.flow.ravel(), arrays.inverse_C.ravel(), REACH * dt
    for k in range(pending[-1]):
        c = pending[k]
        if reach * inverse_C[cells[c]] * abs(flow[cells[c]]) + floor >= room[c]:
            near[count] = c
            count += 1
    near[-1] = count


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


@njit(cache=True, inline="always")
def _note(c, start, end, time_before, time_after, T, watched):
    """Note what a watched cell passes between two values of u: when, and the gradient."""
    passed, thresholds, cell = watched.passed, watched.thresholds, watched.cells[c]
    while passed[c] > 0 and end > thresholds[passed[c] - 1]:
        passed[c] -= 1
    while passed[c] < thresholds.size and end <= thresholds[passed[c]]:
        n = passed[c]
        share = (start - thresholds[n]) / (start - end) if start > end else 1.0
        watched.crossings[n, c] = time_before + share * (time_after - time_before)
        passed[c] += 1
        if n == watched.judging:
            watched.gradients[c] = _gradient(
                T, cell // T.shape[1], cell % T.shape[1], watched.x, watched.y, watched.is_metal
            )


@njit(cache=True, nogil=True, **INNER)
def note_passed(arrays, turn, time_before, time_after, watched, near):
    """Note metal cells that cool past a threshold between two stages, or in a whole step.

    Only cells that are ``near`` a threshold are looked at, its last number is how many: one that
    had passed all thresholds before the step, and melts and freezes again, is as good as solid.
    """
    flat_u, before, after = arrays.u.ravel(), turn.D_new.ravel(), turn.D.ravel()
    T_start, T_before, T_after = arrays.T.ravel(), turn.T_new.ravel(), turn.T.ravel()
    inverse_C, warming = arrays.inverse_C.ravel(), arrays.warming.ravel()
    cells, passed, thresholds = watched.cells, watched.passed, watched.thresholds
    for k in range(near[-1]):
        c = near[k]
        cell, n = cells[c], passed[c]
        change, per_change = after[cell], 1.0
        if warming[cell] > 0.0:
            change, per_change = T_after[cell] - T_start[cell], warming[cell] / inverse_C[cell]
        now = flat_u[cell]
        if (n < thresholds.size and change <= (thresholds[n] - now) * per_change) or (
            n > 0 and change > (thresholds[n - 1] - now) * per_change
        ):
            first = before[cell] if warming[cell] == 0.0 else T_before[cell] - T_start[cell]
            start, end = now + first / per_change, now + change / per_change
            _note(c, start, end, time_before, time_after, turn.T, watched)


@njit(cache=True, nogil=True)
def run_stages(
    start, length, coefficients, arrays, Gx, Gy, columns, active, bends, T0, dT, floor, watched,
    samples,
):  # fmt: skip
    """All stages of one step; samples (stages, np) [K] are taken.

    T, T_new and T_last must all hold the ring's temperatures. The number of stages is odd, so that
    the newest change ends in D and its temperature in T_new. No array is returned: an interrupt
    that comes while numba builds a NamedTuple for Python is a segmentation fault.
    """
    c = coefficients
    find_bends(length, arrays, bends)
    list_near(length, arrays, floor, watched, bends.near)
    arrays.D_last[:], columns.D_last[:] = 0.0, 0.0
    turn = Turn(arrays.D_last, arrays.D, arrays.T, arrays.T_new)
    layers = Turn(columns.D_last, columns.D, columns.T, columns.T_last)
    for s in range(1, c.mu.size):
        rate, mu, nu, gamma = length * c.mu_tilde[s], c.mu[s], c.nu[s], length * c.gamma_tilde[s]
        if s == 1:  # by the first rate alone
            rate, mu, nu, gamma = 0.0, 1.0, 0.0, rate
        next_stage(rate, mu, nu, gamma, arrays, turn, Gx, Gy, columns, bends, layers.T, T0, dT)
        next_stage_of_layers(rate, mu, nu, gamma, columns, layers, active, T0, dT)
        if s == 1:
            for j in range(turn.T.shape[0]):
                for i in range(turn.T.shape[1]):
                    arrays.T_last[j, i] = turn.T[j, i]
            turn = Turn(turn.D_new, turn.D, turn.T_new, arrays.T_last)
        else:
            turn = Turn(turn.D_new, turn.D, turn.T_new, turn.T)
        layers = Turn(layers.D_new, layers.D, layers.T_new, layers.T)
        before, after = start + length * c.time[s - 1], start + length * c.time[s]
        note_passed(arrays, turn, before, after, watched, bends.near)
        flat_T = turn.T.ravel()
        for p in range(watched.samples.size):
            samples[s - 1, p] = flat_T[watched.samples[p]]
    turn.D_new[:] = 0.0
    whole = Turn(turn.D, turn.D_new, turn.T, arrays.T)
    note_passed(arrays, whole, start, start + length, watched, watched.pending)
