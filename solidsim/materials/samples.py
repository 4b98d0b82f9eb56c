"""The curves of a material sampled over temperature, for pictures and tables."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.material import Material
from solidsim.quantities import ZERO_CELSIUS

Array = NDArray[np.float64]

SAMPLE_WIDTH = 1.0  # K, over which the effective specific heat is a mean
USUAL_RANGE = (ZERO_CELSIUS + 20.0, ZERO_CELSIUS + 1600.0)  # K, for a card of constants


@dataclass(frozen=True)
class CurveSamples:
    """Curves of a material, all of shape (n,).

    Parameters
    ----------
    temperature : ndarray, [K]
        Rising, with the ends of every phase change twice: just below and just above.
    enthalpy : ndarray, [J/m3]
    conductivity : ndarray, [W/mK]
    solid_fraction : ndarray, [1]
    effective_specific_heat : ndarray, [J/kgK]
        Latent heat included, a mean over a kelvin.
    """

    temperature: Array
    enthalpy: Array
    conductivity: Array
    solid_fraction: Array
    effective_specific_heat: Array


def curve_samples(material: Material, count: int = 400) -> CurveSamples:
    """Sample the curves of a material over the range of its card."""
    lowest = max(material.temperature_range[0], USUAL_RANGE[0])
    highest = min(material.temperature_range[1], USUAL_RANGE[1])
    changes = np.array([zone.temperature[0] for zone in material.curve.zones[1:]])
    changes = changes[(changes > lowest) & (changes < highest)]
    sides = np.concatenate([changes - 1e-6, changes + 1e-6])
    temperature = np.union1d(np.linspace(lowest, highest, count), sides)
    enthalpy = material.curve.enthalpy_at(temperature)
    above = material.curve.enthalpy_at(temperature + SAMPLE_WIDTH / 2)
    below = material.curve.enthalpy_at(temperature - SAMPLE_WIDTH / 2)
    return CurveSamples(
        temperature,
        enthalpy,
        material.curve.conductivity_at(enthalpy),
        material.curve.solid_fraction_at(enthalpy),
        (above - below) / (SAMPLE_WIDTH * material.density),
    )
