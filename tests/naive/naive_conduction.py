"""Slow, obvious twins of the conduction kernels: whole arrays, textbook recurrences, no tricks."""

import numpy as np


def conductance(area, half_one, k_one, half_two, k_two, joint=np.inf):
    """Face conductance [W/K]: half cells and joint in series."""
    return area / (half_one / k_one + half_two / k_two + 1.0 / joint)


def heating_rate(T, Gx, Gy, V):
    """dh/dt of every cell [W/m3] from face conductances, ring and all."""
    heat = np.zeros_like(T)
    ny, nx = T.shape
    for j in range(ny):
        for i in range(nx - 1):
            flow = Gx[j, i] * (T[j, i] - T[j, i + 1])
            heat[j, i] -= flow
            heat[j, i + 1] += flow
    for j in range(ny - 1):
        for i in range(nx):
            flow = Gy[j, i] * (T[j, i] - T[j + 1, i])
            heat[j, i] -= flow
            heat[j + 1, i] += flow
    return heat / V


def rkl2_step(h, dt, stages, rate):
    """One RKL2 step of dh/dt = rate(h): Meyer, Balsara & Aslam (2014), eqs. 16-18, as printed.

    Gives the solution after every stage.
    """

    def b(j):
        return 1.0 / 3.0 if j < 2 else (j * j + j - 2.0) / (2.0 * j * (j + 1.0))

    w = 4.0 / (stages**2 + stages - 2.0)
    start = rate(h)
    found = [h, h + b(1) * w * dt * start]
    for j in range(2, stages + 1):
        mu = (2.0 * j - 1.0) / j * b(j) / b(j - 1)
        nu = -(j - 1.0) / j * b(j) / b(j - 2)
        gamma = -(1.0 - b(j - 1)) * mu * w
        found.append(
            mu * found[j - 1]
            + nu * found[j - 2]
            + (1.0 - mu - nu) * h
            + mu * w * dt * rate(found[j - 1])
            + gamma * dt * start
        )
    return found
