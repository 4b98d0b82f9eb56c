"""Areas of the gating system: choke, sprue, runners and gates, and the speed in the gates."""

import math
from typing import Literal, NamedTuple

from solidsim.quantities import GRAVITY
from solidsim.sizing.checks import check_count, check_known, check_positive
from solidsim.sizing.kinds import (
    Area,
    Density,
    Length,
    Mass,
    Number,
    Time,
    Velocity,
)

RatioAlloy = Literal["gray-iron", "ductile-iron", "steel", "aluminum", "brass"]


class Choke(NamedTuple):
    """The narrowest place of the gating: its area, and its diameter if round."""

    area: Area
    diameter: Length


class SprueTaper(NamedTuple):
    """Top of a sprue whose foot is the choke."""

    top_area: Area
    top_diameter: Length
    foot_diameter: Length


class GatingRatio(NamedTuple):
    """Areas of sprue foot, all runners and all gates, to the sprue's."""

    sprue: Number
    runner: Number
    gate: Number


class GatingAreas(NamedTuple):
    """Areas of a gating system, and which of the three is the choke."""

    sprue_area: Area
    runner_area: Area
    gate_area: Area
    each_runner: Area
    each_gate: Area
    choke: str


class GateSpeed(NamedTuple):
    """Speed in the gates, the height the metal would jump, and the gate area for the limit."""

    velocity: Velocity
    jump_height: Length
    area_for_limit: Area


RATIOS = {  # from memory, save aluminum
    "gray-iron": (1.0, 1.3, 1.1),
    "ductile-iron": (1.0, 2.0, 2.0),
    "steel": (1.0, 2.0, 1.5),
    "aluminum": (1.0, 2.0, 2.0),
    "brass": (1.0, 1.0, 3.0),
}


def choke_area(
    poured_weight: Mass,
    density: Density,
    pouring_time: Time,
    effective_head: Length,
    discharge_coefficient: Number = 0.8,
) -> Choke:
    """Area of the choke for a pouring time.

    Parameters
    ----------
    poured_weight : float, [kg]
    density : float, [kg/m3]
        Of the liquid.
    pouring_time : float, [s]
    effective_head : float, [m]
    discharge_coefficient : float
        0.8 to 0.9 for a tapered sprue, 0.7 to 0.85 with bends.

    Notes
    -----
    A = W / (rho t C sqrt(2 g H))

    References
    ----------
    Rao, Manufacturing Technology; the discharge coefficients from memory.
    """
    check_positive(poured_weight=poured_weight, density=density, pouring_time=pouring_time)
    check_positive(effective_head=effective_head, discharge_coefficient=discharge_coefficient)
    velocity = discharge_coefficient * math.sqrt(2.0 * GRAVITY * effective_head)
    area = poured_weight / (density * pouring_time * velocity)
    return Choke(area, _diameter(area))


def sprue_taper(choke_area: Area, basin_depth: Length, sprue_height: Length) -> SprueTaper:
    """Top of a sprue that stays full, tapered as the falling stream.

    Parameters
    ----------
    choke_area : float, [m2]
        At the foot.
    basin_depth : float, [m]
        Metal above the sprue's top.
    sprue_height : float, [m]

    Notes
    -----
    A_top = A_foot sqrt((basin + sprue) / basin)

    References
    ----------
    Continuity and Torricelli.
    """
    check_positive(choke_area=choke_area, basin_depth=basin_depth, sprue_height=sprue_height)
    top = choke_area * math.sqrt((basin_depth + sprue_height) / basin_depth)
    return SprueTaper(top, _diameter(top), _diameter(choke_area))


def gating_ratio(alloy: RatioAlloy) -> GatingRatio:
    """Gating ratio in common use for an alloy: sprue to runners to gates.

    Parameters
    ----------
    alloy : str

    Notes
    -----
    table: gray iron 1 : 1.3 : 1.1, ductile iron 1 : 2 : 2, steel 1 : 2 : 1.5,
    aluminum 1 : 2 : 2, brass 1 : 1 : 3

    References
    ----------
    From memory; practice varies widely. Aluminum 1 : 2 : 2 stands in examination questions.
    """
    check_known(RATIOS, alloy=alloy)
    return GatingRatio(*RATIOS[alloy])


def gating_areas(
    choke_area: Area,
    sprue: Number = 1.0,
    runner: Number = 2.0,
    gate: Number = 2.0,
    runners: Number = 1.0,
    gates: Number = 1.0,
) -> GatingAreas:
    """Areas of sprue foot, runners and gates for a gating ratio.

    Gates smaller than the sprue keep the system full (pressurized) but jet; larger ones run
    quietly and need care to stay full.

    Parameters
    ----------
    choke_area : float, [m2]
    sprue, runner, gate : float
        The gating ratio.
    runners, gates : float
        How many of each.

    Notes
    -----
    area = choke x share / smallest share;  the smallest of the three is the choke

    References
    ----------
    Definition of the gating ratio.
    """
    check_positive(choke_area=choke_area, sprue=sprue, runner=runner, gate=gate)
    check_count(1, 100, runners=runners, gates=gates)
    shares = {"sprue": sprue, "runners": runner, "gates": gate}
    smallest = min(shares, key=lambda name: shares[name])
    foot, all_runners, all_gates = (
        choke_area * share / shares[smallest] for share in shares.values()
    )
    return GatingAreas(
        foot, all_runners, all_gates, all_runners / runners, all_gates / gates, smallest
    )


def gate_speed(
    poured_weight: Mass,
    density: Density,
    pouring_time: Time,
    gate_area: Area,
    velocity_limit: Velocity = 0.5,
) -> GateSpeed:
    """Speed of the metal in the gates, against the speed at which it begins to jet and fold.

    Parameters
    ----------
    poured_weight : float, [kg]
    density : float, [kg/m3]
        Of the liquid.
    pouring_time : float, [s]
    gate_area : float, [m2]
        All gates together.
    velocity_limit : float, [m/s]
        0.5; up to about 1 in sections of a few millimeters.

    Notes
    -----
    v = W / (rho t A);  jump = v^2 / (2 g);  area for limit = W / (rho t v_limit)

    References
    ----------
    Runyoro, Boutorabi & Campbell 1992, Trans. AFS 100:225.
    """
    check_positive(poured_weight=poured_weight, density=density, pouring_time=pouring_time)
    check_positive(gate_area=gate_area, velocity_limit=velocity_limit)
    flow = poured_weight / (density * pouring_time)
    velocity = flow / gate_area
    return GateSpeed(velocity, velocity**2 / (2.0 * GRAVITY), flow / velocity_limit)


def _diameter(area: float) -> float:
    return math.sqrt(4.0 * area / math.pi)
