"""Does the cope float, and what weight keeps it down."""

from typing import NamedTuple

from solidsim.quantities import GRAVITY
from solidsim.sizing.checks import check_between, check_not_negative, check_positive
from solidsim.sizing.kinds import Area, Density, Force, Length, Mass, Number, Volume


class CoreLift(NamedTuple):
    """Upward force of a core in metal: by the textbook, and with the core's own weight ignored."""

    textbook: Force
    core_weight_ignored: Force


class CopeLift(NamedTuple):
    """Forces on the cope and the weight to put on it, for both conventions of the core's lift."""

    metal_lift: Force
    core_lift_textbook: Force
    core_lift_weight_ignored: Force
    cope_weight: Force
    net_lift_textbook: Force
    added_weight_textbook: Mass
    added_weight_core_weight_ignored: Mass


def core_lift(core_volume: Volume, metal_density: Density, core_density: Density) -> CoreLift:
    """Upward force of a core that the metal surrounds.

    Parameters
    ----------
    core_volume : float, [m3]
        In the metal; prints do not count.
    metal_density, core_density : float, [kg/m3]

    Notes
    -----
    textbook: F = V (rho_metal - rho_core) g;  core's weight ignored: F = V rho_metal g

    References
    ----------
    Archimedes; textbook form in Rao, Manufacturing Technology, the other in German foundry
    glossaries.
    """
    check_positive(core_volume=core_volume, metal_density=metal_density, core_density=core_density)
    displaced = core_volume * metal_density * GRAVITY
    return CoreLift(displaced - core_volume * core_density * GRAVITY, displaced)


def cope_lift(
    metal_density: Density,
    head: Length,
    lifted_area: Area,
    cope_weight: Mass,
    core_volume: Volume = 0.0,
    core_density: Density = 1600.0,
    safety_factor: Number = 1.5,
) -> CopeLift:
    """Lift on the cope when the mold is full, and the weight to put on.

    Parameters
    ----------
    metal_density : float, [kg/m3]
        Of the liquid.
    head : float, [m]
        From the top of the casting to the highest level in basin and feeders.
    lifted_area : float, [m2]
        Of the casting and rigging under the cope, in plan.
    cope_weight : float, [kg]
        Sand and flask.
    core_volume : float, [m3]
        Of cores in the metal that bear on the cope; prints do not count.
    core_density : float, [kg/m3]
    safety_factor : float
        On the whole lift; 1.5 to 2, more where metal may drop in with a blow.

    Notes
    -----
    metal lift = rho g h A;  core lift as in core-lift;
    weight to add = factor (metal lift + core lift) / g - cope weight, not below zero

    References
    ----------
    Hydrostatics; Rao, Manufacturing Technology. The factor is common practice, no source.
    """
    check_positive(metal_density=metal_density, head=head, lifted_area=lifted_area)
    check_positive(core_density=core_density)
    check_not_negative(cope_weight=cope_weight, core_volume=core_volume)
    check_between(1.0, 10.0, safety_factor=safety_factor)
    metal = metal_density * GRAVITY * head * lifted_area
    core = CoreLift(0.0, 0.0)
    if core_volume:
        core = core_lift(core_volume, metal_density, core_density)
    textbook, ignored = (
        max(0.0, safety_factor * (metal + lift) / GRAVITY - cope_weight) for lift in core
    )
    held = cope_weight * GRAVITY
    return CopeLift(metal, *core, held, metal + core.textbook - held, textbook, ignored)
