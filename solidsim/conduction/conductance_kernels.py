"""Kernels of a step's start: temperatures, conductances, and the step that they allow.

Symbols and arrays as in ``conduction_kernels``; R half-cell resistance [m2K/W]. The parts
of ``prepare_step`` are written into it: compiled each for itself, they took a second longer.
"""

import math

import numpy as np
from numba import njit

from solidsim.conduction.conduction_kernels import INNER


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
def look_up(arrays, solid, tables, k_cold, k_hot):
    """Temperature of every cell, its line, and its conductivity toward colder and hotter cells."""
    T0, dT, cold, hot = tables.T0, tables.dT, tables.k_cold, tables.k_hot
    u, T, warming, inverse_C = arrays.u, arrays.T, arrays.warming, arrays.inverse_C
    line, line_of, last = arrays.line, tables.line[solid], np.uint64(T0.size - 1)
    for j in range(u.shape[0]):
        for i in range(u.shape[1]):
            n = _segment(u[j, i], last)
            T[j, i] = T0[n] + u[j, i] * dT[n]
            warming[j, i], line[j, i] = dT[n] * inverse_C[j, i], line_of[n]
            k_cold[j, i], k_hot[j, i] = cold[n], hot[n]


@njit(cache=True, inline="always")
def look_up_layers(columns, active, tables):
    """Temperature of the layers that are awake."""
    u, T, T0, dT = columns.u, columns.T, tables.T0, tables.dT
    last = np.uint64(T0.size - 1)
    for k in range(active):
        for p in range(u.shape[1]):
            n = _segment(u[k, p], last)
            T[k, p] = T0[n] + u[k, p] * dT[n]


@njit(cache=True, inline="always")
def _in_series(falls, cold, hot, other_cold, other_hot, half, other_half, area):
    """Conductance of a face in perfect contact: area over both half-cell resistances.

    All conductivities come as values: a choice between two loads is not made a vector.
    """
    k, other_k = (cold if falls else hot), (other_hot if falls else other_cold)
    return area * k * other_k / (half * other_k + other_half * k)


@njit(cache=True, inline="always")
def face_conductances(T, k_cold, k_hot, faces):
    """Conductance of every face in perfect contact."""
    half_x, half_y, area_x, area_y, Gx, Gy = faces
    for j in range(Gx.shape[0]):
        for i in range(half_x.size - 1):
            Gx[j, i] = _in_series(
                T[j, i] >= T[j, i + 1], k_cold[j, i], k_hot[j, i], k_cold[j, i + 1],
                k_hot[j, i + 1], half_x[i], half_x[i + 1], area_x[j, i],
            )  # fmt: skip
        for i in range(half_x.size if j < Gy.shape[0] else 0):
            Gy[j, i] = _in_series(
                T[j, i] >= T[j + 1, i], k_cold[j, i], k_hot[j, i], k_cold[j + 1, i],
                k_hot[j + 1, i], half_y[j], half_y[j + 1], area_y[j, i],
            )  # fmt: skip


@njit(cache=True, inline="always")
def _conductance_at(conductance, coldest, per_kelvin, table, T):
    """Joint conductance at a surface temperature; the end values hold outside the table."""
    x = max((T - coldest) * per_kelvin, 0.0)
    n = min(int(x), conductance.shape[1] - 2)
    share = min(x - n, 1.0)
    low, high = conductance[table, n], conductance[table, n + 1]
    return low + share * (high - low)


@njit(cache=True, nogil=True, error_model="numpy", **INNER)
def _joined(conductance, coldest, per_kelvin, table, G, read, far, near_resistance, resistance):
    """Conductance per area of two half cells and their joint, read at the surface of the first.

    A table of -1 is perfect contact; resistance is that of both half cells.

    The surface temperature depends on the flow and the flow on it: a few rounds from the last G
    settle both to a tenth of a kelvin, less than the surface changes in a step.
    """
    if table < 0:
        return 1.0 / resistance
    drop = (read - far) * near_resistance
    surface = read - drop * G
    for _ in range(20):
        c = _conductance_at(conductance, coldest, per_kelvin, table, surface)
        G = c / (1.0 + c * resistance)
        last, surface = surface, read - drop * G
        if abs(surface - last) < 0.1:
            break
    return G


@njit(cache=True, inline="always")
def joint_conductances(T, k_cold, k_hot, time, joints, faces):
    """Put the joints' conductance in series with the half cells, at a time [s].

    While the heat has come less far into a cell than its middle, it is held up by the skin that it
    has warmed, sqrt(pi t) / b: what thick sand of effusivity b lets in since it was touched.
    """
    flat_T, flat_cold, flat_hot = T.ravel(), k_cold.ravel(), k_hot.ravel()
    flat_x, flat_y = faces.Gx.ravel(), faces.Gy.ravel()
    table, coldest, per_kelvin = joints.conductance, joints.coldest, joints.per_kelvin
    for f in range(joints.cell.size):
        a, b, row, G = joints.cell[f], joints.other[f], joints.table[f], joints.G[f]
        T_a, T_b = flat_T[a], flat_T[b]
        falls = T_a >= T_b
        R_a = joints.half[f] / (flat_cold[a] if falls else flat_hot[a])
        R_b = joints.other_half[f] / (flat_hot[b] if falls else flat_cold[b])
        depth = math.sqrt(math.pi * max(time - joints.since[f], 0.0))
        if R_a * joints.skin[f] > depth:
            R_a = depth / joints.skin[f]
        if R_b * joints.other_skin[f] > depth:
            R_b = depth / joints.other_skin[f]
        first = joints.solid_side[f] == 0 or (joints.solid_side[f] == -1 and falls)
        read, far, near = (T_a, T_b, R_a) if first else (T_b, T_a, R_b)
        G = _joined(table, coldest, per_kelvin, row, G, read, far, near, R_a + R_b)
        joints.G[f] = G
        if joints.face[f] < flat_x.size:
            flat_x[joints.face[f]] = G * joints.area[f]
        else:
            flat_y[joints.face[f] - flat_x.size] = G * joints.area[f]


