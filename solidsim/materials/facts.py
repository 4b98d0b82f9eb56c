"""What follows from a card, in a few numbers that two materials can be compared by."""

import math
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from solidsim.materials.material import REFERENCE_TEMPERATURE, Material
from solidsim.quantities import ZERO_CELSIUS

RED_HEAT = ZERO_CELSIUS + 600.0  # K, for materials that never melt
BOILING = ZERO_CELSIUS + 100.0


class Fact(NamedTuple):
    """A number that follows from a card: words, value [SI], kind of quantity."""

    words: str
    value: float
    kind: str


def material_facts(material: Material) -> tuple[Fact, ...]:
    """Facts of a material by which it differs from others; those that it has."""
    facts = _melting(material) if material.latent_heat else _mold(material)
    return tuple(fact for fact in facts if math.isfinite(fact.value))


def _melting(material: Material) -> Iterator[Fact]:
    solid = material.solidus
    if material.iron is not None:
        yield Fact("carbon equivalent", material.iron.carbon_equivalent, "fraction")
        yield Fact("graphite", material.iron.graphite_share, "fraction")
    yield Fact("liquidus", material.liquidus, "temperature")
    yield Fact("solidus", solid, "temperature")
    yield Fact("freezing range", material.liquidus - solid, "temperature-difference")
    yield Fact("latent heat", material.latent_heat, "specific-energy")
    yield from _heat(material, solid, "solidus")
    if material.volume is not None:
        yield Fact("shrinks as it freezes", 1.0 - float(material.volume.at(0.0, 1.0)), "fraction")
    yield Fact("pattern allowance", material.pattern_allowance, "contraction")


def _mold(material: Material) -> Iterator[Fact]:
    curve = material.curve
    if material.dried is not None:
        ends = curve.enthalpy_at(BOILING, molten=True) - curve.enthalpy_at(BOILING, molten=False)
        yield Fact("heat of drying", float(ends) / material.density, "specific-energy")
    yield from _heat(material, RED_HEAT, "600 °C")
    if material.reaction is not None:
        yield Fact("burns at", material.reaction.ignition_temperature, "temperature")
        yield Fact("heat of burning", material.reaction.heat, "specific-energy")
        yield Fact("burns for", material.reaction.duration, "time")


def _heat(material: Material, hot: float, where: str) -> Iterator[Fact]:
    """Heat held from a room's warmth to a hot end, and conductivity at both."""
    curve = material.curve
    ends = curve.enthalpy_at(np.array([REFERENCE_TEMPERATURE, hot]), molten=False)
    held = float(ends[1] - ends[0])
    conductivity = curve.conductivity_at(ends)
    yield Fact("density", material.density, "density")
    yield Fact(f"heat held, 25 °C to {where}", held / material.density, "specific-energy")
    yield Fact("conductivity at 25 °C", float(conductivity[0]), "conductivity")
    yield Fact(f"conductivity at {where}", float(conductivity[1]), "conductivity")
