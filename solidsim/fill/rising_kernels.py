"""Kernels of the rising fill: how far each bit of metal has come, and the heat it brings along.

Cells in reading order, flat; nx wide. h volumetric enthalpy [J/m3], V volume [m3], F volume that
passes through a cell in a step [m3], d number of cells from the nearest mouth.
"""

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
def carry(d, order, count, wanted, parts, h_in, nx, held, h, F, at_mouth):
    """Let the metal for the new cells pass from the mouths, mixing in every cell on its way.

    wanted (n,) is the volume that each reached cell takes for good, held (n,) what it holds before
    and after [m3]; a cell draws evenly on all neighbors one nearer the mouth. The metal comes in
    so many equal parts, each mixed implicitly, h = (held h + F h_upstream) / (held + F): the fewer
    they are, the further heat runs ahead of the metal. h_in (n,) enthalpy that enters at mouth
    cells. Gives F and, in at_mouth (n,), what enters at each mouth cell.
    """
    n = d.size
    F[:] = 0.0
    at_mouth[:] = 0.0
    for s in range(count - 1, -1, -1):
        c = order[s]
        F[c] += wanted[c]
        if d[c] == 0:
            at_mouth[c] = F[c]
            continue
        nearer = 0
        for k in range(4):
            o = _neighbor(c, k, nx, n)
            if o >= 0 and d[o] == d[c] - 1:
                nearer += 1
        for k in range(4):
            o = _neighbor(c, k, nx, n)
            if o >= 0 and d[o] == d[c] - 1:
                F[o] += F[c] / nearer
    for _ in range(parts):
        for s in range(count):
            c = order[s]
            if F[c] <= 0.0:
                continue
            h_up, nearer = 0.0, 0
            if d[c] == 0:
                h_up, nearer = h_in[c], 1
            else:
                for k in range(4):
                    o = _neighbor(c, k, nx, n)
                    if o >= 0 and d[o] == d[c] - 1:
                        h_up += h[o]
                        nearer += 1
            h_up /= nearer
            comes = F[c] / parts
            h[c] = (held[c] * h[c] + comes * h_up) / (held[c] + comes)
            held[c] += wanted[c] / parts
