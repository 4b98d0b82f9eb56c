"""Kernels of the rising fill: how far each bit of metal has come, and the heat it brings along.

Cells in reading order, flat; nx wide. h volumetric enthalpy [J/m3], V volume [m3], F volume that
passes through a cell in a step [m3], d number of cells from the nearest mouth.
"""

import math

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def spread(passable, mouths, nx, d, order):
    """Number of cells from the nearest mouth (n,), -1 where none leads; the count reached.

    order (n,) takes the reached cells by rising distance.
    """
    d[:] = -1
    count = 0
    for m in mouths:
        if m >= 0 and passable[m] and d[m] < 0:
            d[m] = 0
            order[count] = m
            count += 1
    n, head = d.size, 0
    while head < count:
        c = order[head]
        head += 1
        for k in range(4):
            o = _neighbor(c, k, nx, n)
            if o >= 0 and passable[o] and d[o] < 0:
                d[o] = d[c] + 1
                order[count] = o
                count += 1
    return count


@njit(cache=True, inline="always")
def _neighbor(c, k, nx, n):
    """Flat index of a neighbor: west, east, below, above; -1 off the grid."""
    if k == 0:
        return c - 1 if c % nx > 0 else -1
    if k == 1:
        return c + 1 if c % nx < nx - 1 else -1
    if k == 2:
        return c - nx if c >= nx else -1
    return c + nx if c + nx < n else -1


@njit(cache=True, nogil=True)
def carry(
    order, count, potential, across_x, across_y, nx, wanted, parts, h_in, held, h, F, entering
):
    """Let the metal for the new cells pass from the mouths, mixing in every cell on its way.

    order holds the reached cells by falling potential (n + nx,), minus endless in all others; a
    cell draws on each neighbor of higher potential by the difference times the conductance of
    their face, across_x (n + 1,) to the west and across_y (n + nx,) to the south. wanted (n,) is
    the volume that each takes for good, held (n,) what it holds before and after [m3]. The metal
    comes in so many equal parts, each mixed implicitly, h = (held h + F h_upstream) / (held + F):
    the fewer they are, the further heat runs ahead of the metal. Where nothing leads, at a mouth,
    metal enters with h_in (n,). Gives F, and entering (n,), what of it enters.
    """
    share = np.zeros((count, 4))
    F[:] = 0.0
    entering[:] = 0.0
    for s in range(count - 1, -1, -1):
        c = order[s]
        F[c] += wanted[c]
        total = 0.0
        for k, o, across in (
            (0, c - 1, across_x[c]),
            (1, c + 1, across_x[c + 1]),
            (2, c - nx, across_y[c]),
            (3, c + nx, across_y[c + nx]),
        ):
            if across > 0.0 and -math.inf < potential[c] < potential[o]:
                share[s, k] = across * (potential[o] - potential[c])
                total += share[s, k]
        if total == 0.0:
            entering[c] = F[c]
            continue
        for k, o in ((0, c - 1), (1, c + 1), (2, c - nx), (3, c + nx)):
            if share[s, k] > 0.0:
                share[s, k] /= total
                F[o] += F[c] * share[s, k]
    for _ in range(parts):
        for s in range(count):
            c = order[s]
            if F[c] <= 0.0:
                continue
            h_up = h_in[c] if entering[c] > 0.0 else 0.0
            for k, o in ((0, c - 1), (1, c + 1), (2, c - nx), (3, c + nx)):
                if share[s, k] > 0.0:
                    h_up += share[s, k] * h[o]
            comes = F[c] / parts
            h[c] = (held[c] * h[c] + comes * h_up) / (held[c] + comes)
            held[c] += wanted[c] / parts
