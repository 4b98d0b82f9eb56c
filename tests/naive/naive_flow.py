"""Slow and plain twins of the kernels of flowing metal, on arrays [j, i] with a ring."""

import math

import numpy as np
from shapely.geometry import Polygon, box

SQUARE = box(0.0, 0.0, 1.0, 1.0)


def beneath(m, alpha):
    """The unit square where m . x < alpha, as a shape."""
    m = np.asarray(m)
    along, base = np.array([-m[1], m[0]]), m * alpha / (m @ m)
    near = [base + 9.0 * along, base - 9.0 * along]
    far = [point - 9.0 * m for point in near[::-1]]
    return SQUARE.intersection(Polygon(near + far))


def surface(F, V, j, i):
    """Metal in a cell as a shape in the unit square; None where the slope is not known."""
    f = [
        [F[j + b, i + a] if V[j + b, i + a] > 0.0 else F[j, i] for a in (-1, 0, 1)]
        for b in (-1, 0, 1)
    ]
    weights = np.array([1.0, 2.0, 1.0])
    f = np.array(f)
    m = np.array([weights @ (f[:, 0] - f[:, 2]), weights @ (f[0] - f[2])])
    if np.abs(m).sum() < 1e-12:
        return None
    m /= np.abs(m).sum()
    low, high = -2.0, 2.0
    for _ in range(60):
        alpha = 0.5 * (low + high)
        low, high = (alpha, high) if beneath(m, alpha).area < F[j, i] else (low, alpha)
    return beneath(m, alpha)


def share_passed(F, V, j, i, strip):
    """Share of metal in a strip (a box) of the cell."""
    shape = surface(F, V, j, i)
    return F[j, i] if shape is None else shape.intersection(strip).area / strip.area


def sweep_x(F, kind, M, H, u, A, V, dt):
    """Move metal along x; F, M, H after. Air (kind 1) lets no more in than fills it to 1.01."""
    flux, carried = np.zeros(F.shape), np.zeros(F.shape)
    ny, nx = F.shape
    for j in range(1, ny - 1):
        for i in range(1, nx):
            passed = u[j, i] * A[j, i] * dt
            c = i - 1 if passed > 0.0 else i
            if passed == 0.0 or F[j, c] <= 0.0 or M[j, c] <= 0.0:
                continue
            s = abs(passed) / V[j, c]
            strip = box(1.0 - s, 0.0, 1.0, 1.0) if passed > 0.0 else box(0.0, 0.0, s, 1.0)
            share = share_passed(F, V, j, c, strip) if F[j, c] < 1.0 - 1e-4 else 1.0
            flux[j, i] = math.copysign(min(abs(passed) * share, M[j, c]), passed)
            carried[j, i] = flux[j, i] * H[j, c] / M[j, c]
        for i in range(1, nx - 1):
            come = max(flux[j, i], 0.0) + max(-flux[j, i + 1], 0.0)
            excess = M[j, i] + flux[j, i] - flux[j, i + 1] - 1.01 * V[j, i]
            if kind[j, i] == 1 and excess > 0.0:
                keep = max(1.0 - excess / come, 0.0)
                for face, inward in ((i, 1.0), (i + 1, -1.0)):
                    if inward * flux[j, face] > 0.0:
                        flux[j, face] *= keep
                        carried[j, face] *= keep
    F, M, H = F.copy(), M.copy(), H.copy()
    net, gain = (-np.diff(q, axis=1, append=0.0) for q in (flux, carried))
    wider = np.diff(u * A * dt, axis=1, append=0.0)
    for j, i in zip(*np.nonzero(V), strict=True):
        M[j, i] += net[j, i]
        H[j, i] += gain[j, i]
        F[j, i] += (net[j, i] + (wider[j, i] if kind[j, i] == 2 else 0.0)) / V[j, i]
    return F, M, H


def around(j, i):
    return (j, i - 1), (j, i + 1), (j - 1, i), (j + 1, i)


def face_between(Ax, Ay, one, two):
    """Area of the face between two neighboring cells."""
    (j, i), (k, _) = max(one, two), min(one, two)
    return Ax[j, i] if j == k else Ay[j, i]


