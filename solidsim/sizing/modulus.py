"""Modulus (volume over cooling surface) of usual shapes, and freezing time by Chvorinov."""

import math

from solidsim.sizing.checks import check_count, check_less, check_positive
from solidsim.sizing.kinds import (
    Area,
    Conductivity,
    Density,
    Length,
    MoldConstant,
    Number,
    SpecificEnergy,
    SpecificHeat,
    Temperature,
    Time,
    Volume,
)


def modulus(volume: Volume, cooling_area: Area) -> Length:
    """Modulus of a body.

    Parameters
    ----------
    volume : float, [m3]
    cooling_area : float, [m2]
        Surface that touches the mold; not where it joins other metal.

    Notes
    -----
    M = V / A

    References
    ----------
    Chvorinov 1940, Giesserei 27.
    """
    check_positive(volume=volume, cooling_area=cooling_area)
    return volume / cooling_area


def plate_modulus(thickness: Length) -> Length:
    """Modulus of a wide plate, its edges left out.

    Parameters
    ----------
    thickness : float, [m]

    Notes
    -----
    M = t / 2

    References
    ----------
    Volume over surface.
    """
    check_positive(thickness=thickness)
    return thickness / 2.0


def bar_modulus(width: Length, height: Length) -> Length:
    """Modulus of a long rectangular bar, or of a ring of that section.

    Parameters
    ----------
    width, height : float, [m]
        Of the section.

    Notes
    -----
    M = w h / (2 (w + h))

    References
    ----------
    Volume over surface.
    """
    check_positive(width=width, height=height)
    return width * height / (2.0 * (width + height))


def block_modulus(length: Length, width: Length, height: Length) -> Length:
    """Modulus of a block with six cooling faces.

    Parameters
    ----------
    length, width, height : float, [m]

    Notes
    -----
    M = l w h / (2 (l w + w h + h l))

    References
    ----------
    Volume over surface.
    """
    check_positive(length=length, width=width, height=height)
    faces = length * width + width * height + height * length
    return length * width * height / (2.0 * faces)


def cylinder_modulus(diameter: Length, height: Length, cooling_ends: Number = 2.0) -> Length:
    """Modulus of a cylinder.

    Parameters
    ----------
    diameter, height : float, [m]
    cooling_ends : float
        0 for a long bar, 1 for a feeder that stands on the casting, 2 where both ends cool.

    Notes
    -----
    M = D H / (4 H + n D), n the number of cooling ends

    References
    ----------
    Volume over surface.
    """
    check_positive(diameter=diameter, height=height)
    check_count(0, 2, cooling_ends=cooling_ends)
    return diameter * height / (4.0 * height + cooling_ends * diameter)


def sphere_modulus(diameter: Length) -> Length:
    """Modulus of a sphere.

    Parameters
    ----------
    diameter : float, [m]

    Notes
    -----
    M = D / 6

    References
    ----------
    Volume over surface.
    """
    check_positive(diameter=diameter)
    return diameter / 6.0


def freezing_time(modulus: Length, mold_constant: MoldConstant) -> Time:
    """Freezing time of a body from its modulus.

    For plates; in sand a round bar of the same modulus freezes in about 0.73 of this time and
    a sphere in about 0.68.

    Parameters
    ----------
    modulus : float, [m]
    mold_constant : float, [s/m2]
        Of this alloy in this sand; from a casting of your own by ``mold-constant``.

    Notes
    -----
    t = B M^2

    References
    ----------
    Chvorinov 1940, Giesserei 27.
    """
    check_positive(modulus=modulus, mold_constant=mold_constant)
    return mold_constant * modulus**2


def mold_constant(modulus: Length, freezing_time: Time) -> MoldConstant:
    """Mold constant from one casting whose freezing time is known.

    Parameters
    ----------
    modulus : float, [m]
    freezing_time : float, [s]

    Notes
    -----
    B = t / M^2

    References
    ----------
    Chvorinov 1940, Giesserei 27.
    """
    check_positive(modulus=modulus, freezing_time=freezing_time)
    return freezing_time / modulus**2


def sand_mold_constant(
    freezing_temperature: Temperature,
    mold_temperature: Temperature,
    metal_density: Density,
    heat_released: SpecificEnergy,
    mold_conductivity: Conductivity,
    mold_density: Density,
    mold_specific_heat: SpecificHeat,
) -> MoldConstant:
    """Mold constant of a plate in thick sand, from the properties of metal and sand.

    Parameters
    ----------
    freezing_temperature, mold_temperature : float, [K]
    metal_density : float, [kg/m3]
    heat_released : float, [J/kg]
        Latent heat, and the superheat times the specific heat of the liquid.
    mold_conductivity : float, [W/mK]
    mold_density : float, [kg/m3]
    mold_specific_heat : float, [J/kgK]

    Notes
    -----
    B = (pi / 4) (rho H / (Tf - T0))^2 / (k rho c)_mold

    References
    ----------
    Flemings 1974, Solidification Processing, p. 12.
    """
    check_less(mold_temperature=mold_temperature, freezing_temperature=freezing_temperature)
    check_positive(mold_temperature=mold_temperature, freezing_temperature=freezing_temperature)
    check_positive(metal_density=metal_density, heat_released=heat_released)
    check_positive(mold_conductivity=mold_conductivity, mold_density=mold_density)
    check_positive(mold_specific_heat=mold_specific_heat)
    heat = metal_density * heat_released / (freezing_temperature - mold_temperature)
    return math.pi / 4.0 * heat**2 / (mold_conductivity * mold_density * mold_specific_heat)
