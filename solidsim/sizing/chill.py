"""How large a chill (the block) must be; whether it chills the edge is another question."""

from typing import NamedTuple

from solidsim.errors import SizingError
from solidsim.sizing.checks import check_between, check_less, check_positive
from solidsim.sizing.kinds import (
    Area,
    Fraction,
    Length,
    Mass,
    Number,
    SpecificEnergy,
    SpecificHeat,
    TemperatureDifference,
    Volume,
)


class ChillFace(NamedTuple):
    """Area the chill must touch, and its share of the cooling surface."""

    area: Area
    share: Fraction


def chilled_modulus(
    volume: Volume, cooling_area: Area, chilled_area: Area, chill_factor: Number = 3.0
) -> Length:
    """Modulus of a section, part of which lies against a chill.

    Parameters
    ----------
    volume : float, [m3]
    cooling_area : float, [m2]
        Whole cooling surface, the chilled part in it.
    chilled_area : float, [m2]
    chill_factor : float
        How many times better than sand the chill cools.

    Notes
    -----
    M = V / (A + (f - 1) A_chill)

    References
    ----------
    After Wlodawer 1966, Directional Solidification of Steel Castings; the factor from memory.
    """
    check_positive(volume=volume, cooling_area=cooling_area, chilled_area=chilled_area)
    check_between(1.1, 100.0, chill_factor=chill_factor)
    if chilled_area > cooling_area:
        raise SizingError("chilled area must not be larger than the cooling area it is part of")
    return volume / (cooling_area + (chill_factor - 1.0) * chilled_area)


def chill_face(
    volume: Volume, cooling_area: Area, wanted_modulus: Length, chill_factor: Number = 3.0
) -> ChillFace:
    """Area a chill must touch to bring a hot spot down to a modulus.

    Parameters
    ----------
    volume : float, [m3]
        Of the hot spot.
    cooling_area : float, [m2]
        Whole cooling surface of the hot spot.
    wanted_modulus : float, [m]
        Say, that of the section which feeds it, over 1.1.
    chill_factor : float
        How many times better than sand the chill cools.

    Notes
    -----
    A_chill = (V / M - A) / (f - 1)

    References
    ----------
    After Wlodawer 1966, Directional Solidification of Steel Castings; the factor from memory.
    """
    check_positive(volume=volume, cooling_area=cooling_area, wanted_modulus=wanted_modulus)
    check_between(1.1, 100.0, chill_factor=chill_factor)
    check_less(wanted_modulus=wanted_modulus, modulus_without_chill=volume / cooling_area)
    area = (volume / wanted_modulus - cooling_area) / (chill_factor - 1.0)
    if area > cooling_area:
        least = 1000.0 * volume / (cooling_area * chill_factor)
        raise SizingError(
            "no chill is large enough: chilled all over, the modulus would be "
            f"{least:.3g} mm; wanted {1000.0 * wanted_modulus:.3g} mm"
        )
    return ChillFace(area, area / cooling_area)


def chill_weight(
    chilled_weight: Mass,
    heat_released: SpecificEnergy,
    chill_specific_heat: SpecificHeat = 540.0,
    chill_temperature_rise: TemperatureDifference = 600.0,
) -> Mass:
    """Least weight of a chill that takes up the heat of the metal it is to freeze.

    Parameters
    ----------
    chilled_weight : float, [kg]
        Metal that the chill, not the sand, must freeze.
    heat_released : float, [J/kg]
        Latent heat, and the superheat times the specific heat of the liquid.
    chill_specific_heat : float, [J/kgK]
        540 gray iron, 500 steel, 390 copper.
    chill_temperature_rise : float, [K]
        What it may warm up on the average by the end of freezing.

    Notes
    -----
    W = W_metal H / (c dT)

    References
    ----------
    A balance of heat; specific heats and the rise from memory.
    """
    check_positive(chilled_weight=chilled_weight, heat_released=heat_released)
    check_positive(chill_specific_heat=chill_specific_heat)
    check_positive(chill_temperature_rise=chill_temperature_rise)
    return chilled_weight * heat_released / (chill_specific_heat * chill_temperature_rise)
