"""Kernels that find the pockets of air in a cavity.

Arrays are flat over a window with a ring of closed cells, nx wide; ``cells`` are all that can be
open. kind 0 closed, 1 air, 2 metal.
"""

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def find_pockets(F, passable, Ax, Ay, nx, cells, kind, owner, stack):
    """Kind of each cell, and the pocket that its air belongs to, from 1 on.

    Cells with metal to half or more count as metal; those at a surface belong to a pocket, too.
    Gives the number of pockets, and the first and the last cell with any metal.
    """
    first, last = F.size, 0
    for n in range(cells.size):
        k = np.int64(cells[n])
        owner[k] = 0
        kind[k] = 0 if not passable[k] else (2 if F[k] >= 0.5 else 1)
        if F[k] > 0.0:
            first = min(first, k)
            last = k
    count = 0
    for n in range(cells.size):
        start = np.int64(cells[n])
        if kind[start] != 1 or owner[start] > 0:
            continue
        count += 1
        owner[start] = count
        stack[0] = start
        top = 1
        while top > 0:
            top -= 1
            k = stack[top]
            for o, area in (
                (k - 1, Ax[k]), (k + 1, Ax[k + 1]), (k - nx, Ay[k]), (k + nx, Ay[k + nx]),
            ):  # fmt: skip
                if area > 0.0 and owner[o] == 0:
                    if kind[o] == 1:
                        owner[o] = count
                        stack[top] = o
                        top += 1
                    elif kind[o] == 2:
                        owner[o] = count
    return count, first, last


@njit(cache=True, nogil=True)
def share_out_air(
    cells, owner, before, amount, F, V, p, air, leak, is_open, held, kept, volume, drain
):
    """Amount of air, p V [J], its volume [m3] and its drain [m3/(s Pa)], by pocket.

    What a closed pocket held before is shared among those that have its cells now, by volume;
    cells that belonged to none or to open air bring theirs at their pressure p above ``air``.
    amount and kept by pockets before, held, volume and drain by pockets now; all but amount are
    zero at first.
    """
    for n in range(cells.size):
        k = cells[n]
        if owner[k] > 0:
            void = max(1.0 - F[k], 1e-9) * V[k]
            volume[owner[k]] += void
            drain[owner[k]] += leak[k]
            kept[before[k]] += void
    for n in range(cells.size):
        k = cells[n]
        if owner[k] > 0:
            void = max(1.0 - F[k], 1e-9) * V[k]
            o = before[k]
            if o > 0 and not is_open[o]:
                held[owner[k]] += amount[o] * void / kept[o]
            else:
                held[owner[k]] += (air + p[k]) * void
