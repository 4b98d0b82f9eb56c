"""The enthalpy curve of a material: volumetric heat content against temperature, cut into zones.

``h(T) = rho [ integral of c_p dT from 298.15 K + L (1 - fs(T)) ]``, zero for the solid at 298.15 K.
Inside a zone the nodes are evenly spaced in enthalpy, so that a look-up is one multiplication.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.material import REFERENCE_TEMPERATURE, EnthalpyCurve, Zone
from solidsim.materials.property_table import PropertyTable
from solidsim.materials.solid_fraction import Stretch

Array = NDArray[np.float64]

LOWEST_TEMPERATURE, HIGHEST_TEMPERATURE = 200.0, 2500.0  # K; wider than any mold or melt
TEMPERATURE_TOLERANCE = 0.05  # K, of a zone's straight lines against the exact integral
CONDUCTIVITY_TOLERANCE = 0.01  # of the value
SOLID_FRACTION_TOLERANCE = 0.002
NODE_COUNTS = (2, 5, 9, 17, 33, 65, 129, 257, 513, 1025)
SAMPLES = 4097


def enthalpy_curve(
    density: float,
    specific_heat: PropertyTable,
    conductivity: PropertyTable,
    stretches: tuple[Stretch, ...] = (),
    heat_of_change: float = 0.0,
    *,
    melts: bool = True,
) -> EnthalpyCurve:
    """Build the curve of a material whose phase change runs over ``stretches``.

    Parameters
    ----------
    density : float, [kg/m3]
    specific_heat : PropertyTable, [J/kgK]
    conductivity : PropertyTable, [W/mK]
    stretches : tuple of Stretch
        Of the phase change, the cooler first, each starting where the last one ends.
    heat_of_change : float, [J/kg]
        Latent heat of the whole change.
    melts : bool
        False for a change that leaves the material solid, such as the drying of sand.
    """
    tables = (specific_heat.temperature, conductivity.temperature)
    lowest = min(LOWEST_TEMPERATURE, *(float(nodes[0]) for nodes in tables))
    highest = max(HIGHEST_TEMPERATURE, *(float(nodes[-1]) for nodes in tables))
    parts = [*stretches]
    if stretches:
        parts.insert(0, Stretch(lowest, stretches[0].bottom, 1.0, 1.0))
        parts.append(Stretch(stretches[-1].top, highest, 0.0, 0.0))
    else:
        parts.append(Stretch(lowest, highest, 1.0, 1.0))

    def enthalpy(temperature: Array, solid: Array) -> Array:
        sensible = specific_heat.integral(temperature, REFERENCE_TEMPERATURE)
        return density * (sensible + heat_of_change * (1.0 - solid))

    nodes = np.concatenate([specific_heat.temperature, conductivity.temperature])
    zones = [_zone(part, enthalpy, conductivity, nodes) for part in parts]
    if not melts:
        zones = [replace(zone, solid_fraction=np.ones_like(zone.enthalpy)) for zone in zones]
    return EnthalpyCurve(tuple(zones))


def _zone(
    part: Stretch,
    enthalpy: Callable[[Array, Array], Array],
    conductivity: PropertyTable,
    nodes: Array,
) -> Zone:
    """Sample one stretch finely, then keep the fewest even nodes that stay within tolerance."""
    ends = np.array([part.bottom, part.top])
    end_conductivity = conductivity.at(part.bottom, "above"), conductivity.at(part.top, "below")
    if part.bottom == part.top:
        solid = np.array([part.solid_at_bottom, part.solid_at_top])
        sides = conductivity.at(part.bottom, "below"), conductivity.at(part.top, "above")
        return Zone(enthalpy(ends, solid), ends, np.array(sides), solid)
    nodes = np.concatenate([nodes, part.nodes])
    inside = nodes[(nodes > part.bottom) & (nodes < part.top)]
    temperature = np.union1d(np.linspace(part.bottom, part.top, SAMPLES), inside)
    solid = part.solid_fraction(temperature)
    solid[0], solid[-1] = part.solid_at_bottom, part.solid_at_top
    spread = conductivity.at(temperature)
    spread[0], spread[-1] = end_conductivity
    return _evenly_spaced(Zone(enthalpy(temperature, solid), temperature, spread, solid))


def _evenly_spaced(fine: Zone) -> Zone:
    first, last = fine.enthalpy[0], fine.enthalpy[-1]
    for count in NODE_COUNTS:
        even = np.linspace(first, last, count)
        coarse = Zone(
            even,
            np.interp(even, fine.enthalpy, fine.temperature),
            np.interp(even, fine.enthalpy, fine.conductivity),
            np.interp(even, fine.enthalpy, fine.solid_fraction),
        )
        if _is_close(coarse, fine):
            break
    return coarse


def _is_close(coarse: Zone, fine: Zone) -> bool:
    def gap(name: str) -> Array:
        straight = np.interp(fine.enthalpy, coarse.enthalpy, getattr(coarse, name))
        return np.abs(straight - getattr(fine, name))

    return bool(
        np.all(gap("temperature") < TEMPERATURE_TOLERANCE)
        and np.all(gap("conductivity") < CONDUCTIVITY_TOLERANCE * fine.conductivity)
        and np.all(gap("solid_fraction") < SOLID_FRACTION_TOLERANCE)
    )
