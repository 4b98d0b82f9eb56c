"""Which rule for the pouring time belongs to an alloy, and what it says to a section."""

import math
from dataclasses import dataclass

from solidsim.materials.irons import Iron
from solidsim.section.layout import Section
from solidsim.sizing.drawn_modulus import part_moduli
from solidsim.sizing.pouring import (
    copper_pouring_time,
    ductile_pouring_time,
    iron_pouring_time,
    quiet_pouring_time,
    steel_pouring_time,
)

STEEL, HEAVY = 1650.0, 8000.0  # K, kg/m3: what freezes hotter is steel, what weighs more copper
USUAL = 1.5  # times a rule's time, longer or shorter; common practice, no source


@dataclass(frozen=True)
class UsualTime:
    """What a rule says to a pour: its name, its time [s], and the range about it [s].

    The rule of light alloys knows no longest time.
    """

    rule: str
    time: float
    shortest: float
    longest: float


def usual_pouring_time(
    poured_weight: float,
    section_thickness: float,
    *,
    iron: Iron | None,
    liquidus: float,
    density: float,
    gate_area: float | None = None,
) -> UsualTime | None:
    """Pouring time by the rule for an alloy; None for light alloys whose gates are not known.

    Parameters
    ----------
    poured_weight : float, [kg]
    section_thickness : float, [m]
        Average of the casting.
    iron : Iron or None
        What a graphitic iron is made of.
    liquidus : float, [K]
    density : float, [kg/m3]
    gate_area : float or None, [m2]
        All gates together.
    """
    if iron is not None and iron.graphite == "flakes":
        return _about("iron-pouring-time", iron_pouring_time(poured_weight, section_thickness))
    if iron is not None:
        return _about("ductile-pouring-time", ductile_pouring_time(poured_weight))
    if liquidus > STEEL:
        return _about("steel-pouring-time", steel_pouring_time(poured_weight))
    if density > HEAVY:
        return _about("copper-pouring-time", copper_pouring_time(poured_weight))
    if gate_area is None:
        return None
    quiet = quiet_pouring_time(poured_weight, density, gate_area)
    return UsualTime("quiet-pouring-time", quiet, quiet, math.inf)


def _about(rule: str, time: float) -> UsualTime:
    return UsualTime(rule, time, time / USUAL, time * USUAL)


def casting_thickness(section: Section) -> float:
    """Average thickness of the casting, [m]: twice its modulus, which is exact for a plate."""
    parts = [part for part in part_moduli(section) if part.role == "casting"]
    return 2.0 * sum(part.volume for part in parts) / sum(part.cooling_area for part in parts)
