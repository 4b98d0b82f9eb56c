"""Water in molding sand: the heat it takes up while it warms, and the plateau where it boils away.

Moisture is the mass of water over the mass of moist sand, as foundries measure it. The steam is
taken to leave at once and to carry no further heat. Sand that has dried keeps to ``dried_curve``
from then on: cooling back through 100 °C, it gives no heat of evaporation back.
"""

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.material import EnthalpyCurve, Zone
from solidsim.materials.property_table import PropertyTable
from solidsim.materials.solid_fraction import Stretch

Array = NDArray[np.float64]

# Wagner and Pruss 2002 (IAPWS-95), at 101.325 kPa; the boiling point rounded up from 99.974 °C
BOILING_POINT = 373.15  # K
HEAT_OF_EVAPORATION = 2.2564e6  # J/kg
SPECIFIC_HEAT_OF_WATER = 4190.0  # J/kgK, mean over 0-100 °C
COLD_NODES = 33


def drying() -> tuple[Stretch, ...]:
    """Phase change of moist sand: all water leaves at the boiling point."""
    return (Stretch(BOILING_POINT, BOILING_POINT, 1.0, 0.0),)


def heat_of_drying(moisture: float) -> float:
    """Heat to boil the water out of sand, [J] for a kilogram of moist sand."""
    return moisture * HEAT_OF_EVAPORATION


def moist_specific_heat(dry: PropertyTable, moisture: float) -> PropertyTable:
    """Specific heat [J/kgK] for a kilogram of moist sand, of which the water leaves at 100 °C."""
    nodes = dry.temperature
    cool, hot = nodes[nodes < BOILING_POINT], nodes[nodes > BOILING_POINT]
    if nodes.size == 1:
        cool, hot = np.empty(0), np.empty(0)
    step = np.array([BOILING_POINT])
    sand = 1.0 - moisture
    wet = sand * dry.at(np.append(cool, step), "below") + moisture * SPECIFIC_HEAT_OF_WATER
    dried = sand * dry.at(np.append(step, hot), "above")
    return PropertyTable(np.concatenate([cool, step, step, hot]), np.concatenate([wet, dried]))


def dried_curve(
    moist: EnthalpyCurve, density: float, dry: PropertyTable, moisture: float
) -> EnthalpyCurve:
    """Curve of moist sand whose water has left, in J for a cubic meter of the moist sand.

    Above the boiling point it is the moist sand's, so that drying makes or loses no heat; below,
    it holds the heat of the dry grains alone and conducts as just above.
    """
    hot = moist.zones[-1]
    lowest = moist.zones[0].temperature[0]
    inside = dry.temperature[(dry.temperature > lowest) & (dry.temperature < BOILING_POINT)]
    temperature = np.union1d(np.linspace(lowest, BOILING_POINT, COLD_NODES), inside)
    sensible = dry.integral(temperature, BOILING_POINT)
    enthalpy = hot.enthalpy[0] + density * (1.0 - moisture) * sensible
    same = np.ones_like(temperature)
    return EnthalpyCurve((Zone(enthalpy, temperature, hot.conductivity[0] * same, same), hot))
