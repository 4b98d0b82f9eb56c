"""Kernels of a step's end: how much has changed, and the change that becomes the state.

Symbols and arrays as in ``conduction_kernels``.
"""

import math

import numpy as np
from numba import njit


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
def largest_change(share, arrays, columns, active, scales, T0, dT):
    """Largest change of a step, [1]; and the farthest that T(u) was off its line, [K].

    share is that of the last stage. The change is that of u in the metal, elsewhere that of
    temperature: sand that dries at one temperature may take up what it likes.
    """
    T, T_new, D, material, line = arrays.T, arrays.T_new, arrays.D, arrays.material, arrays.line
    u, inverse_C, warming = arrays.u, arrays.inverse_C, arrays.warming
    worst, off, last = 0.0, 0.0, np.uint64(T0.size - 1)
    metal, of_metal, span, _ = scales
    for j in range(1, D.shape[0] - 1):
        for i in range(1, D.shape[1] - 1):
            change, warms = share * abs(T_new[j, i] - T[j, i]), warming[j, i]
            if material[j, i] == metal:
                way = change * inverse_C[j, i] / warms if warms > 0.0 else share * abs(D[j, i])
                worst = max(worst, way / of_metal)
            else:
                worst = max(worst, change / span)
            if change > line[j, i] and warms > 0.0:
                change = share * (T_new[j, i] - T[j, i])
                v = u[j, i] + change * inverse_C[j, i] / warms
                n = _segment(v, last)
                off = max(off, abs(T0[n] + v * dT[n] - T[j, i] - change))
    T, T_new = columns.T_start, columns.T_last
    for k in range(active):
        for p in range(T.shape[1]):
            worst = max(worst, share * abs(T_new[k, p] - T[k, p]) / span)
    return worst, off


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
        down = now - thresholds[n] if n < thresholds.size else math.inf
        watched.room[c] = min(down, thresholds[n - 1] - now) if n > 0 else down
        if n < thresholds.size:
            watched.pending[count] = c
            count += 1
    watched.pending[-1] = count


@njit(cache=True, nogil=True, fastmath={"reassoc"}, error_model="numpy")
def accept(
    share, arrays, columns, active, scales, T0, dT, most, farthest, group, column_group, watched,
    out,
):  # fmt: skip
    """Make the newest change the state, if it is not above ``most`` nor ``farthest`` off its line.

    Gives both, see ``largest_change``; T_new then is the temperature. out (4,) takes the heat [J]
    of metal, elsewhere, outside without the ring, and all that the columns took up. Sums may be
    taken in any order: as vectors they were measured to take half of the time.
    """
    change, off = largest_change(share, arrays, columns, active, scales, T0, dT)
    if not (change <= most and off <= farthest):
        return change, off
    metal, elsewhere, outside = 0.0, 0.0, 0.0
    u, D, inverse_C, warming = arrays.u, arrays.D, arrays.inverse_C, arrays.warming
    T, T_new = arrays.T, arrays.T_new
    for j in range(D.shape[0]):
        for i in range(D.shape[1]):
            straight = warming[j, i] > 0.0
            per_joule = warming[j, i] if straight else inverse_C[j, i]
            warmed = share * (T_new[j, i] - T[j, i])
            T_new[j, i] = T[j, i] + warmed
            heat = (warmed if straight else share * D[j, i]) / per_joule
            u[j, i] += heat * inverse_C[j, i]
            metal += heat if group[j, i] == 0 else 0.0
            elsewhere += heat if group[j, i] == 1 else 0.0
            outside += heat if group[j, i] == 2 else 0.0
    layer_u, D, inverse_C = columns.u, columns.D, columns.inverse_C
    T, T_new, taken = columns.T_start, columns.T_last, 0.0
    for k in range(active):
        for p in range(layer_u.shape[1]):
            T_new[k, p] = T[k, p] + share * (T_new[k, p] - T[k, p])
            layer_u[k, p] += share * D[k, p]
            heat = share * D[k, p] / inverse_C[k, p]
            taken += heat
            elsewhere += heat if column_group[k, p] == 1 else 0.0
            outside += heat if column_group[k, p] == 2 else 0.0
    out[0], out[1], out[2], out[3] = metal, elsewhere, outside, taken
    forget_passed(u, watched)
    return change, off
