"""A small explicit 3-D solver of freezing in sand: slow, obvious, on one eighth of a body.

Blocks about one center lie in a box of sand; the three inner planes are planes of symmetry, the
outer ones insulated. Linear latent heat between solidus and liquidus, constant properties, a
conductance between metal and sand.
"""

import numpy as np
from numba import njit


@njit(cache=True)
def look_up(h, T, metal, metal_c, sand_c, latent, solidus, liquidus):
    """T [°C] from h [J/m3], zero at 0 °C solid."""
    low, high = metal_c * solidus, metal_c * liquidus + latent
    for i in range(h.shape[0]):
        for j in range(h.shape[1]):
            for k in range(h.shape[2]):
                at = h[i, j, k]
                if not metal[i, j, k]:
                    T[i, j, k] = at / sand_c
                elif at <= low:
                    T[i, j, k] = at / metal_c
                elif at >= high:
                    T[i, j, k] = (at - latent) / metal_c
                else:
                    T[i, j, k] = solidus + (at - low) / (high - low) * (liquidus - solidus)


@njit(cache=True)
def sweep(h, T, metal, rate_mm, rate_ss, rate_ms):
    """One explicit step: rates are dt G / V of metal, sand and mixed faces [J/m3K]."""
    steps = ((1, 0, 0), (0, 1, 0), (0, 0, 1))
    nx, ny, nz = h.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                for a, b, c in steps:
                    p, q, r = i + a, j + b, k + c
                    if p == nx or q == ny or r == nz:
                        continue
                    if metal[i, j, k] and metal[p, q, r]:
                        rate = rate_mm
                    elif metal[i, j, k] or metal[p, q, r]:
                        rate = rate_ms
                    else:
                        rate = rate_ss
                    flow = rate * (T[i, j, k] - T[p, q, r])
                    h[i, j, k] -= flow
                    h[p, q, r] += flow


def last_freezing_time(blocks_mm, sand_mm, dx_mm, metal, sand, joint, cold=20.0):
    """Time [s] at which the center of some blocks is solid.

    blocks_mm: sizes along x, y and z. metal: density, specific heat, conductivity, latent heat,
    solidus, liquidus, pour temperature; sand: density, specific heat, conductivity; SI and °C.
    joint in W/m2K.
    """
    density, heat, k, latent_heat, solidus, liquidus, pour = metal
    halves = [[round(size / 2 / dx_mm) for size in block] for block in blocks_mm]
    shape = [int(max(size) + round(sand_mm / dx_mm)) for size in zip(*halves, strict=True)]
    inside = np.zeros(shape, dtype=bool)
    for nx, ny, nz in halves:
        inside[:nx, :ny, :nz] = True
    dx = dx_mm / 1000
    metal_c, sand_c, latent = density * heat, sand[0] * sand[1], density * latent_heat
    G_mm, G_ss = k / dx**2, sand[2] / dx**2
    G_ms = 1.0 / (dx / 2 / k + dx / 2 / sand[2] + 1 / joint) / dx
    dt = 0.9 / (6 * max(G_mm / metal_c, G_ss / sand_c))
    h = np.where(inside, metal_c * pour + latent, sand_c * cold)
    T, time, solid, before = np.zeros(shape), 0.0, metal_c * solidus, 0.0
    while h[0, 0, 0] > solid:
        look_up(h, T, inside, metal_c, sand_c, latent, solidus, liquidus)
        before = h[0, 0, 0]
        sweep(h, T, inside, dt * G_mm, dt * G_ss, dt * G_ms)
        time += dt
    return time - dt * (solid - h[0, 0, 0]) / (solid - h[0, 0, 0] + before - solid)
