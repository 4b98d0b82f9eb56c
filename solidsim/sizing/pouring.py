"""How fast to pour: by alloy, weight and section."""

import math
from typing import Literal

from solidsim.sizing.checks import check_known, check_less, check_positive
from solidsim.sizing.kinds import INCH, Area, Density, Length, Mass, Number, Time, Velocity

CopperAlloy = Literal["top-gated", "bottom-gated", "brass", "tin-bronze"]
COPPER = {"top-gated": 1.30, "bottom-gated": 1.80, "brass": 1.90, "tin-bronze": 2.80}


def iron_pouring_time(
    poured_weight: Mass, section_thickness: Length, fluidity: Length = 28 * INCH
) -> Time:
    """Pouring time of a gray-iron casting.

    The two forms do not meet at 450 kg: the second asks for about a third of the first.

    Parameters
    ----------
    poured_weight : float, [kg]
    section_thickness : float, [m]
        Average of the casting.
    fluidity : float, [m]
        Length of the fluidity spiral; 28 in is middling.

    Notes
    -----
    K = fluidity / 40 in;  up to 450 kg: t = K (1.41 + T / 14.59) sqrt(W);
    above: t = K (1.236 + T / 16.65) W^(1/3)  (s, mm, kg)

    References
    ----------
    AFS, as in Rao, Manufacturing Technology; the imperial K (0.95 + T / 0.853) sqrt(W) agrees.
    """
    check_positive(poured_weight=poured_weight, section_thickness=section_thickness)
    check_positive(fluidity=fluidity)
    k, thickness_mm = fluidity / (40.0 * INCH), 1000.0 * section_thickness
    if poured_weight <= 450.0:
        return k * (1.41 + thickness_mm / 14.59) * math.sqrt(poured_weight)
    return k * (1.236 + thickness_mm / 16.65) * poured_weight ** (1.0 / 3.0)


def steel_pouring_time(poured_weight: Mass) -> Time:
    """Pouring time of a steel casting.

    Parameters
    ----------
    poured_weight : float, [kg]
        Up to 100 t, beyond which the formula turns back.

    Notes
    -----
    t = (2.4335 - 0.3953 log10 W) sqrt(W)  (s, kg)

    References
    ----------
    Rao, Manufacturing Technology.
    """
    check_positive(poured_weight=poured_weight)
    check_less(poured_weight=poured_weight, weight_at_which_the_formula_ends=100e3)
    return (2.4335 - 0.3953 * math.log10(poured_weight)) * math.sqrt(poured_weight)


def ductile_pouring_time(poured_weight: Mass, constant: Number = 1.82) -> Time:
    """Pouring time of a ductile-iron casting in a shell mold poured upright.

    Parameters
    ----------
    poured_weight : float, [kg]
    constant : float
        Seconds per root of a kilogram.

    Notes
    -----
    t = K sqrt(W)  (s, kg)

    References
    ----------
    Rao, Manufacturing Technology.
    """
    check_positive(poured_weight=poured_weight, constant=constant)
    return constant * math.sqrt(poured_weight)


def copper_pouring_time(poured_weight: Mass, alloy: CopperAlloy = "bottom-gated") -> Time:
    """Pouring time of a casting in a copper alloy.

    Parameters
    ----------
    poured_weight : float, [kg]
    alloy : str

    Notes
    -----
    t = K W^(1/3)  (s, kg);  K = 1.3 top gated, 1.8 bottom gated, 1.9 brass, 2.8 tin bronze

    References
    ----------
    Rao, Manufacturing Technology; from memory.
    """
    check_known(COPPER, alloy=alloy)
    check_positive(poured_weight=poured_weight)
    return COPPER[alloy] * poured_weight ** (1.0 / 3.0)


def quiet_pouring_time(
    poured_weight: Mass, density: Density, gate_area: Area, velocity_limit: Velocity = 0.5
) -> Time:
    """Shortest pouring time at which the metal enters quietly, for any alloy.

    The rule for aluminum and bronze, which fold their skins into a fast front.

    Parameters
    ----------
    poured_weight : float, [kg]
    density : float, [kg/m3]
        Of the liquid.
    gate_area : float, [m2]
        All gates together.
    velocity_limit : float, [m/s]
        0.5; up to about 1 in sections of a few millimeters.

    Notes
    -----
    t = W / (rho A v_limit)

    References
    ----------
    Runyoro, Boutorabi & Campbell 1992, Trans. AFS 100:225.
    """
    check_positive(poured_weight=poured_weight, density=density, gate_area=gate_area)
    check_positive(velocity_limit=velocity_limit)
    return poured_weight / (density * gate_area * velocity_limit)
