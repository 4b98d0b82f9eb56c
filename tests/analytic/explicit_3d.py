"""A small explicit 3-D solver of freezing in sand: slow, obvious, on one eighth of a block.

Metal fills one corner of a box of sand; the three inner planes are planes of symmetry, the outer
ones insulated. Linear latent heat between solidus and liquidus, constant properties, a
conductance between metal and sand.
"""

import numpy as np
from numba import njit


@njit(cache=True)
def temperature(h, metal, rho_c, latent, solidus, liquidus):
    """T [°C] from h [J/m3], zero at 0 °C solid."""
    if not metal:
        return h / rho_c
    low = rho_c * solidus
    high = rho_c * liquidus + latent
    if h <= low:
        return h / rho_c
    if h >= high:
        return (h - latent) / rho_c
    return solidus + (h - low) / (high - low) * (liquidus - solidus)


@njit(cache=True)
def sweep(h, h_new, T, n, rate_mm, rate_ss, rate_ms, metal_c, sand_c, latent, solidus, liquidus):
    nx, ny, nz = h.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                inside = i < n[0] and j < n[1] and k < n[2]
                gain = 0.0
                for axis in range(3):
                    for side in (-1, 1):
                        p, q, r = i, j, k
                        if axis == 0:
                            p += side
                        elif axis == 1:
                            q += side
                        else:
                            r += side
                        if p < 0 or q < 0 or r < 0 or p == nx or q == ny or r == nz:
                            continue
                        other = p < n[0] and q < n[1] and r < n[2]
                        if inside and other:
                            rate = rate_mm
                        elif inside or other:
                            rate = rate_ms
                        else:
                            rate = rate_ss
                        gain += rate * (T[p, q, r] - T[i, j, k])
                h_new[i, j, k] = h[i, j, k] + gain


@njit(cache=True)
def look_up(h, T, n, metal_c, sand_c, latent, solidus, liquidus):
    nx, ny, nz = h.shape
    for i in range(nx):
        for j in range(ny):
            for k in range(nz):
                inside = i < n[0] and j < n[1] and k < n[2]
                T[i, j, k] = temperature(
                    h[i, j, k], inside, metal_c if inside else sand_c, latent, solidus, liquidus
                )


def last_freezing_time(sizes_mm, sand_mm, dx_mm, metal, sand, joint, cold=20.0):
    """Time [s] at which the middle of a block is solid.

    metal: density, specific heat, conductivity, latent heat, solidus, liquidus, pour temperature;
    sand: density, specific heat, conductivity; SI and °C. joint in W/m2K.
    """
    dx = dx_mm / 1000
    n = np.array([round(size / 2 / dx_mm) for size in sizes_mm])
    shape = tuple(int(cells + round(sand_mm / dx_mm)) for cells in n)
    density, heat, k, latent_heat, solidus, liquidus, pour = metal
    metal_c, sand_c = density * heat, sand[0] * sand[1]
    latent = density * latent_heat
    G_mm, G_ss = k / dx**2, sand[2] / dx**2
    G_ms = 1.0 / (dx / 2 / k + dx / 2 / sand[2] + 1 / joint) / dx
    dt = 0.9 / (6 * max(G_mm / metal_c, G_ss / sand_c))
    h = np.full(shape, sand_c * cold)
    h[: n[0], : n[1], : n[2]] = metal_c * pour + latent
    h_new, T = h.copy(), np.zeros(shape)
    args = (metal_c, sand_c, latent, solidus, liquidus)
    time = 0.0
    solid = metal_c * solidus
    while h[0, 0, 0] > solid:
        look_up(h, T, n, *args)
        before = h[0, 0, 0]
        sweep(h, h_new, T, n, dt * G_mm, dt * G_ss, dt * G_ms, *args)
        h, h_new = h_new, h
        time += dt
    return time - dt * (solid - h[0, 0, 0]) / (before - h[0, 0, 0])