def pockets(F, passable, Ax, Ay):
    """Kind of each cell, and the bodies of air, each as a pair of sets: its air, its surface."""
    kind = np.where(passable, np.where(F >= 0.5, 2, 1), 0)
    left = {(int(j), int(i)) for j, i in zip(*np.nonzero(kind == 1), strict=True)}
    found = []
    while left:
        body, edge = set(), {min(left)}
        while edge:
            body |= edge
            edge = {
                o
                for c in edge
                for o in around(*c)
                if face_between(Ax, Ay, c, o) > 0.0 and kind[o] == 1 and o not in body
            }
        rim = {
            o for c in body for o in around(*c) if face_between(Ax, Ay, c, o) > 0.0 and kind[o] == 2
        }
        found.append((body, rim))
        left -= body
    return kind, found


def limited(one, two):
    """Monotonized central difference, half of it."""
    if one * two <= 0.0:
        return 0.0
    return 0.5 * math.copysign(min(2.0 * abs(one), 2.0 * abs(two), abs(one + two) / 2.0), one)


def far_side(one, two, grows):
    """From the middle of a cell to its far side between two slopes, half a step later."""
    if one * two <= 0.0:
        return 0.0
    sign = math.copysign(1.0, one)
    return sign * min(max(sign * (limited(one, two) + grows), 0.0), abs(one), abs(two))


def stream_change(speed, line, growth, h):
    """d(value)/dt at the middle of five values in line, carried at a speed.

    ``growth`` of the inner three is half their change in the last step.
    """
    if speed < 0.0:
        return stream_change(-speed, line[::-1], growth[::-1], h)
    far, behind, here, ahead, _ = line
    out = here + far_side(here - behind, ahead - here, growth[1])
    come = behind + far_side(behind - far, here - behind, growth[0])
    return -speed * (out - come) / h


def resistance(u, v, F, V, ix, iy, mix2, still, rough):
    """Eddy viscosity and shear on the walls out of the page, in cells with metal."""
    eddy, shear = np.zeros(F.shape), np.zeros(F.shape)
    middle_x, middle_y = (q + np.roll(q, -1, axis) for q, axis in ((u, 1), (v, 0)))
    middle_x, middle_y = middle_x / 2.0, middle_y / 2.0

    def beside(field, here, there):
        return field[there] if V[there] > 0.0 else field[here]

    for here in map(tuple, np.argwhere(F > 0.0)):
        j, i = here
        west, east, south, north = around(j, i)
        du_dx, dv_dy = (u[east] - u[here]) * ix[here], (v[north] - v[here]) * iy[here]
        du_dy = (beside(middle_x, here, north) - beside(middle_x, here, south)) * iy[here] / 2.0
        dv_dx = (beside(middle_y, here, east) - beside(middle_y, here, west)) * ix[here] / 2.0
        strain = math.sqrt(2.0 * (du_dx**2 + dv_dy**2) + (du_dy + dv_dx) ** 2)
        speed = math.hypot(middle_x[here], middle_y[here])
        eddy[here] = mix2[here] * strain
        shear[here] = max(still[here], rough[here] * speed**0.75)
    return eddy, shear


def reach(M, G, behind, beyond):
    """Way from the middle of a metal cell to the surface in steps."""
    behind = 1.0 - (1.0 - M) * G / M if behind is None else behind
    beyond = G * (1.0 - M) / (1.0 - G) if beyond is None else beyond
    return min(max(behind + M + G + beyond - 1.5, 0.0), 1.0)


