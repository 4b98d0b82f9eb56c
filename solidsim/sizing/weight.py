"""What the casting and its rigging weigh, and what must be charged to pour them."""

import math
from typing import NamedTuple

from solidsim.section.layout import Section
from solidsim.sizing.checks import check_between, check_not_negative, check_positive
from solidsim.sizing.kinds import Density, Fraction, Mass, Number, Volume


class Charge(NamedTuple):
    """Metal through the mold, over for the pig mold, lost in melting, and to be charged."""

    poured_weight: Mass
    pigged_weight: Mass
    lost_weight: Mass
    charge: Mass


class CrucibleRoom(NamedTuple):
    """Weight the crucible can give, what is left of it (short, if below zero), and heats needed."""

    usable_weight: Mass
    room_left: Mass
    heats: Number


class SectionWeights(NamedTuple):
    """Weights of a drawn section by what the metal is for; depths as drawn."""

    casting: Mass
    feeding: Mass
    gating: Mass
    poured: Mass
    casting_yield: Fraction


def weight(volume: Volume, density: Density) -> Mass:
    """Weight of a volume of metal or sand.

    Parameters
    ----------
    volume : float, [m3]
    density : float, [kg/m3]
        Of the solid for a casting's weight.

    Notes
    -----
    weight = volume x density

    References
    ----------
    Definition.
    """
    check_positive(volume=volume, density=density)
    return volume * density


def casting_yield(casting_weight: Mass, rigging_weight: Mass) -> Fraction:
    """Share of the poured metal that is casting.

    Parameters
    ----------
    casting_weight : float, [kg]
    rigging_weight : float, [kg]
        Feeders, gates, runners and sprue together.

    Notes
    -----
    yield = casting / (casting + rigging)

    References
    ----------
    Definition.
    """
    check_positive(casting_weight=casting_weight)
    check_not_negative(rigging_weight=rigging_weight)
    return casting_weight / (casting_weight + rigging_weight)


def melt_charge(
    casting_weight: Mass,
    rigging_weight: Mass,
    pigged_share: Fraction = 0.10,
    melting_loss: Fraction = 0.03,
) -> Charge:
    """Metal to charge for one mold.

    Parameters
    ----------
    casting_weight : float, [kg]
    rigging_weight : float, [kg]
        Feeders, gates, runners and sprue together.
    pigged_share : float, [1]
        Metal to have over, to be pigged, as a share of the poured weight.
    melting_loss : float, [1]
        Share of the charge that goes into slag and fume.

    Notes
    -----
    charge = (casting + rigging) (1 + pigged share) / (1 - melting loss)

    References
    ----------
    A balance of metal; the two shares are common practice, no source.
    """
    check_positive(casting_weight=casting_weight)
    check_not_negative(rigging_weight=rigging_weight, pigged_share=pigged_share)
    check_between(0.0, 0.5, melting_loss=melting_loss)
    poured = casting_weight + rigging_weight
    charge = poured * (1.0 + pigged_share) / (1.0 - melting_loss)
    return Charge(poured, poured * pigged_share, charge * melting_loss, charge)


def crucible_room(
    charge: Mass, crucible_capacity: Mass, filled_share: Fraction = 0.9
) -> CrucibleRoom:
    """Room in the crucible for the charge, and heats it takes.

    Parameters
    ----------
    charge : float, [kg]
    crucible_capacity : float, [kg]
        Filled to the brim with this metal.
    filled_share : float, [1]
        How full it may be carried.

    Notes
    -----
    usable = filled share x capacity;  room left = usable - charge;  heats = charge / usable,
    rounded up

    References
    ----------
    A balance of metal; the filled share is common practice, no source.
    """
    check_positive(charge=charge, crucible_capacity=crucible_capacity)
    check_between(0.1, 1.0, filled_share=filled_share)
    usable = filled_share * crucible_capacity
    return CrucibleRoom(usable, usable - charge, math.ceil(charge / usable * (1.0 - 1e-12)))


def section_weights(section: Section, density: float) -> SectionWeights:
    """Weights [kg] of casting, feeders with necks, and gating of a section, of a density [kg/m3].

    A part drawn ``through`` counts with its one meter of depth.
    """
    check_positive(density=density)

    def weigh(*roles: str) -> float:
        return density * sum(part.drawn_volume for part in section.parts if part.role in roles)

    casting, feeding = weigh("casting"), weigh("feeder", "neck")
    gating = weigh("ingate", "runner", "sprue")
    poured = casting + feeding + gating
    return SectionWeights(
        casting, feeding, gating, poured, casting_yield(casting, poured - casting)
    )
