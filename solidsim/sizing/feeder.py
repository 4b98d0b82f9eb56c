"""How large a feeder and its neck must be, and how far it feeds."""

import math
from typing import Literal, NamedTuple

from solidsim.errors import SizingError
from solidsim.sizing.checks import (
    check_between,
    check_known,
    check_less,
    check_not_negative,
    check_positive,
)
from solidsim.sizing.kinds import INCH, Fraction, Length, Number, TemperatureDifference, Volume

FeederShape = Literal["cylinder", "domed", "sphere"]
Seat = Literal["beside", "on-top"]
CaineAlloy = Literal["steel", "aluminum", "brass", "gray-iron", "aluminum-bronze"]
ShrinkingAlloy = Literal[
    "steel", "aluminum", "aluminum-copper", "aluminum-silicon", "copper", "brass", "white-iron"
]


class Feeder(NamedTuple):
    """A feeder; the modulus is that of its shape, without the sleeve's help."""

    modulus: Length
    diameter: Length
    height: Length
    volume: Volume


class Neck(NamedTuple):
    """A neck: its modulus and its diameter, side, or slot thickness."""

    modulus: Length
    size: Length


class CaineFeeder(NamedTuple):
    """Freezing ratio, least volume ratio of feeder to casting, and least feeder volume."""

    freezing_ratio: Number
    volume_ratio: Number
    feeder_volume: Volume


class Shrinkage(NamedTuple):
    """Volume lost in the liquid, in freezing, and both, as shares of the poured volume."""

    liquid: Fraction
    freezing: Fraction
    total: Fraction


CAINE = {  # a, b, c; from memory
    "steel": (0.10, 0.03, 1.00),
    "aluminum": (0.10, 0.06, 1.08),
    "brass": (0.04, 0.017, 1.00),
    "gray-iron": (0.33, 0.03, 1.00),
    "aluminum-bronze": (0.24, 0.017, 1.00),
}
SHRINKAGE = {  # liquid per kelvin of superheat (from memory), freezing (from memory: Kalpakjian)
    "steel": (1.6e-4, 0.030),  # freezing also in SFSA Feeding & Risering Guidelines 2001, section 2
    "aluminum": (1.3e-4, 0.066),
    "aluminum-copper": (1.3e-4, 0.063),
    "aluminum-silicon": (1.3e-4, 0.038),
    "copper": (1.0e-4, 0.049),
    "brass": (1.0e-4, 0.045),
    "white-iron": (1.5e-4, 0.0475),
}


def feeder_by_modulus(
    casting_modulus: Length,
    modulus_ratio: Number = 1.2,
    sleeve_factor: Number = 1.0,
    shape: FeederShape = "cylinder",
    height_ratio: Number = 1.5,
    seat: Seat = "on-top",
) -> Feeder:
    """Feeder that freezes after what it feeds.

    Parameters
    ----------
    casting_modulus : float, [m]
        Of the section to be fed.
    modulus_ratio : float
        Feeder over casting.
    sleeve_factor : float
        How much a sleeve stretches the modulus; 1 without. Trade papers give 1.3 to 1.5,
        fitted tests 1.07 to 1.27 (Williams, Hardin & Beckermann 2015): stay below 1.25.
    shape : str
    height_ratio : float
        Height over diameter; a sphere has none.
    seat : str
        On top of the casting its base does not cool.

    Notes
    -----
    Mf = ratio x Mc / sleeve factor;  D = Mf a / v, with v D^3 the volume and a D^2 the
    cooling surface of the shape

    References
    ----------
    Wlodawer 1966, Directional Solidification of Steel Castings; 1.2 from memory.
    """
    check_positive(casting_modulus=casting_modulus, modulus_ratio=modulus_ratio)
    check_between(1.0, 2.0, sleeve_factor=sleeve_factor)
    volume, area = _unit_shape(shape, height_ratio, seat)
    needed = modulus_ratio * casting_modulus / sleeve_factor
    return _feeder(needed * area / volume, shape, height_ratio, seat)


def feeder_by_volume(
    casting_volume: Volume,
    shrinkage: Fraction,
    feed_efficiency: Fraction = 0.14,
    shape: FeederShape = "cylinder",
    height_ratio: Number = 1.5,
    seat: Seat = "on-top",
) -> Feeder:
    """Feeder that holds the metal the casting and the feeder itself ask for.

    Parameters
    ----------
    casting_volume : float, [m3]
    shrinkage : float, [1]
        Liquid and freezing shrinkage together; by ``shrinkage``.
    feed_efficiency : float, [1]
        Share of its volume a feeder can give: 0.14 an open cylinder, more with a sleeve.
    shape : str
    height_ratio : float
        Height over diameter; a sphere has none.
    seat : str
        On top of the casting its base does not cool.

    Notes
    -----
    Vf = s Vc / (e - s)  (the feeder shrinks too)

    References
    ----------
    Campbell, Castings; 0.14 from memory.
    """
    check_positive(casting_volume=casting_volume, shrinkage=shrinkage)
    check_between(0.0, 1.0, feed_efficiency=feed_efficiency)
    check_less(shrinkage=shrinkage, feed_efficiency=feed_efficiency)
    needed = shrinkage * casting_volume / (feed_efficiency - shrinkage)
    volume, _ = _unit_shape(shape, height_ratio, seat)
    return _feeder((needed / volume) ** (1.0 / 3.0), shape, height_ratio, seat)


