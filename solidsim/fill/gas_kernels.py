"""Kernels that find the pockets of air in a cavity.

Arrays are flat over a window with a ring of closed cells, nx wide; ``cells`` are all that can be
open. kind 0 closed, 1 air, 2 metal.
"""

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def _root(into, label):
    """The label that stands for all that are joined with this one."""
    while into[label] != label:
        into[label] = into[into[label]]
        label = into[label]
    return label


@njit(cache=True, nogil=True)
def find_pockets(F, passable, Ax, Ay, nx, cells, openings, kind, owner, into, is_open):
    """Kind of each cell, and the pocket that its air belongs to, from 1 on.

    Cells with metal to half or more count as metal; those at a surface belong to the first pocket
    beside them, too. Air gets the label of the air left of or below it; where two labels meet,
    ``into`` joins the later one to the other. A pocket is open that reaches one of the openings;
    number 0, which is none, is. Gives the number of pockets.
    """
    one, nx = np.uint64(1), np.uint64(nx)
    labels = 0
    for n in range(cells.size):
        k = cells[n]
        owner[k] = 0
        kind[k] = 0 if not passable[k] else (2 if F[k] >= 0.5 else 1)
        if kind[k] != 1:
            continue
        west = owner[k - one] if Ax[k] > 0.0 and kind[k - one] == 1 else 0
        south = owner[k - nx] if Ay[k] > 0.0 and kind[k - nx] == 1 else 0
        if west == 0 and south == 0:
            labels += 1
            into[labels] = owner[k] = labels
        elif west > 0 and south > 0 and west != south:
            west, south = _root(into, west), _root(into, south)
            owner[k] = min(west, south)
            into[max(west, south)] = owner[k]
        else:
            owner[k] = max(west, south)
    count = 0
    for label in range(1, labels + 1):
        if into[label] == label:
            count += 1
            into[label] = -count
        else:  # what it is joined to came before it
            into[label] = into[into[label]]
    for n in range(cells.size):
        k = cells[n]
        if kind[k] == 1:
            owner[k] = -into[owner[k]]
    for n in range(cells.size):
        k = cells[n]
        if kind[k] == 2:
            beside = count + 1
            if Ax[k] > 0.0 and kind[k - one] == 1:
                beside = min(beside, owner[k - one])
            if Ax[k + one] > 0.0 and kind[k + one] == 1:
                beside = min(beside, owner[k + one])
            if Ay[k] > 0.0 and kind[k - nx] == 1:
                beside = min(beside, owner[k - nx])
            if Ay[k + nx] > 0.0 and kind[k + nx] == 1:
                beside = min(beside, owner[k + nx])
            owner[k] = beside if beside <= count else 0
    for o in range(count + 1):
        is_open[o] = o == 0
    for k in openings:
        if kind[k] == 1:
            is_open[owner[k]] = True
    return count


@njit(cache=True, nogil=True)
def find_near(F, cells, rows, nx, mouths, reach, low, high, near):
    """List the cells that metal or a mouth is ``reach`` or fewer rows and columns from; how many.

    Between the first and the last metal of a row all of its cells count as near. rows (ny + 1,)
    is where each row begins in ``cells``; low and high (ny,) are room.
    """
    for j in range(low.size):
        west, east = rows[j], rows[j + 1] - 1
        while west <= east and F[cells[west]] == 0.0:
            west += 1
        while west <= east and F[cells[east]] == 0.0:
            east -= 1
        low[j], high[j] = nx + reach, -reach - 1
        if west <= east:
            low[j], high[j] = np.int64(cells[west]) - j * nx, np.int64(cells[east]) - j * nx
    for k in mouths:
        j, i = k // nx, k % nx
        low[j], high[j] = min(low[j], i), max(high[j], i)
    count = 0
    for j in range(low.size):
        west, east = nx, -1
        for o in range(max(j - reach, 0), min(j + reach + 1, low.size)):
            west, east = min(west, low[o] - reach), max(east, high[o] + reach)
        for n in range(rows[j], rows[j + 1]):
            i = np.int64(cells[n]) - j * nx
            if west <= i <= east:
                near[count] = cells[n]
                count += 1
    return count


@njit(cache=True, nogil=True, error_model="numpy")
def share_out_air(
    cells, owner, now_open, before, was_open, amount, F, V, p, air, least, most, leak, kept, now,
):  # fmt: skip
    """Amount of air, p V [J], its volume [m3] and its drain [m3/(s Pa)], by closed pocket.

    What a closed pocket held before is shared among those that have its cells now, by volume;
    cells that belonged to none or to open air bring theirs at their pressure p above ``air``.
    was_open, amount and kept by pockets before, now_open and ``now`` (3, pockets) by pockets now;
    kept and now are zero at first. ``least`` and ``most`` bound the pressure, over that of air.
    """
    held, volume, drain = now[0], now[1], now[2]
    for n in range(cells.size):
        k = cells[n]
        o, b = owner[k], before[k]
        if o > 0 and not (now_open[o] and was_open[b]):
            void = max(1.0 - F[k], 1e-9) * V[k]
            volume[o] += void
            drain[o] += leak[k]
            kept[b] += void
    for n in range(cells.size):
        k = cells[n]
        o, b = owner[k], before[k]
        if o > 0 and not now_open[o]:
            void = max(1.0 - F[k], 1e-9) * V[k]
            held[o] += (air + p[k] if was_open[b] else amount[b] / kept[b]) * void
    for o in range(held.size):
        held[o] = min(max(held[o], least * air * volume[o]), most * air * volume[o])


@njit(cache=True, nogil=True, error_model="numpy")
def let_out(closed, amount, volume, leak, p, dt):
    """Let air p V [J] of the closed pockets pass the sand in dt at their pressures p."""
    for n in range(closed.size):
        o = closed[n]
        out = dt * leak[o] * p[n] / volume[o]
        amount[o] *= 1.0 / (1.0 + out) if out > 0.0 else 1.0 - out
