"""Heat that metal loses between basin and mouth: to the walls of sprue, channels and ingates."""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.circuit import Circuit
from solidsim.fill.gating_network import NetworkFlow
from solidsim.materials import EnthalpyCurve

Array = NDArray[np.float64]


def wall_surfaces(circuit: Circuit) -> Array:
    """Wetted surface of each element, the sprue first, shape (elements,), [m2]."""
    sprue = circuit.system.sprue
    top, foot = (math.sqrt(4.0 * area / math.pi) for area in (sprue.top_area, sprue.foot_area))
    cone = math.pi * 0.5 * (top + foot) * (sprue.top - sprue.foot)
    return np.array([cone, *(own.perimeter * own.length for own in circuit.system.stretches)])


def enthalpy_at_mouths(
    circuit: Circuit,
    flow: NetworkFlow,
    poured: float,
    curve: EnthalpyCurve,
    time: float,
    effusivity: float,
    mold_temperature: float,
    conductance: float = math.inf,
) -> Array:
    """Volumetric enthalpy of the metal that leaves each mouth, shape (mouths,), [J/m3].

    Parameters
    ----------
    circuit : Circuit
    flow : NetworkFlow
    poured : float, [J/m3]
        In the basin.
    curve : EnthalpyCurve
        Of the metal.
    time : float, [s]
        Since the walls were first wet.
    effusivity : float, [W s^1/2/m2K]
        Of the sand.
    mold_temperature : float, [K]
    conductance : float, [W/m2K]
        Between metal and sand.

    Notes
    -----
    q = (T - T0) / (1/a + sqrt(pi t)/b), thick sand behind a steady joint; along an element of
    surface S and flow Q, h - h0 falls by exp(-q S / (Q (h - h0))).
    """
    cold = float(curve.enthalpy_at(mold_temperature, molten=False))
    resistance = 1.0 / conductance + math.sqrt(math.pi * max(time, 0.0)) / effusivity
    surfaces, through = wall_surfaces(circuit), flow.through
    leaving = np.full(surfaces.size, poured)
    for own in range(surfaces.size):
        before = poured if own == 0 else leaving[circuit.system.stretches[own - 1].parent + 1]
        over = before - cold
        leaving[own] = before
        if through[own] > 0.0 and over > 0.0:
            flux = (float(curve.temperature_at(np.array(before))) - mold_temperature) / resistance
            leaving[own] = cold + over * math.exp(-flux * surfaces[own] / (through[own] * over))
    return leaving[[mouth.stretch + 1 for mouth in circuit.system.mouths]]