def predicted_x(u, v, known, growth, A, kind, F, h, eddy, shear, mush, metal, dt, slip, least):
    """Velocity along x before the pressure, its kind, and the flow for a pascal; square cells."""
    nu, rho, g = metal
    new, sort, passing = np.zeros(u.shape), np.zeros(u.shape, np.int8), np.zeros(u.shape)
    for j in range(1, u.shape[0] - 1):
        for i in range(1, u.shape[1]):
            if A[j, i] == 0.0:
                new[j, i], sort[j, i] = u[j, i], u[j, i] != 0.0
                continue
            wet = 2 in (kind[j, i - 1], kind[j, i])
            if not wet and F[j, i - 1] + F[j, i] < 1e-6:
                continue
            here = u[j, i]

            def along(step, own, j=j, i=i):
                at = i + step
                return own if A[j, at] > 0.0 and known[j, at] == 0 else u[j, at]

            west, east = along(-1, here), along(1, here)
            far_w = along(-2, west) if A[j, i - 1] > 0.0 else west
            far_e = along(2, east) if A[j, i + 1] > 0.0 else east
            line = [far_w, west, here, east, far_e]
            rate = stream_change(here, line, growth[j, i - 1 : i + 2], h)
            walls = A[j - 1, i] == 0.0, A[j + 1, i] == 0.0
            sides, fars = [], []
            for step, wall in zip((-1, 1), walls, strict=True):
                side = here if wall or known[j + step, i] == 0 else u[j + step, i]
                off = wall or A[j + 2 * step, i] == 0.0 or known[j + 2 * step, i] == 0
                sides.append(side)
                fars.append(side if off else u[j + 2 * step, i])
            cross = (v[j, i - 1] + v[j + 1, i - 1] + v[j, i] + v[j + 1, i]) / 4.0
            line = [fars[0], sides[0], here, sides[1], fars[1]]
            rate += stream_change(cross, line, growth[j - 1 : j + 2, i], h)
            mixed = min((eddy[j, i - 1] + eddy[j, i]) / 2.0, 0.1 * h**2 / dt)
            rate += (nu + mixed) * (west + east + sum(sides) - 4.0 * here) / h**2
            drag = (mush[j, i - 1] + mush[j, i]) / 2.0 + max(shear[j, i - 1], shear[j, i])
            if not slip:
                y = h / 2.0
                sticking = nu * abs(here) / y
                law = 0.0225 * here**2 * (nu / (abs(here) * y)) ** 0.25 if here else 0.0
                if here:
                    drag += sum(walls) * max(sticking, law) / h / abs(here)
                else:
                    drag += sum(walls) * nu / y / h
            beta = 1.0 / (1.0 + dt * drag)
            way, sort[j, i] = 1.0, 2
            if wet:
                sort[j, i] = 1
                for metal_at, air_at, inward in ((i, i - 1, 1), (i - 1, i, -1)):
                    if kind[j, air_at] == 1:
                        back, front = (j, metal_at + inward), (j, air_at - inward)
                        way = reach(
                            F[j, metal_at],
                            F[j, air_at],
                            F[back] if kind[back] == 2 else None,
                            F[front] if kind[front] == 1 else None,
                        )
                passing[j, i] = A[j, i] * beta * dt / (rho * h * max(way, least))
            new[j, i] = (here + dt * (rate + g * min(way / least, 1.0))) * beta
    return new, sort, passing


def pressures(kind, pocket_of, shut, cx, cy, inflow, stiff, own, own_right):
    """Pressure of metal cells and closed pockets from a dense matrix.

    inflow, stiff (cells): right side, extra diagonal. own, own_right by closed pocket.
    """
    cells = [tuple(c) for c in np.argwhere(kind == 2)]
    number = {c: n for n, c in enumerate(cells)} | {
        ("pocket", p): len(cells) + n for n, p in enumerate(shut)
    }
    matrix, right = np.zeros((len(number), len(number))), np.zeros(len(number))
    for (j, i), n in list(number.items())[: len(cells)]:
        right[n] = inflow[j, i]
        matrix[n, n] = stiff[j, i]
        for (k, m), c in zip(
            around(j, i), (cx[j, i], cx[j, i + 1], cy[j, i], cy[j + 1, i]), strict=True
        ):
            matrix[n, n] += c
            if kind[k, m] == 1:
                other = number.get(("pocket", pocket_of[k, m]))
            else:
                other = number.get((k, m))
            if other is not None:
                matrix[n, other] -= c
                if kind[k, m] == 1:
                    matrix[other, n] -= c
                    matrix[other, other] += c
    for n in range(len(shut)):
        matrix[len(cells) + n, len(cells) + n] += own[n]
        right[len(cells) + n] += own_right[n]
    solved = np.linalg.solve(matrix, right)
    p = np.zeros(kind.shape)
    for c, n in list(number.items())[: len(cells)]:
        p[c] = solved[n]
    for n, pocket in enumerate(shut):
        p[(kind == 1) & (pocket_of == pocket)] = solved[len(cells) + n]
    return p
