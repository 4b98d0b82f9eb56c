"""Kernels for the momentum of metal on faces, one component at a time.

Arrays are flat over a window with a ring of closed cells. q is the component along the stride a,
on the face between cells k - a and k; w the other one, along the stride b. kind 0 closed, 1 air,
2 metal. known: whether a face has a velocity: 0 none, 1 under pressure, 2 falling freely, 3 taken
from its neighbors.
"""

import math

from numba import njit


@njit(cache=True, inline="always", error_model="numpy")
def _limited(one, two):
    """Van Leer's mean of two slopes; zero where they differ in sign."""
    return 2.0 * one * two / (one + two) if one * two > 0.0 else 0.0


@njit(cache=True, inline="always", error_model="numpy")
def _carried(speed, far, behind, here, ahead, h, dt):
    """Change of a velocity that a stream carries by, of second order where it is smooth, [m/s2].

    far, behind, here, ahead are seen along the stream; speed is not below zero.
    """
    half = 0.5 * max(1.0 - speed * dt / h, 0.0)
    out = here + half * _limited(here - behind, ahead - here)
    come = behind + half * _limited(behind - far, here - behind)
    return -speed * (out - come) / h


@njit(cache=True, nogil=True, error_model="numpy")
def predict(
    q, w, known, known_w, A, kind, F, ha, hb, mix2, depth, mush, viscosity, density, gravity, dt,
    slip, a, b, q_new, known_new, c,
):  # fmt: skip
    """Velocity before pressure acts, and c: the flow through a face for a pascal, [m3/(s Pa)].

    ha, hb cell widths along and across [m]; mix2 squared mixing length [m2]; depth [m] between
    walls out of the page; mush [1/s] deceleration over velocity, implicit. At the surface air
    presses where the metal ends, found from the metal of four cells in line.

    Notes
    -----
    Shear on the walls out of the page: the greater of 12 nu u / b^2, a plane channel, and
    f u^2 / (4 b) with Blasius' f = 0.316 Re^-1/4 over Re = 2 b u / nu. On walls beside, at half a
    cell y: the greater of nu u / y and 0.0225 u^2 (nu / (u y))^1/4 (Prandtl's law of the seventh
    root, 1921). Turbulence within: nu_t = l^2 |S|, kept stable by nu_t <= 0.2 h^2 / dt.
    """
    for k in range(a + b, q.size - a - b):
        known_new[k] = 0
        c[k] = 0.0
        q_new[k] = 0.0
        m = k - a
        if A[k] == 0.0:
            if q[k] != 0.0:
                q_new[k] = q[k]  # a mouth
            continue
        wet = kind[m] == 2 or kind[k] == 2
        if not wet and F[m] + F[k] < 1e-6:
            continue
        u = q[k]
        us = u if A[m] > 0.0 and known[m] == 0 else q[m]
        un = u if A[k + a] > 0.0 and known[k + a] == 0 else q[k + a]
        h1, h2 = 0.5 * (ha[m] + ha[k]), hb[k]
        if u > 0.0:
            far = us if A[m] == 0.0 or (known[m - a] == 0 and A[m - a] > 0.0) else q[m - a]
            rate = _carried(u, far, us, u, un, h1, dt)
        else:
            e = k + a
            far = un if A[e] == 0.0 or (known[e + a] == 0 and A[e + a] > 0.0) else q[e + a]
            rate = _carried(-u, far, un, u, us, h1, dt)
        wall_s, wall_n = A[k - b] == 0.0, A[k + b] == 0.0
        vs = u if wall_s or known[k - b] == 0 else q[k - b]
        vn = u if wall_n or known[k + b] == 0 else q[k + b]
        v = 0.25 * (w[m] + w[m + b] + w[k] + w[k + b])
        if v > 0.0:
            far = vs
            if not wall_s and A[k - 2 * b] > 0.0 and known[k - 2 * b] > 0:
                far = q[k - 2 * b]
            rate += _carried(v, far, vs, u, vn, h2, dt)
        elif v < 0.0:
            far = vn
            if not wall_n and A[k + 2 * b] > 0.0 and known[k + 2 * b] > 0:
                far = q[k + 2 * b]
            rate += _carried(-v, far, vn, u, vs, h2, dt)
        ds = h2 if wall_s else 0.5 * (h2 + hb[k - b])
        dn = h2 if wall_n else 0.5 * (h2 + hb[k + b])
        along, across = (un - us) / (ha[m] + ha[k]), (vn - vs) / (ds + dn)
        turned = 0.5 * (w[k] + w[k + b] - w[m] - w[m + b]) / h1
        strain = math.sqrt(4.0 * along * along + (across + turned) ** 2)
        low = min(h1, h2)
        nu = viscosity + min(0.5 * (mix2[m] + mix2[k]) * strain, 0.2 * low * low / dt)
        rate += nu * ((un - u) / ha[k] - (u - us) / ha[m]) / h1
        rate += nu * ((vn - u) / dn - (u - vs) / ds) / h2
        gap = min(depth[m], depth[k])
        speed = math.sqrt(u * u + v * v)
        drag = 12.0 * viscosity / (gap * gap)
        if speed > 0.0:
            Re = 2.0 * gap * speed / viscosity
            drag = max(drag, 0.316 / math.sqrt(math.sqrt(Re)) * speed / (4.0 * gap))
        if (wall_s or wall_n) and not slip:
            wall = 2.0 * viscosity / h2
            if u != 0.0:
                Re = 0.5 * h2 * abs(u) / viscosity
                wall = max(wall, 0.0225 * abs(u) / math.sqrt(math.sqrt(Re)))
            drag += (2.0 if wall_s and wall_n else 1.0) * wall / h2
        beta = 1.0 / (1.0 + dt * (drag + 0.5 * (mush[m] + mush[k])))
        q_new[k] = (u + dt * (rate + gravity)) * beta
        known_new[k] = 2
        if wet:
            known_new[k] = 1
            distance = h1
            if kind[m] == 1:
                distance *= _reach(F, kind, k, m, a)
            elif kind[k] == 1:
                distance *= _reach(F, kind, m, k, -a)
            c[k] = A[k] * beta * dt / (density * distance)


