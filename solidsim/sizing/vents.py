"""Vents for the air that the metal drives out."""

import math
from typing import NamedTuple

from solidsim.sizing.checks import check_not_negative, check_positive
from solidsim.sizing.kinds import (
    Area,
    FlowRate,
    Length,
    Number,
    Pressure,
    Temperature,
    Time,
    Volume,
)

AIR_CONSTANT = 287.05  # J/kgK, U.S. Standard Atmosphere 1976
ATMOSPHERE = 101325.0  # Pa
BACK_PRESSURE = 100.0  # Pa, holds up 1.5 mm of iron; from memory


class Vents(NamedTuple):
    """Area of all vents together, and how many of a diameter make it up."""

    area: Area
    number: Number


def vents_by_choke(
    choke_area: Area, vent_diameter: Length = 0.005, area_ratio: Number = 1.0
) -> Vents:
    """Vents by the rule that they must pass at least the area of the choke.

    Parameters
    ----------
    choke_area : float, [m2]
    vent_diameter : float, [m]
    area_ratio : float
        1; 1.5 to 2.5 for intricate thin-walled castings.

    Notes
    -----
    vent area = ratio x choke area;  number = vent area / (pi d^2 / 4), rounded up

    References
    ----------
    ZHY Casting, "Design of venting systems in sand casting"; a trade page.
    """
    check_positive(choke_area=choke_area, vent_diameter=vent_diameter, area_ratio=area_ratio)
    return _vents(area_ratio * choke_area, vent_diameter)


def vents_by_pressure(
    cavity_volume: Volume,
    pouring_time: Time,
    back_pressure: Pressure = BACK_PRESSURE,
    vent_diameter: Length = 0.005,
    air_temperature: Temperature = 800.0,
    mold_temperature: Temperature = 293.15,
    discharge_coefficient: Number = 0.6,
    sand_flow: FlowRate = 0.0,
) -> Vents:
    """Vents that let the heated air out against a small pressure in the cavity.

    Counts the air of the cavity alone: steam and binder gas come on top. No vents are needed
    where the sand takes it all.

    Parameters
    ----------
    cavity_volume : float, [m3]
    pouring_time : float, [s]
    back_pressure : float, [Pa]
        100 Pa holds up 1.5 mm of iron.
    vent_diameter : float, [m]
    air_temperature, mold_temperature : float, [K]
        Of the air as it leaves, and before the pour.
    discharge_coefficient : float
    sand_flow : float, [m3/s]
        Air that passes through the sand itself at this pressure.

    Notes
    -----
    Q = V / t x T_air / T_mold - Q_sand;  v = sqrt(2 p / rho_air);  A = Q / (C v)

    References
    ----------
    Bernoulli and the gas law; pressure, air temperature and coefficient from memory.
    """
    check_positive(cavity_volume=cavity_volume, pouring_time=pouring_time)
    check_positive(back_pressure=back_pressure, vent_diameter=vent_diameter)
    check_positive(air_temperature=air_temperature, mold_temperature=mold_temperature)
    check_positive(discharge_coefficient=discharge_coefficient)
    check_not_negative(sand_flow=sand_flow)
    flow = cavity_volume / pouring_time * air_temperature / mold_temperature - sand_flow
    density = ATMOSPHERE / (AIR_CONSTANT * air_temperature)
    velocity = math.sqrt(2.0 * back_pressure / density)
    return _vents(max(flow, 0.0) / (discharge_coefficient * velocity), vent_diameter)


def _vents(area: float, diameter: float) -> Vents:
    return Vents(area, math.ceil(area / (math.pi / 4.0 * diameter**2) * (1.0 - 1e-12)))
