"""Kernels for the momentum of metal on faces, one component at a time.

Arrays are flat over a window with a ring of closed cells. q is the component along the stride a,
on the face between cells k - a and k; w the other one, along the stride b. kind 0 closed, 1 air,
2 metal. known: whether a face has a velocity: 0 none, 1 under pressure, 2 falling freely, 3 and
4 taken from its neighbors. Kernels look at ``cells``; their indices are
unsigned, so that none is asked if it is negative: 43 to 36 ns a face.
"""

import math

import numpy as np
from numba import njit


@njit(cache=True, error_model="numpy")
def _ahead(one, two, grows):
    """How far a value is from that of its cell's far side, and half a step later.

    Half the mean of the slopes before and behind, and what the value ``grows`` by; not past zero,
    nor past the lesser slope: zero where they differ in sign.
    """
    size = min(abs(one), abs(two)) if one * two > 0.0 else 0.0
    far = math.copysign(min(size, 0.25 * abs(one + two)), one) + grows
    return min(max(far, 0.0), size) if one > 0.0 else max(min(far, 0.0), -size)


@njit(cache=True, error_model="numpy")
def _carried(speed, far1, near1, here, near2, far2, grows1, grows, grows2, per_h):
    """Change of a velocity that a stream carries by, of second order where it is smooth, [m/s2].

    Values stand in line along positive speed, the second behind the first; per_h is one over
    their distance. The slopes are limited after van Leer (1977), J. Comput. Phys. 23:276. Half a
    step ahead is guessed from the change in the last step, not from the stream alone: what the
    stream takes from a steady jet the pressure gives back, whatever the step.
    """
    ahead = near2 if speed > 0.0 else near1
    behind = near1 if speed > 0.0 else near2
    far = far1 if speed > 0.0 else far2
    out = _ahead(here - behind, ahead - here, grows)
    come = _ahead(behind - far, here - behind, grows1 if speed > 0.0 else grows2)
    return -abs(speed) * per_h * (here + out - behind - come)


@njit(cache=True, error_model="numpy")
def _shear(square, quiet, fast):
    """The greater of ``quiet`` and ``fast`` times the speed to 3/4, from its square."""
    if fast == 0.0:
        return quiet
    root = math.sqrt(math.sqrt(square))
    return max(quiet, fast * root * math.sqrt(root))


@njit(cache=True, nogil=True)
def clear(cells, q, known, c, grows):
    """No velocity, no passing and no growth on the faces of ``cells``."""
    for k in cells:
        q[k] = c[k] = grows[k] = 0.0
        known[k] = 0


@njit(cache=True, nogil=True, error_model="numpy")
def resist(
    u, v, F, V, ix, iy, mix2, still, rough, nx, cells, eddy, shear
):  # fmt: skip
    """Eddy viscosity [m2/s] and shear on the walls out of the page [1/s] in cells with metal.

    ix, iy one over the size of a cell [1/m]; mix2 squared mixing length [m2]; still [1/s] and
    rough [m^-3/4 s^-1/4]: deceleration is the greater of still times speed and rough times its
    7/4. Eddies: nu_t = l^2 |S|, S the rate of strain at the middle of the cell. Beside a wall
    the metal goes as fast as in the cell.
    """
    one, nx = np.uint64(1), np.uint64(nx)
    for k in cells:
        eddy[k] = shear[k] = 0.0
        if F[k] <= 0.0:
            continue
        e, up, w, low = k + one, k + nx, k - one, k - nx
        x, y = u[k] + u[e], v[k] + v[up]  # twice the velocity
        north = u[up] + u[up + one] if V[up] > 0.0 else x
        south = u[low] + u[low + one] if V[low] > 0.0 else x
        east = v[e] + v[e + nx] if V[e] > 0.0 else y
        west = v[w] + v[w + nx] if V[w] > 0.0 else y
        turn = 0.25 * ((north - south) * iy[k] + (east - west) * ix[k])
        along, upward = (u[e] - u[k]) * ix[k], (v[up] - v[k]) * iy[k]
        eddy[k] = mix2[k] * math.sqrt(2.0 * (along * along + upward * upward) + turn * turn)
        shear[k] = _shear(0.25 * (x * x + y * y), still[k], rough[k])


@njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"})
def predict(
    q, w, known, known_w, grows, A, kind, F, ia, ja, ib, jb, eddy, shear, mush, viscosity, density,
    gravity, dt, slip, least, a, b, cells, q_new, known_new, c,
):  # fmt: skip
    """Velocity before pressure acts, and c: the flow through a face for a pascal, [m3/(s Pa)].

    grows [m/s] half the change of q in the last step; ia, ib one over the cell widths along and
    across, ja, jb over the distance of cell k from k - a and k - b [1/m]; eddy viscosity of each
    cell [m2/s]; shear on the walls out of the page and mush [1/s], deceleration over velocity,
    both implicit. At the surface air presses where the metal ends, found from the metal of four
    cells in line; nearer to the middle of a cell than ``least`` steps, air presses there with the
    weight of what is missing. q_new, known_new and c are zero at first.
    Contracted arithmetic: 3 % less time measured.

    Notes
    -----
    On walls beside, at half a cell y: the greater of nu u / y and 0.0225 u^2 (nu / (u y))^1/4
    (Prandtl's law of the seventh root, 1921). Eddies are kept stable by nu_t <= 0.1 h^2 / dt.
    """
    at_most = 0.1 / dt
    a, b = np.uint64(a), np.uint64(b)
    for k in cells:
        m = k - a
        if A[k] == 0.0:
            if q[k] != 0.0:  # a mouth
                q_new[k], known_new[k] = q[k], 1
            continue
        wet = kind[m] == 2 or kind[k] == 2
        if not wet and F[m] + F[k] < 1e-6:
            continue
        e, south, north = k + a, k - b, k + b
        u = q[k]
        us = u if A[m] > 0.0 and known[m] == 0 else q[m]
        un = u if A[e] > 0.0 and known[e] == 0 else q[e]
        far1 = us if A[m] == 0.0 or (known[m - a] == 0 and A[m - a] > 0.0) else q[m - a]
        far2 = un if A[e] == 0.0 or (known[e + a] == 0 and A[e + a] > 0.0) else q[e + a]
        rate = _carried(u, far1, us, u, un, far2, grows[m], grows[k], grows[e], ja[k])
        wall_s, wall_n = A[south] == 0.0, A[north] == 0.0
        vs = u if wall_s or known[south] == 0 else q[south]
        vn = u if wall_n or known[north] == 0 else q[north]
        far1 = vs if wall_s or A[south - b] == 0.0 or known[south - b] == 0 else q[south - b]
        far2 = vn if wall_n or A[north + b] == 0.0 or known[north + b] == 0 else q[north + b]
        v = 0.25 * (w[m] + w[m + b] + w[k] + w[k + b])
        rate += _carried(v, far1, vs, u, vn, far2, grows[south], grows[k], grows[north], ib[k])
        fine = max(ja[k], ib[k])
        nu = viscosity + min(0.5 * (eddy[m] + eddy[k]), at_most / (fine * fine))
        rate += nu * ((un - u) * ia[k] - (u - us) * ia[m]) * ja[k]
        rate += nu * ((vn - u) * jb[north] - (u - vs) * jb[k]) * ib[k]
        drag = 0.5 * (mush[m] + mush[k]) + max(shear[m], shear[k])
        if (wall_s or wall_n) and not slip:
            sticking = 2.0 * viscosity * ib[k]
            law = 0.0225 * math.sqrt(math.sqrt(sticking))
            drag += (2.0 if wall_s and wall_n else 1.0) * _shear(u * u, sticking, law) * ib[k]
        beta = 1.0 / (1.0 + dt * drag)
        known_new[k] = 2
        weight = 1.0
        if wet:
            known_new[k] = 1
            reach = 1.0
            if kind[m] == 1:
                reach = _reach(F, kind, k, m, a)
            elif kind[k] == 1:
                reach = _reach(F, kind, m, k, -a)
            weight = min(reach / least, 1.0)
            c[k] = A[k] * beta * dt * ja[k] / (density * max(reach, least))
        q_new[k] = (u + dt * (rate + weight * gravity)) * beta


@njit(cache=True, error_model="numpy")
def _reach(F, kind, metal, air, inward):
    """Way from the middle of a metal cell to the surface, as a share of that to the air cell.

    Where no metal lies behind or no air beyond, they are guessed from both cells: right for a
    surface that lies across, F_air = 0 or F_metal = 1, and along, F_air = F_metal.
    """
    M, G = F[metal], F[air]
    behind, beyond = metal + inward, air - inward
    more = F[behind] if kind[behind] == 2 else 1.0 - (1.0 - M) * G / M
    less = F[beyond] if kind[beyond] == 1 else G * (1.0 - M) / (1.0 - G)
    return min(max(more + M + G + less - 1.5, 0.0), 1.0)


@njit(cache=True, nogil=True, error_model="numpy")
def extend(q, A, known, before, known_before, a, b, cells, grows):
    """Give faces in the air next to metal, two deep, the mean velocity of their neighbors.

    grows: half of what a velocity under pressure has changed by since ``before``, zero for others.
    """
    near, count = 1, 0
    a, b = np.uint64(a), np.uint64(b)
    left = np.empty(cells.size, np.uint64)
    for k in cells:
        if known[k] == 1:
            grows[k] = 0.5 * (q[k] - before[k]) if known_before[k] == 1 else 0.0
        elif A[k] > 0.0:
            left[count] = k
            count += 1
    for layer in (3, 4):
        tried, count = count, 0
        for n in range(tried):
            k = left[n]
            total, found = 0.0, 0.0
            for o in (k - a, k + a, k - b, k + b):
                if known[o] == near:
                    total += q[o]
                    found += 1.0
            if found > 0.0:
                q[k] = total / found
                known[k] = layer
            else:
                left[count] = k
                count += 1
        near = 3


@njit(cache=True, nogil=True, error_model="numpy")
def watch_surface(kind, owner, F, u, v, nx, cells, dt, time, arrival, exposure):
    """Add up exposure, note arrival; fastest speed of a surface cell [m/s] and its cell.

    A cell of metal is at the surface where air adjoins it; one that a blow has just emptied has no
    speed.
    """
    fastest, place = 0.0, np.int64(-1)
    one, nx = np.uint64(1), np.uint64(nx)
    for k in cells:
        if F[k] <= 0.0:
            continue
        if F[k] >= 0.5 and math.isnan(arrival[k]):
            arrival[k] = time
        if kind[k] == 2 and owner[k] > 0:
            exposure[k] += dt
            if F[k] < 0.5:
                continue
            x, y = 0.5 * (u[k] + u[k + one]), 0.5 * (v[k] + v[k + nx])
            speed = x * x + y * y
            if speed > fastest:
                fastest, place = speed, np.int64(k)
    return math.sqrt(fastest), place