@njit(cache=True, inline="always", error_model="numpy")
def _reach(F, kind, metal, air, inward):
    """Way from the middle of a metal cell to the surface, as a share of that to the air cell."""
    behind = F[metal + inward] if kind[metal + inward] == 2 else 1.0
    beyond = F[air - inward] if kind[air - inward] == 1 else 0.0
    return min(max(behind + F[metal] + F[air] + beyond - 1.5, 0.001), 1.0)


@njit(cache=True, nogil=True, error_model="numpy")
def extend(q, A, kind, known, a, b):
    """Give faces in the air next to metal, two deep, the mean velocity of their neighbors."""
    near = 1
    for layer in (3, 4):
        for k in range(a + b, q.size - a - b):
            if A[k] == 0.0 or known[k] == 1 or known[k] == 3:
                continue
            total, found = 0.0, 0
            for o in (k - a, k + a, k - b, k + b):
                if known[o] == near:
                    total += q[o]
                    found += 1
            if found > 0:
                q[k] = total / found
                known[k] = layer
        near = 3


@njit(cache=True, nogil=True, error_model="numpy")
def largest_share(M, u, v, Ax, Ay, V, source, nx):
    """Largest share of a cell's volume that passes its faces in a second, where metal is, [1/s]."""
    most = 0.0
    for k in range(nx, M.size - nx):
        if M[k] > 0.0:
            x = max(abs(u[k]) * Ax[k], abs(u[k + 1]) * Ax[k + 1])
            y = max(abs(v[k]) * Ay[k], abs(v[k + nx]) * Ay[k + nx])
            most = max(most, (x + y) / V[k])
        if source[k] > 0.0:
            most = max(most, source[k] / V[k])
    return most


@njit(cache=True, nogil=True, error_model="numpy")
def watch_surface(kind, owner, F, u, v, nx, dt, time, arrival, exposure):
    """Add up exposure, note arrival; fastest speed of a surface cell [m/s] and its cell.

    A cell of metal is at the surface where air adjoins it.
    """
    fastest, place = 0.0, -1
    for k in range(nx, F.size - nx):
        if F[k] <= 0.0:
            continue
        if F[k] >= 0.5 and math.isnan(arrival[k]):
            arrival[k] = time
        if kind[k] == 2 and owner[k] > 0:
            exposure[k] += dt
            x, y = 0.5 * (u[k] + u[k + 1]), 0.5 * (v[k] + v[k + nx])
            speed = x * x + y * y
            if speed > fastest:
                fastest, place = speed, k
    return math.sqrt(fastest), place