def feeder_by_caine(
    alloy: CaineAlloy, casting_volume: Volume, casting_modulus: Length, feeder_modulus: Length
) -> CaineFeeder:
    """Least volume of a feeder of a given modulus, after Caine.

    Parameters
    ----------
    alloy : str
    casting_volume : float, [m3]
    casting_modulus, feeder_modulus : float, [m]

    Notes
    -----
    X = a / (Y - b) + c, solved for Y;  X = Mf / Mc,  Y = Vf / Vc

    References
    ----------
    Caine 1949, Trans. AFS 57; constants from memory.
    """
    check_positive(casting_volume=casting_volume, casting_modulus=casting_modulus)
    check_positive(feeder_modulus=feeder_modulus)
    check_known(CAINE, alloy=alloy)
    a, b, c = CAINE[alloy]
    freezing_ratio = feeder_modulus / casting_modulus
    if freezing_ratio <= c:
        raise SizingError(
            f"no feeder is large enough: the feeder's modulus must be above {c:g} times "
            f"the casting's; given {freezing_ratio:.3g} times"
        )
    volume_ratio = a / (freezing_ratio - c) + b
    return CaineFeeder(freezing_ratio, volume_ratio, volume_ratio * casting_volume)


def feeder_neck(
    casting_modulus: Length,
    section: Literal["round", "square", "slot"] = "round",
    slot_width: Length = 0.0,
    modulus_ratio: Number = 1.1,
) -> Neck:
    """Neck that freezes after the casting and before the feeder.

    A long neck; a short one is kept open by the metal at its ends and may be smaller.

    Parameters
    ----------
    casting_modulus : float, [m]
    section : str
    slot_width : float, [m]
        Only of a slot.
    modulus_ratio : float
        Neck over casting.

    Notes
    -----
    Mn = ratio x Mc;  round: D = 4 Mn;  square: a = 4 Mn;  slot: t = 2 Mn w / (w - 2 Mn)

    References
    ----------
    Wlodawer 1966, Directional Solidification of Steel Castings; 1.1 from memory.
    """
    check_known(("round", "square", "slot"), section=section)
    check_positive(casting_modulus=casting_modulus, modulus_ratio=modulus_ratio)
    check_not_negative(slot_width=slot_width)
    needed = modulus_ratio * casting_modulus
    if section != "slot":
        return Neck(needed, 4.0 * needed)
    check_less(twice_the_neck_modulus=2.0 * needed, slot_width=slot_width)
    return Neck(needed, 2.0 * needed * slot_width / (slot_width - 2.0 * needed))


def feeding_distance(
    section: Literal["plate", "bar"],
    thickness: Length,
    end: Literal["mold", "chill", "feeder"] = "mold",
) -> Length:
    """How far from its edge a feeder keeps a steel casting sound.

    Later work finds longer distances, up to twice these (Carlson, Ou, Hardin & Beckermann 2002).

    Parameters
    ----------
    section : str
    thickness : float, [m]
        Of the plate, or side of the square bar.
    end : str
        What the metal runs against: mold, a chill, or the edge of the next feeder.

    Notes
    -----
    plate 4.5 T to a mold end, 50 mm more to a chill, 4 T between feeders;
    bar 6 sqrt(T in inches) inches to a mold end, T more to a chill

    References
    ----------
    Bishop & Pellini 1950, Trans. AFS 58; from memory.
    """
    check_known(("plate", "bar"), section=section)
    check_known(("mold", "chill", "feeder"), end=end)
    check_positive(thickness=thickness)
    if section == "plate":
        return {"mold": 4.5, "chill": 4.5, "feeder": 4.0}[end] * thickness + 0.05 * (end == "chill")
    if end == "feeder":
        raise SizingError("no distance is known for a bar between feeders; end it in mold or chill")
    return 6.0 * math.sqrt(thickness / INCH) * INCH + thickness * (end == "chill")


def shrinkage(alloy: ShrinkingAlloy, superheat: TemperatureDifference = 0.0) -> Shrinkage:
    """Shrinkage a feeder must make good, liquid and freezing.

    Gray and ductile irons grow as graphite forms: see ``iron-graphite``.

    Parameters
    ----------
    alloy : str
    superheat : float, [K]
        Above the liquidus, as the mold is full.

    Notes
    -----
    total = liquid shrinkage per degree x superheat + freezing shrinkage

    References
    ----------
    Kalpakjian table of freezing contraction, and liquid contraction per 100 °C (steel 1.6 %,
    white iron 1.5 %, aluminum 1.3 %, copper 1 %), from memory; steel also in SFSA 2001, section 2.
    """
    check_not_negative(superheat=superheat)
    check_known(SHRINKAGE, alloy=alloy)
    slope, freezing = SHRINKAGE[alloy]
    return Shrinkage(slope * superheat, freezing, slope * superheat + freezing)


def _unit_shape(shape: str, height_ratio: float, seat: str) -> tuple[float, float]:
    """Volume and cooling surface of a feeder of unit diameter."""
    check_known(("cylinder", "domed", "sphere"), shape=shape)
    check_known(("beside", "on-top"), seat=seat)
    if shape == "sphere":
        return math.pi / 6.0, math.pi
    check_positive(height_ratio=height_ratio)
    base = 0.0 if seat == "on-top" else math.pi / 4.0
    if shape == "cylinder":
        return math.pi / 4.0 * height_ratio, math.pi * height_ratio + math.pi / 4.0 + base
    check_between(0.5, 10.0, height_ratio_of_a_dome=height_ratio)
    straight = height_ratio - 0.5
    return math.pi / 4.0 * straight + math.pi / 12.0, math.pi * (straight + 0.5) + base


def _feeder(diameter: float, shape: str, height_ratio: float, seat: str) -> Feeder:
    volume, area = _unit_shape(shape, height_ratio, seat)
    height = diameter * (1.0 if shape == "sphere" else height_ratio)
    return Feeder(volume / area * diameter, diameter, height, volume * diameter**3)
