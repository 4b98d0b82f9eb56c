"""How much inoculant, and how long it keeps."""

from typing import Literal, NamedTuple

from solidsim.sizing.checks import check_known, check_not_negative, check_positive
from solidsim.sizing.kinds import Fraction, Length, Mass, Time

MINUTE = 60.0  # s
FADE_WARNING, FADE_LIMIT = 8.0 * MINUTE, 12.0 * MINUTE  # s
SHARES = {"gray-iron": 0.002, "ductile-iron": 0.0075}
SMALL_LADLE = 300.0  # kg


class Inoculant(NamedTuple):
    """Inoculant to weigh out, its share of the metal, and its grain size."""

    amount: Mass
    share: Fraction
    finest_grain: Length
    coarsest_grain: Length


class FadeClock(NamedTuple):
    """Time left before the inoculant weakens, and before the metal must not be poured."""

    left_to_warning: Time
    left_to_limit: Time


def inoculant_amount(
    metal_weight: Mass, iron: Literal["gray-iron", "ductile-iron"] = "gray-iron"
) -> Inoculant:
    """Inoculant to stir into the ladle, and its grain size.

    Parameters
    ----------
    metal_weight : float, [kg]
        In the ladle.
    iron : str

    Notes
    -----
    0.2 % for gray iron, 0.75 % for ductile iron; grains of 0.5 to 3 mm up to 300 kg in the
    ladle, 1 to 6 mm above

    References
    ----------
    Elkem, technical note on ladle inoculation.
    """
    check_known(SHARES, iron=iron)
    check_positive(metal_weight=metal_weight)
    grains = (0.0005, 0.003) if metal_weight <= SMALL_LADLE else (0.001, 0.006)
    return Inoculant(SHARES[iron] * metal_weight, SHARES[iron], *grains)


def fade_clock(time_since_stirred_in: Time = 0.0) -> FadeClock:
    """Time that is left before the last mold must be full.

    Parameters
    ----------
    time_since_stirred_in : float, [s]

    Notes
    -----
    left = 8 min to the warning, 12 min to the limit, less the time since; below zero is past

    References
    ----------
    Limits of 7 to 12 min in hand-poured ductile iron: Huerta & Popovski 2005, AFS. Gray iron
    was tested up to 22 min (Popovski et al. 2005).
    """
    check_not_negative(time_since_stirred_in=time_since_stirred_in)
    return FadeClock(FADE_WARNING - time_since_stirred_in, FADE_LIMIT - time_since_stirred_in)
