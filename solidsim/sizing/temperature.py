"""How much the metal cools from furnace to ladle to mold."""

from typing import Literal, NamedTuple

from solidsim.quantities import STEFAN_BOLTZMANN
from solidsim.sizing.checks import check_between, check_known, check_not_negative, check_positive
from solidsim.sizing.kinds import (
    Area,
    CoolingRate,
    Mass,
    Number,
    SpecificHeat,
    Temperature,
    TemperatureDifference,
    Time,
)

MINUTE = 60.0  # s
Ladle = Literal["hand", "drum-1t", "crucible-4t-lid"]
LADLES = {  # K/s: least, usual, most; the hand ladle (50 to 200 kg, open) from memory
    "hand": (8.0 / MINUTE, 14.0 / MINUTE, 20.0 / MINUTE),
    "drum-1t": (2.5 / MINUTE, 2.5 / MINUTE, 2.5 / MINUTE),
    "crucible-4t-lid": (2.0 / MINUTE, 2.0 / MINUTE, 2.0 / MINUTE),
}
HAND_LADLE = LADLES["hand"][1]


class LadleCooling(NamedTuple):
    """Cooling rate of metal in a ladle."""

    least: CoolingRate
    usual: CoolingRate
    most: CoolingRate


class PourTemperatures(NamedTuple):
    """Temperature in the ladle after tapping, as the pour begins, and as it ends."""

    in_ladle: Temperature
    first_metal: Temperature
    last_metal: Temperature


def ladle_cooling(ladle: Ladle) -> LadleCooling:
    """Cooling rate of iron in a kind of ladle; better, measure your own.

    Parameters
    ----------
    ladle : str

    Notes
    -----
    table: open hand ladle of 50 to 200 kg 8 to 20 K/min, drum ladle of 1 t 2.5 K/min,
    crucible ladle of 4 t with a lid 2 K/min

    References
    ----------
    A maker's technical note on ladles for drum and crucible; the hand ladle from memory.
    """
    check_known(LADLES, ladle=ladle)
    return LadleCooling(*LADLES[ladle])


def ladle_radiation(
    metal_weight: Mass,
    open_area: Area,
    metal_temperature: Temperature,
    specific_heat: SpecificHeat = 850.0,
    emissivity: Number = 0.4,
) -> CoolingRate:
    """Cooling rate of an open ladle by the radiation of its surface alone.

    A lower bound: the lining takes its share, most of all when it is cold.

    Parameters
    ----------
    metal_weight : float, [kg]
    open_area : float, [m2]
    metal_temperature : float, [K]
    specific_heat : float, [J/kgK]
    emissivity : float
        Of the surface as it lies: bright metal less, slag more.

    Notes
    -----
    rate = emissivity sigma T^4 A / (m c)

    References
    ----------
    Stefan and Boltzmann; specific heat and emissivity of molten iron from memory.
    """
    check_positive(metal_weight=metal_weight, open_area=open_area, specific_heat=specific_heat)
    check_positive(metal_temperature=metal_temperature)
    check_between(0.0, 1.0, emissivity=emissivity)
    flux = emissivity * STEFAN_BOLTZMANN * metal_temperature**4
    return flux * open_area / (metal_weight * specific_heat)


def pour_temperature(
    tap_temperature: Temperature,
    holding_time: Time,
    pouring_time: Time = 0.0,
    cooling_rate: CoolingRate = HAND_LADLE,
    tapping_loss: TemperatureDifference = 50.0,
) -> PourTemperatures:
    """Temperature at which the metal reaches the mold.

    Parameters
    ----------
    tap_temperature : float, [K]
        In the furnace.
    holding_time : float, [s]
        From the end of tapping to the start of the pour.
    pouring_time : float, [s]
    cooling_rate : float, [K/s]
        In the ladle; by ``ladle-cooling``.
    tapping_loss : float, [K]
        In the stream and the lining; more in a cold ladle.

    Notes
    -----
    T = T_tap - tapping loss - rate x time

    References
    ----------
    A balance; the tapping loss and the rate of a hand ladle from memory.
    """
    check_positive(tap_temperature=tap_temperature)
    check_not_negative(holding_time=holding_time, pouring_time=pouring_time)
    check_not_negative(cooling_rate=cooling_rate, tapping_loss=tapping_loss)
    in_ladle = tap_temperature - tapping_loss
    first = in_ladle - cooling_rate * holding_time
    last = first - cooling_rate * pouring_time
    check_positive(temperature_of_the_last_metal=last)
    return PourTemperatures(in_ladle, first, last)


def tap_temperature(
    pour_temperature: Temperature,
    holding_time: Time,
    cooling_rate: CoolingRate = HAND_LADLE,
    tapping_loss: TemperatureDifference = 50.0,
) -> Temperature:
    """Temperature to tap at, for a pour to begin at its temperature.

    Parameters
    ----------
    pour_temperature : float, [K]
        As the pour begins.
    holding_time : float, [s]
        From the end of tapping to the start of the pour.
    cooling_rate : float, [K/s]
        In the ladle; by ``ladle-cooling``.
    tapping_loss : float, [K]
        In the stream and the lining; more in a cold ladle.

    Notes
    -----
    T_tap = T + tapping loss + rate x time

    References
    ----------
    A balance; the tapping loss and the rate of a hand ladle from memory.
    """
    check_positive(pour_temperature=pour_temperature)
    check_not_negative(holding_time=holding_time)
    check_not_negative(cooling_rate=cooling_rate, tapping_loss=tapping_loss)
    return pour_temperature + tapping_loss + cooling_rate * holding_time
