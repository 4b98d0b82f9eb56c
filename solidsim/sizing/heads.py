"""Heads and the speed they give: sprue flow, filling and emptying, all after Torricelli."""

import math
from typing import NamedTuple

from solidsim.errors import SizingError
from solidsim.quantities import GRAVITY
from solidsim.sizing.checks import check_less, check_not_negative, check_positive
from solidsim.sizing.kinds import Area, FlowRate, Length, Number, Time, Velocity, Volume


class SprueFlow(NamedTuple):
    """Speed and flow at the foot of a sprue, and the time to fill the cavity."""

    velocity: Velocity
    flow: FlowRate
    fill_time: Time


class EffectiveHead(NamedTuple):
    """Steady head of the same filling time: by the handbook, and without its approximation."""

    handbook: Length
    exact: Length


def sprue_flow(
    sprue_height: Length,
    foot_area: Area,
    cavity_volume: Volume,
    discharge_coefficient: Number = 1.0,
) -> SprueFlow:
    """Speed and flow of metal at the foot of a sprue.

    Parameters
    ----------
    sprue_height : float, [m]
        From the level in the basin to the foot.
    foot_area : float, [m2]
    cavity_volume : float, [m3]
    discharge_coefficient : float
        1 without losses; 0.8 to 0.9 for a tapered sprue, 0.7 to 0.85 with bends.

    Notes
    -----
    v = sqrt(2 g h);  Q = C A v;  t = V / Q

    References
    ----------
    Torricelli; Groover, Fundamentals of Modern Manufacturing, section 10.2.
    """
    check_positive(sprue_height=sprue_height, foot_area=foot_area, cavity_volume=cavity_volume)
    check_positive(discharge_coefficient=discharge_coefficient)
    velocity = math.sqrt(2.0 * GRAVITY * sprue_height)
    flow = discharge_coefficient * foot_area * velocity
    return SprueFlow(velocity, flow, cavity_volume / flow)


def effective_head(
    head: Length, casting_height: Length, height_above_gate: Length
) -> EffectiveHead:
    """Head that fills the casting in the same time as the falling true head.

    Parameters
    ----------
    head : float, [m]
        From the gate to the level in the basin.
    casting_height : float, [m]
    height_above_gate : float, [m]
        Part of the casting above the gate: 0 for a top gate, all of it for a bottom gate.

    Notes
    -----
    handbook: H - p^2 / (2 c);
    exact: c / sqrt(He) = (c - p) / sqrt(H) + 2 (sqrt(H) - sqrt(H - p))

    References
    ----------
    Handbook form: Rao, Manufacturing Technology. Exact form: Torricelli over the rising level
    of a casting of even section.
    """
    check_positive(head=head, casting_height=casting_height)
    check_not_negative(height_above_gate=height_above_gate)
    if height_above_gate > min(casting_height, head):
        raise SizingError(
            "height above gate must not be more than the casting height and the head; given "
            f"{height_above_gate:g} m against {casting_height:g} m and {head:g} m"
        )
    below = (casting_height - height_above_gate) / math.sqrt(head)
    above = 2.0 * (math.sqrt(head) - math.sqrt(head - height_above_gate))
    handbook = head - height_above_gate**2 / (2.0 * casting_height)
    return EffectiveHead(handbook, (casting_height / (below + above)) ** 2)


def bottom_fill_time(
    casting_area: Area,
    gate_area: Area,
    head: Length,
    casting_height: Length,
    discharge_coefficient: Number = 1.0,
) -> Time:
    """Time to fill a casting of even section through a gate at its bottom.

    Parameters
    ----------
    casting_area : float, [m2]
        In plan.
    gate_area : float, [m2]
    head : float, [m]
        From the gate to the level in the basin.
    casting_height : float, [m]
    discharge_coefficient : float

    Notes
    -----
    t = 2 A / (C a sqrt(2 g)) (sqrt(H) - sqrt(H - h))

    References
    ----------
    Torricelli over the rising level.
    """
    check_positive(casting_area=casting_area, gate_area=gate_area)
    check_positive(casting_height=casting_height, head=head)
    check_less(casting_height=casting_height, head=head)
    fallen = head - casting_height
    return emptying_time(casting_area, gate_area, head, fallen, discharge_coefficient)


def emptying_time(
    vessel_area: Area,
    hole_area: Area,
    start_depth: Length,
    end_depth: Length = 0.0,
    discharge_coefficient: Number = 0.61,
) -> Time:
    """Time in which a vessel runs down through a hole in its bottom.

    Parameters
    ----------
    vessel_area, hole_area : float, [m2]
    start_depth, end_depth : float, [m]
        Above the hole.
    discharge_coefficient : float
        0.61 for a sharp hole.

    Notes
    -----
    t = A / (C a) sqrt(2 / g) (sqrt(h1) - sqrt(h2))

    References
    ----------
    Torricelli; 0.61 from memory.
    """
    check_positive(vessel_area=vessel_area, hole_area=hole_area, start_depth=start_depth)
    check_positive(discharge_coefficient=discharge_coefficient)
    check_not_negative(end_depth=end_depth)
    check_less(end_depth=end_depth, start_depth=start_depth)
    fall = math.sqrt(start_depth) - math.sqrt(end_depth)
    return vessel_area / (discharge_coefficient * hole_area) * math.sqrt(2.0 / GRAVITY) * fall
