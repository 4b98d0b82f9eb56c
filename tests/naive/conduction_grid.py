"""A small ringed grid of metal and sand with columns on it, and arrays of a step for it."""

import numpy as np
from naive_conduction import heating_rate

from solidsim.conduction import conductance_kernels as conductances
from solidsim.conduction import conduction_kernels as kernels
from solidsim.conduction.material_tables import segments_of

METAL = {
    "kind": "alloy",
    "density": "7000 kg/m3",
    "specific_heat": [["0 °C", "500 J/kgK"], ["1100 °C", "700 J/kgK"], ["1600 °C", "850 J/kgK"]],
    "conductivity": [["0 °C", "50 W/mK"], ["1150 °C", "30 W/mK"], ["1600 °C", "35 W/mK"]],
    "latent_heat": "220 kJ/kg",
    "solid_fraction": {
        "curve": "linear",
        "solidus": "1140 °C",
        "liquidus": "1190 °C",
        "eutectic_share": 0.3,
    },
}
SAND = {
    "kind": "mold",
    "density": "1550 kg/m3",
    "specific_heat": "1050 J/kgK",
    "conductivity": "0.7 W/mK",
    "moisture": "4 %",
}


NX = 9  # cells of a row with its ring; rows are wider, as where they fill lines of the cache
LAYERS, PATCHES, AWAKE = 5, 3, 4


def step_arrays(tables, material, h, V=1.0):
    """Arrays of a step, looked up, and both conductivities."""
    T, flow, D, D_last, T_new, T_last, warming, line, cold, hot = (
        np.zeros_like(h) for _ in range(10)
    )
    u, C = segments_of(tables, material, h), V * tables.width[material]
    arrays = kernels.StepArrays(
        u, T, flow, D, D_last, T_new, T_last, 1.0 / C, warming, line, material
    )
    conductances.look_up(arrays, 0, tables, cold, hot)
    T_new[:] = T
    return arrays, cold, hot


def looked_up(tables, material, h):
    arrays, cold, hot = step_arrays(tables, material, h)
    return arrays.T, cold, hot


def watch(metal, material, thresholds):
    return kernels.Watched(
        cells=metal.astype(np.uint32),
        is_metal=material == 0,
        x=np.arange(float(NX)),
        y=np.arange(float(material.shape[0])),
        thresholds=thresholds,
        judging=len(thresholds) // 2,
        passed=np.zeros(metal.size, np.int64),
        room=np.zeros(metal.size),
        pending=np.zeros(metal.size + 1, np.uint32),
        crossings=np.full((thresholds.size, metal.size), np.nan),
        gradients=np.full(metal.size, np.nan),
        samples=metal[[0, -1]],
    )


def table_lookup(tables, u):
    n = u.astype(int)
    return tables.T0[n] + u * tables.dT[n]


def arrays_in_volumes(rng, tables, material, h):
    """Arrays of a step in cells of random volume, and the heat of a segment in each."""
    V = np.ones_like(h)
    V[1:-1, 1 : NX - 1] = rng.uniform(1e-6, 2e-6, (h.shape[0] - 2, NX - 2))
    arrays, _, _ = step_arrays(tables, material, h, V)
    return arrays, V * tables.width[material]


def network(tables, material, T, u0, faces, columns, all_C, straight):
    """Temperature of the grid from its u, and rate of change of all nodes: grid, awake layers.

    T is that of reservoirs; straight cells stay on the line of u0.
    """

    def temperature(on_grid):
        now = table_lookup(tables, u0 if straight else on_grid)
        if straight:
            now += (on_grid - u0) * tables.dT[u0.astype(int)]
        return np.where(material < 2, now, T)

    def rate(now):
        on_grid, layers = now[: T.size].reshape(T.shape), now[T.size :].reshape(AWAKE, PATCHES)
        hot_grid, hot_layers = temperature(on_grid), table_lookup(tables, layers)
        heat = heating_rate(hot_grid, faces.Gx, faces.Gy, np.ones_like(T)).ravel()
        gain = np.zeros((AWAKE, PATCHES))
        for c, (cell, p) in enumerate(zip(columns.cell, columns.column, strict=True)):
            flow = columns.G[c] * (hot_grid.flat[cell] - hot_layers[0, p])
            heat[cell] -= flow
            gain[0, p] += flow
        for j in range(AWAKE - 1):
            flow = columns.between[j] * (hot_layers[j] - hot_layers[j + 1])
            gain[j] -= flow
            gain[j + 1] += flow
        return np.concatenate([heat, gain.ravel()]) / all_C

    return temperature, rate