@njit(cache=True, inline="always")
def explicit_limit(faces, arrays, columns, active, steepest, through_face, total):
    """Longest stable explicit step [s]: Gershgorin's bound with the steepest T(u) near each cell.

    through_face (size of the grid, flat) and total (np,) are room for sums [W/K].
    """
    worst, Gx, Gy = 0.0, faces.Gx, faces.Gy
    u, inverse_C, last = arrays.u, arrays.inverse_C, np.uint64(steepest.size - 1)
    ny, nx = inverse_C.shape
    through_face[:] = 0.0
    total[:] = 0.0
    for c in range(columns.cell.size):
        through_face[columns.cell[c]] += columns.G[c]
        total[columns.column[c]] += columns.G[c]
    for j in range(1, ny - 1):
        for i in range(1, nx - 1):
            G = Gx[j, i - 1] + Gx[j, i] + Gy[j - 1, i] + Gy[j, i] + through_face[j * nx + i]
            worst = max(worst, G * inverse_C[j, i] * steepest[_segment(u[j, i], last)])
    for k in range(active):
        for p in range(total.size):
            G = total[p] if k == 0 else columns.between[k - 1, p]
            if k < active - 1:
                G += columns.between[k, p]
            slope = steepest[_segment(columns.u[k, p], last)]
            worst = max(worst, G * columns.inverse_C[k, p] * slope)
    return 1.0 / worst if worst > 0.0 else math.inf


@njit(cache=True, inline="always")
def first_flow(T, Gx, Gy, flow):
    """Heat that flows into every cell of the grid in the section, [W]."""
    for j in range(1, T.shape[0] - 1):
        for i in range(1, T.shape[1] - 1):
            along_x = Gx[j, i - 1] * (T[j, i - 1] - T[j, i]) + Gx[j, i] * (T[j, i + 1] - T[j, i])
            along_y = Gy[j - 1, i] * (T[j - 1, i] - T[j, i]) + Gy[j, i] * (T[j + 1, i] - T[j, i])
            flow[j, i] = along_x + along_y


@njit(cache=True, inline="always")
def column_conductances(T, k_cold, flow, columns, active, tables, joints):
    """Conductances from metal to layer 0, with what flows there, and between layers awake.

    Heat comes to the face from all over the depth, so that its mean way is a third of the half
    depth (a parabola across a slab). Joints are read at the hotter surface.
    """
    flat_T, flat_k, flat_flow, k_of = T.ravel(), k_cold.ravel(), flow.ravel(), tables.k_cold
    last = np.uint64(tables.T0.size - 1)
    table, coldest, per_kelvin = joints.conductance, joints.coldest, joints.per_kelvin
    cells, half_depth, tables_of, area = (
        columns.cell,
        columns.half_depth,
        columns.table,
        columns.area,
    )
    u, column, column_G = columns.u, columns.column, columns.G
    face, R_face = columns.T[0], columns.gain[0]
    for p in range(face.size):
        R_face[p] = columns.width[0, p] / (2.0 * k_of[_segment(u[0, p], last)])
    for c in range(cells.size):
        cell, p, row, G = cells[c], column[c], tables_of[c], column_G[c] / area[c]
        T_a, T_b, R_b = flat_T[cell], face[p], R_face[p]
        R_a = half_depth[c] / (3.0 * flat_k[cell])
        read, far, near = (T_a, T_b, R_a) if T_a >= T_b else (T_b, T_a, R_b)
        G = _joined(table, coldest, per_kelvin, row, G, read, far, near, R_a + R_b)
        column_G[c] = G * area[c]
        flat_flow[cell] -= column_G[c] * (T_a - T_b)
    for k in range(active - 1):
        for p in range(u.shape[1]):
            row, G = columns.joint[k, p], columns.between[k, p] / columns.top[k, p]
            T_a, T_b = columns.T[k, p], columns.T[k + 1, p]
            R_a = columns.width[k, p] / (2.0 * k_of[_segment(u[k, p], last)])
            R_b = columns.width[k + 1, p] / (2.0 * k_of[_segment(u[k + 1, p], last)])
            read, far, near = (T_a, T_b, R_a) if T_a >= T_b else (T_b, T_a, R_b)
            G = _joined(table, coldest, per_kelvin, row, G, read, far, near, R_a + R_b)
            columns.between[k, p] = G * columns.top[k, p]


@njit(cache=True, nogil=True, error_model="numpy")
def prepare_step(
    time, solid, arrays, k_cold, k_hot, joints, faces, columns, active, tables, through_face, total
):
    """Temperatures, conductances and flows for the state as it is; the explicit limit [s].

    solid is 1 when all metal is, else 0. k_cold, k_hot (size of the grid), through_face and total
    are room for what is found on the way.
    """
    T = arrays.T
    look_up(arrays, solid, tables, k_cold, k_hot)
    look_up_layers(columns, active, tables)
    face_conductances(T, k_cold, k_hot, faces)
    joint_conductances(T, k_cold, k_hot, time, joints, faces)
    first_flow(T, faces.Gx, faces.Gy, arrays.flow)
    column_conductances(T, k_cold, arrays.flow, columns, active, tables, joints)
    return explicit_limit(faces, arrays, columns, active, tables.steepest, through_face, total)
