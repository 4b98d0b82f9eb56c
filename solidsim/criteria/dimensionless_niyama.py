"""How much porosity do a gradient and a cooling rate leave? The dimensionless Niyama value.

Carlson & Beckermann (2009), Metall. Mater. Trans. A 40:163-175: liquid that is drawn through the
mush loses pressure; where the loss reaches a critical value pores open, and what is still liquid
there shrinks unfed. The formulas are from memory, checked against the closed form for a solid
fraction that is linear in temperature. The constants of alloys that go with them have no source
here that could be read, so that no card carries them and no finding rests on them yet.
"""

import math
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

Array = NDArray[np.float64]

KOZENY_CARMAN = 180.0  # of the permeability of a mush
LEAST_LIQUID = 1e-9


@dataclass(frozen=True)
class PorosityConstants:
    """What the criterion asks of an alloy.

    Parameters
    ----------
    arm_constant : float, [m (K/s)^1/3]
        Spacing of the secondary arms times the cube root of the cooling rate.
    viscosity : float, [Pa s]
    shrinkage : float, [1]
        Solid over liquid density, less one.
    freezing_range : float, [K]
    pressure_drop : float, [Pa]
        At which pores open.
    """

    arm_constant: float
    viscosity: float
    shrinkage: float
    freezing_range: float
    pressure_drop: float


def dimensionless_niyama(
    gradient: Array, cooling_rate: Array, constants: PorosityConstants
) -> Array:
    """Dimensionless Niyama value of cells, [1], from gradient [K/m] and cooling rate [K/s].

    Notes
    -----
    Ny* = C G R^(-5/6) sqrt(dP / (mu beta dT)), with arm spacing C R^(-1/3)
    """
    drive = constants.pressure_drop / (
        constants.viscosity * constants.shrinkage * constants.freezing_range
    )
    return constants.arm_constant * gradient * cooling_rate ** (-5.0 / 6.0) * math.sqrt(drive)


def critical_value(onset: float) -> float:
    """Value [1] below which pores open while a share of liquid [1] is left; linear freezing.

    Notes
    -----
    Ny*^2 = 180 (1/g + 2 ln g - g), the integral of 180 (1 - g)^2 / g^2 from g to one
    """
    return math.sqrt(max(KOZENY_CARMAN * float(_resistance(np.array(onset))), 0.0))


def critical_value_of_curve(liquid: Array, temperature: Array, onset: float) -> float:
    """Value [1] below which pores open at a share of liquid [1], for any freezing curve.

    Parameters
    ----------
    liquid : ndarray, shape (n,), [1]
        Rising to one.
    temperature : ndarray, shape (n,), [1]
        Zero at the solidus, one at the liquidus; straight between the nodes, where the integral
        of 180 (1 - g)^2 / g^2 d(theta)/dg is taken exactly.
    onset : float, [1]
    """
    nodes = np.unique(np.concatenate([liquid[liquid > onset], [onset]]))
    slopes = np.diff(np.interp(nodes, liquid, temperature)) / np.diff(nodes)
    return math.sqrt(KOZENY_CARMAN * float(slopes @ -np.diff(_resistance(nodes))))


def onset_liquid(value: float) -> float:
    """Share of liquid [1] that is left when pores open at a value [1]; linear freezing."""
    if value <= 0.0:
        return 1.0
    root = scipy.optimize.brentq
    return float(root(lambda g: critical_value(g) - value, LEAST_LIQUID, 1.0, xtol=1e-14))


def pore_fraction(value: float, shrinkage: float) -> float:
    """Volume share of pores [1] that a value [1] leaves: what is unfed shrinks by beta/(1+beta)."""
    return shrinkage / (1.0 + shrinkage) * onset_liquid(value)


def _resistance(liquid: Array) -> Array:
    return 1.0 / liquid + 2.0 * np.log(liquid) - liquid
