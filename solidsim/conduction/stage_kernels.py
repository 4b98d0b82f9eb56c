"""Kernels that take the section and its mold columns through the stages of one step.

Symbols and arrays as in ``conduction_kernels``; within a step T and D stand as P. A NamedTuple is
taken apart before a loop: passed on inside one, numba counts references to each of its arrays in
every turn. Only the first ``active`` layers of the columns are awake: no heat has come further.
What kernels alone call has no way in from Python, which takes as long to compile as a small kernel.
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
    for c in range(first, last):
        cell, p = cells[c], column[c]
        flow = G[c] * (T[cell] - face[p])
        inflow[p] += flow
        T_new[cell] -= rate * warming[cell] * flow
        D_new[cell] -= rate * inverse_C[cell] * flow


@njit(cache=True, inline="always")
def _look_up(share, u, D, T, T_start, warming, j, begin, end, T0, dT):
    """Temperature of a stretch of cells in a row; straight ones in it stay on their line."""
    last, per_share = np.uint64(T0.size - 1), 1.0 / share
    for i in range(begin, end):
        v = u[j, i] + share * D[j, i]
        n = _segment(v if warming[j, i] == 0.0 else u[j, i], last)
        T[j, i] = T_start[j, i] + (T0[n] + v * dT[n] - T_start[j, i]) * per_share


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
def next_stage(rate, mu, nu, share, nx, arrays, turn, Gx, Gy, columns, bends, layer_T, T0, dT):
    """A stage: T_new takes the place of T two stages back, where T(u) may bend D_new that of D.

    rate is that of the stage times dt, share is its own, nx how many cells a row has with its
    ring; turn is what changes hands; layer_T of the columns. Gives the heat that flows into the
    ring by the stage before, [W].
    """
    T_start, warming, inverse_C, u = arrays.T, arrays.warming, arrays.inverse_C, arrays.u
    D, D_new, T, T_new = turn
    begin, end, first, ny = bends.begin, bends.end, bends.first, T.shape[0]
    by_face, row = (columns.cell, columns.column, columns.G), columns.row
    face, inflow, flat_T, outside = layer_T[0], columns.inflow, T.ravel(), 0.0
    per_heat = (warming.ravel(), T_new.ravel()), (inverse_C.ravel(), D_new.ravel())
    inflow[:] = 0.0
    for j in range(1, ny - 1):
        if first[j + 1] == first[j] or begin[first[j]] > 1 or end[first[j]] < nx - 1:
            for i in range(1, nx - 1):
                heat = rate * _gain(T, Gx, Gy, j, i - 1, i, i + 1)
                T_new[j, i] = mu * T[j, i] + nu * T_new[j, i] + warming[j, i] * heat
        for s in range(first[j], first[j + 1]):
            for i in range(begin[s], end[s]):
                heat = rate * _gain(T, Gx, Gy, j, i - ONE, i, i + ONE)
                D_new[j, i] = mu * D[j, i] + nu * D_new[j, i] + inverse_C[j, i] * heat
        _leave_by_faces(row[j], row[j + 1], by_face, flat_T, face, inflow, rate, per_heat)
        for s in range(first[j], first[j + 1]):
            _look_up(share, u, D_new, T_new, T_start, warming, j, begin[s], end[s], T0, dT)
        outside += Gx[j, 0] * (T[j, 1] - T[j, 0])
        outside += Gx[j, nx - 2] * (T[j, nx - 2] - T[j, nx - 1])
    below, above = 0.0, 0.0
    for i in range(1, nx - 1):
        below += Gy[0, i] * (T[1, i] - T[0, i])
        above += Gy[ny - 2, i] * (T[ny - 2, i] - T[ny - 1, i])
    return outside + below + above


@njit(cache=True, nogil=True, **INNER)
def next_stage_of_layers(rate, mu, nu, share, columns, layers, active, T0, dT):
    """A stage of the layers that are awake; rate and share as in ``next_stage``."""
    u, gain, T_start = columns.u, columns.gain, columns.T_start
    D, D_new, T, T_new = layers
    last, per_share = np.uint64(T0.size - 1), 1.0 / share
    flow_down(rate, T, columns, active, gain)
    for k in range(active):
        for p in range(u.shape[1]):
            D_new[k, p] = mu * D[k, p] + nu * D_new[k, p] + gain[k, p]
        for p in range(u.shape[1]):
            v = u[k, p] + share * D_new[k, p]
            n = _segment(v, last)
            T_new[k, p] = T_start[k, p] + (T0[n] + v * dT[n] - T_start[k, p]) * per_share


@njit(cache=True, inline="always")
def find_bends(dt, nx, arrays, bends):
    """List the stretches of cells whose T(u) may bend in a step; their ``warming`` is zero.

    Those of a try before this one stay. Less than GAP straight cells between two that may bend
    are counted with them, and a row of which they are MOST is one stretch: long loops are fast.
    """
    flow, warming, line, reach = arrays.flow, arrays.warming, arrays.line, REACH * dt
    begin, end, first, ny, count = bends.begin, bends.end, bends.first, flow.shape[0], 0
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
    cells, pending, room, counts = watched.cells, watched.pending, watched.room, near.counts
    flow, inverse_C, reach = arrays.flow.ravel(), arrays.inverse_C.ravel(), REACH * dt
    u, T, warming = arrays.u.ravel(), arrays.T.ravel(), arrays.warming.ravel()
    counts[0], counts[1] = 0, cells.size
    for k in range(pending[-1]):
        c = pending[k]
        cell = cells[c]
        if reach * inverse_C[cell] * abs(flow[cell]) + floor >= room[c]:
            straight = warming[cell] > 0.0
            place = counts[0] if straight else counts[1] - 1
            near.watched[place], near.cell[place] = c, cell
            near.start[place] = T[cell] if straight else 0.0
            per_change = warming[cell] / inverse_C[cell] if straight else 1.0
            _set_bounds(place, u[cell], per_change, c, watched, near)
            counts[0 if straight else 1] += 1 if straight else -1


@njit(cache=True, inline="always")
def _set_bounds(place, now, per_change, c, watched, near):
    """Say between which changes of T or D a near cell passes nothing; now is u at the start."""
    n, thresholds = watched.passed[c], watched.thresholds
    near.low[place], near.high[place] = -math.inf, math.inf
    if n < thresholds.size:
        near.low[place] = (thresholds[n] - now) * per_change
    if n > 0:
        near.high[place] = (thresholds[n - 1] - now) * per_change


@njit(cache=True, nogil=True, **INNER)
def _gradient(cell, share, T, T_start, x, y, is_metal):
    """Size of the temperature gradient of a cell from its metal neighbors, [K/m].

    A neighbor in the ring is the cell's own mirror image.
    """
    j, i, rest = cell // T.shape[1], cell % T.shape[1], 1.0 - share
    east, west = i + is_metal[j, i + 1], i - is_metal[j, i - 1]
    north, south = j + is_metal[j + 1, i], j - is_metal[j - 1, i]
    dx, dy = x[east] - x[west], y[north] - y[south]
    east, west = min(east, x.size - 2), max(west, 1)
    north, south = min(north, y.size - 2), max(south, 1)
    fall_x = rest * (T_start[j, east] - T_start[j, west]) + share * (T[j, east] - T[j, west])
    fall_y = rest * (T_start[north, i] - T_start[south, i]) + share * (T[north, i] - T[south, i])
    gx = fall_x / dx if dx > 0.0 else 0.0
    gy = fall_y / dy if dy > 0.0 else 0.0
    return math.sqrt(gx * gx + gy * gy)


@njit(cache=True, inline="always")
def _note(c, start, end, times, watched):
    """Note when a watched cell passes what lies between two values of u; whether it is judged."""
    passed, thresholds, crossings = watched.passed, watched.thresholds, watched.crossings
    n, judged = passed[c], False
    while n > 0 and end > thresholds[n - 1]:
        n -= 1
    while n < thresholds.size and end <= thresholds[n]:
        way = (start - thresholds[n]) / (start - end) if start > end else 1.0
        crossings[n, c] = times[0] + way * (times[1] - times[0])
        judged = judged or n == watched.judging
        n += 1
    passed[c] = n
    return judged


@njit(cache=True, inline="always")
def note_near(shares, times, arrays, turn, watched, near):
    """Note near cells that cool past a threshold between two stages, or warm up to it.

    shares and times are those of both stages.
    """
    low, high, start, cells, numbers = near.low, near.high, near.start, near.cell, near.watched
    u, warming, inverse_C = arrays.u.ravel(), arrays.warming.ravel(), arrays.inverse_C.ravel()
    T, D, T_before, D_before = (
        turn.T.ravel(),
        turn.D.ravel(),
        turn.T_new.ravel(),
        turn.D_new.ravel(),
    )
    for kind in range(2):
        now, before = (T, T_before) if kind == 0 else (D, D_before)
        begin, end = (0, near.counts[0]) if kind == 0 else (near.counts[1], cells.size)
        for k in range(begin, end):
            cell = cells[k]
            change = shares[1] * (now[cell] - start[k])
            if change <= low[k] or change > high[k]:
                c, first = numbers[k], shares[0] * (before[cell] - start[k])
                per_change = warming[cell] / inverse_C[cell] if kind == 0 else 1.0
                u_first, u_last = u[cell] + first / per_change, u[cell] + change / per_change
                if _note(c, u_first, u_last, times, watched):
                    watched.gradients[c] = _gradient(
                        cell, shares[1], turn.T, arrays.T, watched.x, watched.y, watched.is_metal
                    )
                _set_bounds(k, u[cell], per_change, c, watched, near)


@njit(cache=True, inline="always")
def note_all(share, times, arrays, turn, watched):
    """Note pending cells that cooled past a threshold in a whole step, or warmed up to it.

    One that had passed all thresholds before the step, and melts and freezes again, is as good as
    solid.
    """
    cells, pending, thresholds = watched.cells, watched.pending, watched.thresholds
    u, T_start, T, D = arrays.u.ravel(), arrays.T.ravel(), turn.T.ravel(), turn.D.ravel()
    warming, inverse_C, passed = arrays.warming.ravel(), arrays.inverse_C.ravel(), watched.passed
    for k in range(pending[-1]):
        c = pending[k]
        cell, n = cells[c], passed[c]
        change, warms = share * D[cell], warming[cell]
        if warms > 0.0:
            change = share * (T[cell] - T_start[cell]) * inverse_C[cell] / warms
        end = u[cell] + change
        if (n < thresholds.size and end <= thresholds[n]) or (n > 0 and end > thresholds[n - 1]):
            if _note(c, u[cell], end, times, watched):
                watched.gradients[c] = _gradient(
                    cell, share, turn.T, arrays.T, watched.x, watched.y, watched.is_metal
                )


@njit(cache=True, nogil=True)
def run_stages(
    start, length, coefficients, arrays, Gx, Gy, columns, active, bends, near, T0, dT, floor,
    watched, samples,
):  # fmt: skip
    """All stages of one step; samples (stages, np) [K] are taken. Gives the heat of the ring, [J].

    T, T_new and T_last must all hold the ring's temperatures, D_last zeros, as in the end. The
    number of stages is odd, so that the newest D and T end in D and T_new, as P. No array is
    returned: an interrupt that comes while numba builds a NamedTuple for Python is a segmentation
    fault.
    """
    c, nx, outside, outside_last = coefficients, watched.x.size, 0.0, 0.0
    find_bends(length, nx, arrays, bends)
    list_near(length, arrays, floor, watched, near)
    columns.D_last[:] = 0.0
    for k in range(active):
        for p in range(columns.inflow.size):
            columns.T_start[k, p] = columns.T[k, p]
    turn = Turn(arrays.D_last, arrays.D, arrays.T, arrays.T_new)
    layers = Turn(columns.D_last, columns.D, columns.T, columns.T_last)
    flat_start = arrays.T.ravel()
    for s in range(1, c.mu.size):
        rate, mu, nu, share = length * c.rate[s], c.mu[s], c.nu[s], c.share[s]
        gain = next_stage(
            rate, mu, nu, share, nx, arrays, turn, Gx, Gy, columns, bends, layers.T, T0, dT
        )
        next_stage_of_layers(rate, mu, nu, share, columns, layers, active, T0, dT)
        outside, outside_last = mu * outside + nu * outside_last + rate * gain, outside
        if s == 1:
            for j in range(turn.T.shape[0]):
                for i in range(turn.T.shape[1]):
                    arrays.T_last[j, i] = turn.T[j, i]
            turn = Turn(turn.D_new, turn.D, turn.T_new, arrays.T_last)
        else:
            turn = Turn(turn.D_new, turn.D, turn.T_new, turn.T)
        layers = Turn(layers.D_new, layers.D, layers.T_new, layers.T)
        shares = c.share[s - 1], share
        times = start + length * c.time[s - 1], start + length * c.time[s]
        note_near(shares, times, arrays, turn, watched, near)
        flat_T = turn.T.ravel()
        for p in range(watched.samples.size):
            cell = watched.samples[p]
            samples[s - 1, p] = flat_start[cell] + share * (flat_T[cell] - flat_start[cell])
    turn.D_new[:] = 0.0
    note_all(c.share[-1], (start, start + length), arrays, turn, watched)
    return outside * c.share[-1]
