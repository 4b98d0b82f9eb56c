"""Enthalpy curves of all materials packed into flat arrays that the kernels look up."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from solidsim.conduction.conduction_kernels import MaterialTables
from solidsim.materials.material import EnthalpyCurve, Zone

Array = NDArray[np.float64]

ZONES = 4  # most zones of one curve
RESERVOIR_CONDUCTIVITY = 1e30  # W/mK: a reservoir adds no resistance of its own


def pack_tables(curves: Sequence[EnthalpyCurve], reservoirs: Sequence[float]) -> MaterialTables:
    """Pack enthalpy curves, then one constant-temperature reservoir after another.

    Parameters
    ----------
    curves : sequence of EnthalpyCurve
        Material ``m`` of the grid is ``curves[m]``.
    reservoirs : sequence of float, [K]
        Bodies whose temperature stays while they take up any amount of heat; they follow the
        materials in the numbering.
    """
    held = [EnthalpyCurve((_reservoir_zone(temperature),)) for temperature in reservoirs]
    every_curve = [*curves, *held]
    count = len(every_curve)
    bounds = np.full((count, ZONES - 1), np.inf)
    start, inverse = np.zeros((count, ZONES)), np.ones((count, ZONES))
    first, last = np.zeros((count, ZONES), np.int64), np.zeros((count, ZONES), np.int64)
    steepest = np.zeros(count)
    nodes: dict[str, list[Array]] = {"temperature": [], "conductivity": [], "solid_fraction": []}
    steps: dict[str, list[Array]] = {name: [] for name in nodes}
    filled = 0
    for m, curve in enumerate(every_curve):
        for z, zone in enumerate(curve.zones):
            even = _evenly_spaced(zone)
            segments = even.enthalpy.size - 1
            start[m, z] = even.enthalpy[0]
            inverse[m, z] = segments / (even.enthalpy[-1] - even.enthalpy[0])
            first[m, z], last[m, z] = filled, segments - 1
            if z:
                bounds[m, z - 1] = even.enthalpy[0]
            for name in nodes:
                values = getattr(even, name)
                nodes[name].append(values[:-1])
                steps[name].append(np.diff(values))
            slopes = np.diff(even.temperature) * inverse[m, z]
            steepest[m] = max(steepest[m], float(slopes.max()))
            filled += segments
    return MaterialTables(
        bounds=bounds,
        start=start,
        inverse=inverse,
        first=first,
        last=last,
        T=np.concatenate(nodes["temperature"]),
        dT=np.concatenate(steps["temperature"]),
        k=np.concatenate(nodes["conductivity"]),
        dk=np.concatenate(steps["conductivity"]),
        fs=np.concatenate(nodes["solid_fraction"]),
        dfs=np.concatenate(steps["solid_fraction"]),
        steepest=steepest,
    )


def _reservoir_zone(temperature: float) -> Zone:
    """Constant temperature over any enthalpy."""
    return Zone(
        enthalpy=np.array([0.0, 1.0]),
        temperature=np.full(2, temperature),
        conductivity=np.full(2, RESERVOIR_CONDUCTIVITY),
        solid_fraction=np.ones(2),
    )


def _evenly_spaced(zone: Zone) -> Zone:
    """Give the zone on nodes that lie evenly in enthalpy, as the kernels' lookup needs."""
    count = zone.enthalpy.size
    even = np.linspace(zone.enthalpy[0], zone.enthalpy[-1], count)
    if np.allclose(even, zone.enthalpy, rtol=0.0, atol=1e-9 * (even[-1] - even[0])):
        return zone
    even = np.linspace(zone.enthalpy[0], zone.enthalpy[-1], 4 * count)
    return Zone(
        enthalpy=even,
        temperature=np.interp(even, zone.enthalpy, zone.temperature),
        conductivity=np.interp(even, zone.enthalpy, zone.conductivity),
        solid_fraction=np.interp(even, zone.enthalpy, zone.solid_fraction),
    )
