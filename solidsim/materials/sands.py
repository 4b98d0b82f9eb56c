"""Molding sands from what they are made of: conductivity by grain, packing, water and radiation.

Dry, heat passes through the bonded contacts of the grains, and past red heat by radiation across
the pores. Moist, water bridges conduct; toward 100 °C vapor that boils off here and condenses a
little farther out carries more heat than they do, and is counted as conductivity, so that no heat
is lost or made.
"""

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from solidsim.materials.card_files import CARDS
from solidsim.materials.moisture import BOILING_POINT
from solidsim.quantities import STEFAN_BOLTZMANN, ZERO_CELSIUS, read_quantity

RADIATION_FACTOR = 0.7  # exchange between the grains across a pore; from memory
HOT_CONTACTS = ZERO_CELSIUS + 600.0  # K, from where on the contacts change no more; from memory
KERSTEN_SHAPE = 3.55  # medium and fine sands: Cote and Konrad 2005
WATER_CONDUCTIVITY, WATER_DENSITY = 0.6, 1000.0
# vapor near saturation, fitted to IAPWS-IF97 within 1 % from 40 to 100 °C (8 % at 20 °C)
VAPOR_HEAT, VAPOR_GAS_CONSTANT, ATMOSPHERE = 2.33e6, 461.5, 101325.0
DIFFUSIVITY, DIFFUSIVITY_POWER = 2.17e-5, 1.88  # m2/s at 0 °C, vapor in air; de Vries 1958
STEEPEST_VAPOR = ZERO_CELSIUS + 97.0  # K; past it the diffusion formula has no end
MOIST_NODES = (20, 40, 60, 70, 80, 90, 97)
DRY_NODES = (100, 200, 400, 600, 800, 1000, 1200, 1400, 1600)
AFS_PERMEABILITY = 3.076e-13  # m2 for an AFS number of one, in air of 18.1 µPa s


@dataclass(frozen=True)
class Sand:
    """A rammed sand.

    Parameters
    ----------
    grain : str
        A mineral of ``cards/minerals.toml``.
    grain_size : float, [m]
    cold_contact, hot_contact : float, [W/mK]
        Conductivity of the bonded, dried grains at 20 °C and from 600 °C on, without radiation.
    density : float, [kg/m3]
        As rammed, water included.
    moisture : float, [1]
        Water over moist sand, by mass.
    """

    grain: str
    grain_size: float
    cold_contact: float
    hot_contact: float
    density: float
    moisture: float = 0.0

    def dry_conductivity(self, temperature: float) -> float:
        """Conductivity [W/mK] of the dried sand: contacts and 4 F sigma d T^3."""
        share = min(1.0, (temperature - 293.15) / (HOT_CONTACTS - 293.15))
        contacts = self.cold_contact + share * (self.hot_contact - self.cold_contact)
        across = 4.0 * RADIATION_FACTOR * STEFAN_BOLTZMANN * self.grain_size * temperature**3
        return contacts + across

    def moist_conductivity(self, temperature: float) -> float:
        """Conductivity [W/mK] of the moist sand below 100 °C.

        Water bridges by Johansen 1975 with the Kersten number of Cote and Konrad 2005; vapor by
        diffusion through the open pores (Philip and de Vries 1957), its enhancement taken to
        make up for their windings.
        """
        mineral = minerals()[self.grain]
        grain_density = read_quantity(mineral["grain_density"], "density")
        grain_conductivity = read_quantity(mineral["grain_conductivity"], "conductivity")
        dry_density = self.density * (1.0 - self.moisture)
        porosity = 1.0 - dry_density / grain_density
        water = self.density * self.moisture / WATER_DENSITY
        filled = min(1.0, water / porosity)
        soaked = grain_conductivity ** (1.0 - porosity) * WATER_CONDUCTIVITY**porosity
        loose = (0.135 * dry_density + 64.7) / (grain_density - 0.947 * dry_density)
        kersten = KERSTEN_SHAPE * filled / (1.0 + (KERSTEN_SHAPE - 1.0) * filled)
        bridges = loose + kersten * (soaked - loose)
        return bridges + (porosity - water) * vapor_conductivity(temperature)


def vapor_conductivity(temperature: float) -> float:
    """Heat carried by vapor that diffuses through air over water, as a conductivity [W/mK].

    ``L D P / (P - p) d rho / dT`` with saturated vapor of pressure p and density rho.
    """
    held = min(temperature, STEEPEST_VAPOR)
    exponent = -VAPOR_HEAT / VAPOR_GAS_CONSTANT * (1.0 / held - 1.0 / BOILING_POINT)
    pressure = ATMOSPHERE * math.exp(exponent)
    density = pressure / (VAPOR_GAS_CONSTANT * held)
    slope = density * (VAPOR_HEAT / (VAPOR_GAS_CONSTANT * held**2) - 1.0 / held)
    diffusivity = DIFFUSIVITY * (held / ZERO_CELSIUS) ** DIFFUSIVITY_POWER
    return VAPOR_HEAT * diffusivity * slope * ATMOSPHERE / (ATMOSPHERE - pressure)


def permeability_from_afs(number: float) -> float:
    """Permeability [m2] from an AFS number, cm3 cm of air / (cm2 gf/cm2 min)."""
    return AFS_PERMEABILITY * number


def sand_card(sand: Sand) -> dict[str, Any]:
    """Entries of a card that follow from the make-up of a sand, as a card would write them."""
    mineral = minerals()[sand.grain]
    return {
        "specific_heat": {
            "table": mineral["specific_heat"],
            "range": "8 %",
            "source": mineral["source"],
            "grade": "handbook",
        },
        "conductivity": {
            "table": _conductivity(sand),
            "range": "25 %",
            "source": _conductivity_source(sand),
            "grade": "estimated",
        },
    }


@cache
def minerals() -> dict[str, Any]:
    """Grains by name, as written in ``cards/minerals.toml``."""
    return tomllib.loads((CARDS / "minerals.toml").read_text(encoding="utf-8"))


def _conductivity(sand: Sand) -> list[list[str]]:
    rows = [(float(t), sand.dry_conductivity(t + ZERO_CELSIUS)) for t in DRY_NODES]
    if sand.moisture > 0:
        moist = [(float(t), sand.moist_conductivity(t + ZERO_CELSIUS)) for t in MOIST_NODES]
        rows = [*moist, (100.0, moist[-1][1]), *rows]
    else:
        rows.insert(0, (20.0, sand.dry_conductivity(ZERO_CELSIUS + 20.0)))
    return [[f"{t:g} °C", f"{np.round(value, 3):g} W/mK"] for t, value in rows]


def _conductivity_source(sand: Sand) -> str:
    dry = (
        "grain contacts from memory, plus radiation 4 F sigma d T^3 between the grains, F = 0.7; "
        "Machines 2024 12:414 found 0.1 to 1.5 by inverse identification"
    )
    if sand.moisture == 0:
        return dry
    return (
        "moist: Johansen 1975 with the Kersten number of Cote and Konrad 2005, and vapor that "
        f"diffuses and condenses farther out (Philip and de Vries 1957); dried: {dry}"
    )
