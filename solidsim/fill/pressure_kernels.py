"""Kernels of the pressure that keeps the volume of metal, on metal cells only.

Unknowns are the n metal cells in reading order, found among the cells ``near`` metal, then the
closed pockets of air. West and south neighbors couple by w and s >= 0 [m3/(s Pa)], a pocket to a
cell of its surface by a link; D is the diagonal. Scaled by the square root of its own diagonal the
factor of the preconditioner is I + L, so that a step of conjugate gradients needs no product with
the matrix.

References
----------
Gustafsson (1978), BIT 18:142: the modified incomplete factor. Eisenstat (1981), SIAM J. Sci.
Stat. Comput. 2:1: the step without a product.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


class System(NamedTuple):
    """Room for the equations of m cells and pockets; few arrays, for each costs time to pass.

    cells (3, m): flat index of the cell, number of its south and north neighbor, its own where
    there is none. values (12, m): w, s, e (s of the north neighbor), D, right side, x, sum of the
    couplings to later unknowns, residual, direction, two of work and the scale. ends (2, 4 m) and
    link (4 m,): the cell and the pocket of each link, and its coupling.
    """

    cells: Indices
    values: Array
    ends: Indices
    link: Array


@njit(cache=True, nogil=True, error_model="numpy")
def assemble(
    kind, owner, unknown, F, V, Ax, Ay, cx, cy, u, v, mouths, source, soft, p, pocket_D, pocket_rhs,
    pocket_p, ease, most, suction, compressibility, air, dt, nx, near, number, system,
):  # fmt: skip
    """Set up the equations; number of cells and of links, and the volume of the cells.

    source [m3/s] and soft [m3/(s Pa)] of cells of mouths: what comes in is source - soft p. unknown
    numbers the closed pockets from 0 on, by owner, -1 for open air, whose pressure is zero; they
    have a D and a right side of their own beside what metal adds.

    A cell that is too full, or has a void within metal whose p is above ``suction``, is put
    right: by the share ``ease`` of it, at the most by ``most`` of the cell in dt. Metal is
    compressible [1/Pa], and voids in it are as air at its pressure over ``air``.
    """
    cell, south, north = system.cells[0], system.cells[1], system.cells[2]
    w, s, D, rhs = system.values[0], system.values[1], system.values[3], system.values[4]
    x, later = system.values[5], system.values[6]
    link_cell, link_pocket, link = system.ends[0], system.ends[1], system.link
    n, links, volume, per_dt = 0, 0, 0.0, 1.0 / dt
    one, nx = np.uint64(1), np.uint64(nx)
    adds, brings = system.values[8], system.values[9]
    for o in range(pocket_D.size):
        adds[o], brings[o] = pocket_D[o], pocket_rhs[o]
    for k in near:
        number[k] = -1
        if kind[k] != 2:
            continue
        total = cx[k] + cx[k + one] + cy[k] + cy[k + nx]
        if total == 0.0:
            continue
        e, up = k + one, k + nx
        stored = V[k] * compressibility * per_dt
        if owner[k] == 0 and F[k] < 1.0:
            stored += V[k] * (1.0 - F[k]) / (air + max(p[k], 0.0)) * per_dt
        number[k], cell[n] = n, k
        volume += V[k]
        D[n] = total + stored
        right = stored * p[k]
        if F[k] > 1.0 or (owner[k] == 0 and p[k] > suction):
            right += V[k] * per_dt * min(max(ease * (F[k] - 1.0), -most), most)
        rhs[n] = right + u[k] * Ax[k] - u[e] * Ax[e] + v[k] * Ay[k] - v[up] * Ay[up]
        x[n], south[n], north[n] = p[k], n, n
        w[n] = cx[k] if kind[k - one] == 2 else 0.0
        s[n] = 0.0
        if kind[k - nx] == 2 and cy[k] > 0.0:
            s[n], south[n] = cy[k], number[k - nx]
            north[south[n]] = n
        later[n] = (cx[e] if kind[e] == 2 else 0.0) + (cy[up] if kind[up] == 2 else 0.0)
        if owner[k] > 0:
            for o, c, flow in (
                (k - one, cx[k], -u[k] * Ax[k]),
                (e, cx[e], u[e] * Ax[e]),
                (k - nx, cy[k], -v[k] * Ay[k]),
                (up, cy[up], v[up] * Ay[up]),
            ):
                if kind[o] == 1 and c > 0.0 and unknown[owner[o]] >= 0:
                    row = unknown[owner[o]]
                    link_cell[links], link_pocket[links], link[links] = n, row, c
                    links += 1
                    later[n] += c
                    adds[row] += c
                    brings[row] += flow
        n += 1
    for m in range(mouths.size):
        i = number[mouths[m]]
        if kind[mouths[m]] == 2 and i >= 0:
            D[i] += soft[m]
            rhs[i] += source[m]
    for o in range(pocket_D.size):
        D[n + o], rhs[n + o], x[n + o] = adds[o], brings[o], pocket_p[o]
    for c in range(links):
        link_pocket[c] += n
    return n, links, volume


@njit(cache=True, nogil=True, error_model="numpy")
def factor(n, pockets, links, share, system):
    """Scale the couplings by the factor's diagonal; z keeps what is left of the diagonal.

    ``share`` of what the factor leaves out goes to its diagonal.
    """
    south, w, s, e = system.cells[1], system.values[0], system.values[1], system.values[2]
    D = system.values[3]
    later, z, scale = system.values[6], system.values[10], system.values[11]
    link_cell, link_pocket, link = system.ends[0], system.ends[1], system.link
    for i in range(n):  # scale is one over the factor's diagonal, until its root is taken
        d = D[i]
        if w[i] > 0.0:
            d -= w[i] * scale[i - 1] * (w[i] + share * (later[i - 1] - w[i]))
        if s[i] > 0.0:
            d -= s[i] * scale[south[i]] * (s[i] + share * (later[south[i]] - s[i]))
        scale[i] = 1.0 / (d if d > 0.1 * D[i] else D[i])
    for row in range(n, n + pockets):
        scale[row] = D[row]
    for c in range(links):
        i, row = link_cell[c], link_pocket[c]
        scale[row] -= link[c] * scale[i] * (link[c] + share * (later[i] - link[c]))
    for row in range(n, n + pockets):
        d = scale[row]
        scale[row] = 1.0 / (d if d > 0.01 * D[row] else D[row])
    for i in range(n + pockets):
        scale[i] = math.sqrt(scale[i])
    for i in range(n):
        w[i] *= scale[i] * scale[i - 1]
        s[i] *= scale[i] * scale[south[i]]
        e[i] = 0.0
    for i in range(n):
        if south[i] != i:
            e[south[i]] = s[i]
    for c in range(links):
        link[c] *= scale[link_cell[c]] * scale[link_pocket[c]]
    for i in range(n + pockets):
        z[i] = D[i] * scale[i] * scale[i] - 2.0


@njit(cache=True, nogil=True, fastmath={"contract"})
def solve(n, pockets, links, goal, most, system):
    """Conjugate gradients from x to r' r <= goal, r the residual before the factor; iterations.

    r' r is the energy of the velocities' error over their step: rho sum(V du^2) / dt, [W].
    Contracted arithmetic: 5.7 ns a cell and iteration measured, 7.5 ns without.
    """
    south, north = system.cells[1], system.cells[2]
    w, s, e, rhs = system.values[0], system.values[1], system.values[2], system.values[4]
    x, q, r, p = system.values[5], system.values[6], system.values[7], system.values[8]
    t, z, scale = system.values[9], system.values[10], system.values[11]
    link_cell, link_pocket, link = system.ends[0], system.ends[1], system.link
    m = n + pockets
    w[n] = 0.0
    for i in range(m):
        x[i] /= scale[i]
        p[i] = 0.0
    for i in range(n):  # r = b - A x
        r[i] = rhs[i] * scale[i] - (z[i] + 2.0) * x[i] + s[i] * x[south[i]] + e[i] * x[north[i]]
        r[i] += (w[i] * x[i - 1] if i > 0 else 0.0) + (w[i + 1] * x[i + 1] if i < n - 1 else 0.0)
    for i in range(n, m):
        r[i] = rhs[i] * scale[i] - (z[i] + 2.0) * x[i]
    for c in range(links):
        r[link_cell[c]] += link[c] * x[link_pocket[c]]
        r[link_pocket[c]] += link[c] * x[link_cell[c]]
    last = 0.0
    for i in range(n):
        last = r[i] = r[i] + w[i] * last + s[i] * r[south[i]]
    for c in range(links):
        r[link_pocket[c]] += link[c] * r[link_cell[c]]
    rr = 0.0
    for i in range(m):
        rr += r[i] * r[i]
    turns, beta = 0, 0.0
    while rr > goal and turns < most:
        for i in range(m):
            p[i] = r[i] + beta * p[i]
            t[i] = p[i]
        for c in range(links):
            t[link_cell[c]] += link[c] * t[link_pocket[c]]
        last, coupling = 0.0, 0.0
        for i in range(n - 1, -1, -1):
            last = t[i] + e[i] * t[north[i]] + coupling * last
            t[i] = last
            coupling = w[i]
        last = 0.0
        pq = 0.0
        for i in range(n):
            base = p[i] + z[i] * t[i] + s[i] * q[south[i]]
            last = base + w[i] * last
            q[i] = last
            pq += p[i] * (t[i] + last)
        for i in range(n, m):
            q[i] = p[i] + z[i] * t[i]
        for c in range(links):
            q[link_pocket[c]] += link[c] * q[link_cell[c]]
        for i in range(n, m):
            pq += p[i] * (t[i] + q[i])
        alpha = rr / pq
        new = 0.0
        for i in range(m):
            x[i] += alpha * t[i]
            r[i] -= alpha * (t[i] + q[i])
            new += r[i] * r[i]
        beta = new / rr
        rr = new
        turns += 1
    for i in range(m):
        x[i] *= scale[i]
    return turns, rr


@njit(cache=True, nogil=True, error_model="numpy")
def press(
    kind, owner, unknown, Ax, Ay, cx, cy, number, n, nx, cells, near, system, p, u, v,
    pocket_p,
):  # fmt: skip
    """Write the pressures of cells and pockets, and let them act on the faces."""
    x = system.values[5]
    for o in range(pocket_p.size):
        pocket_p[o] = x[n + o]
    for k in cells:
        if kind[k] == 2:
            if number[k] >= 0:
                p[k] = x[number[k]]
        elif kind[k] == 1:
            o = unknown[owner[k]]
            p[k] = x[n + o] if o >= 0 else 0.0
        else:
            p[k] = 0.0
    one, nx = np.uint64(1), np.uint64(nx)
    for k in near:
        if cx[k] > 0.0:
            u[k] += cx[k] / Ax[k] * (p[k - one] - p[k])
        if cy[k] > 0.0:
            v[k] += cy[k] / Ay[k] * (p[k - nx] - p[k])
