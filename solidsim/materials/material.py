"""A material as the solver needs it: one enthalpy curve, cut into zones at its phase changes."""

from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.irons import Iron

Array = NDArray[np.float64]
Kind = Literal["alloy", "mold", "chill", "insulation", "gas"]

REFERENCE_TEMPERATURE = 298.15  # K; enthalpy is zero here for the solid


@dataclass(frozen=True)
class Zone:
    """One stretch of an enthalpy curve between two phase changes.

    Parameters
    ----------
    enthalpy : ndarray, shape (n,), [J/m3]
        Strictly rising; the first and last stand on the zone's ends.
    temperature : ndarray, shape (n,), [K]
        Never falling; flat where a phase change runs at one temperature.
    conductivity : ndarray, shape (n,), [W/mK]
    solid_fraction : ndarray, shape (n,), [1]
        One for a material that never melts.
    """

    enthalpy: Array
    temperature: Array
    conductivity: Array
    solid_fraction: Array


@dataclass(frozen=True)
class EnthalpyCurve:
    """Temperature, conductivity and solid fraction against volumetric enthalpy.

    At most four zones, each starting at the enthalpy where the last one ended, so that every
    phase change lies on a breakpoint; between nodes all values are linear in enthalpy.
    """

    zones: tuple[Zone, ...]

    def temperature_at(self, enthalpy: Array) -> Array:
        """Temperature [K] at a volumetric enthalpy [J/m3], any shape."""
        return self._at(enthalpy, "temperature")

    def conductivity_at(self, enthalpy: Array) -> Array:
        """Conductivity [W/mK] at a volumetric enthalpy [J/m3], any shape."""
        return self._at(enthalpy, "conductivity")

    def solid_fraction_at(self, enthalpy: Array) -> Array:
        """Solid fraction [1] at a volumetric enthalpy [J/m3], any shape."""
        return self._at(enthalpy, "solid_fraction")

    def enthalpy_at(self, temperature: Array | float, *, molten: bool = True) -> Array:
        """Volumetric enthalpy [J/m3] at a temperature [K].

        Where a phase change runs at just this temperature, ``molten`` takes its upper end.
        Outside the curve's ends the last slope goes on.
        """
        wanted = np.atleast_1d(np.asarray(temperature, dtype=float))
        heights = np.concatenate([zone.temperature for zone in self.zones])
        enthalpies = np.concatenate([zone.enthalpy for zone in self.zones])
        side: Literal["left", "right"] = "right" if molten else "left"
        upper = np.clip(np.searchsorted(heights, wanted, side=side), 1, heights.size - 1)
        lower = upper - 1
        rise = heights[upper] - heights[lower]
        steps = np.where(rise > 0.0, rise, 1.0)
        share = np.where(rise > 0.0, (wanted - heights[lower]) / steps, 0.0)
        found = enthalpies[lower] + share * (enthalpies[upper] - enthalpies[lower])
        return found.reshape(np.shape(temperature))

    def enthalpy_at_solid_fraction(self, solid_fraction: float) -> float:
        """Volumetric enthalpy [J/m3] at which so much of the metal [1] has just become solid."""
        enthalpies = np.concatenate([zone.enthalpy for zone in self.zones])[::-1]
        frozen = np.concatenate([zone.solid_fraction for zone in self.zones])[::-1]
        after = max(int(np.argmax(frozen >= solid_fraction)), 1)
        rise = frozen[after] - frozen[after - 1]
        share = (solid_fraction - frozen[after - 1]) / rise if rise > 0.0 else 1.0
        return float(enthalpies[after - 1] + share * (enthalpies[after] - enthalpies[after - 1]))

    def _at(self, enthalpy: Array, name: str) -> Array:
        wanted = np.asarray(enthalpy, dtype=float)
        found = np.interp(wanted, self.zones[0].enthalpy, getattr(self.zones[0], name))
        for zone in self.zones[1:]:
            inside = wanted >= zone.enthalpy[0]
            found = np.where(inside, np.interp(wanted, zone.enthalpy, getattr(zone, name)), found)
        return found


@dataclass(frozen=True)
class Property:
    """A number of a card with its standing: range, source, grade and how it came into the case."""

    key: str
    text: str
    range_text: str
    source: str
    grade: str
    standing: Literal["given", "preset", "assumed"]


@dataclass(frozen=True)
class VolumeLaw:
    """How a melt changes its volume, relative to the liquid at the liquidus.

    Parameters
    ----------
    liquid_contraction : float, [1/K]
        Share of volume lost for each kelvin of cooling above the liquidus.
    solid_fraction, relative_volume : ndarray, shape (n,), [1]
        Volume while it freezes, one at no solid; it may grow where graphite forms.
    graphite_growth : ndarray, shape (n,), [1]
        Part of the relative volume that graphite has added by then, in a mold that does not give
        way; zeros for an alloy without graphite.
    """

    liquid_contraction: float
    solid_fraction: Array
    relative_volume: Array
    graphite_growth: Array

    def at(self, superheat: Array | float, solid_fraction: Array | float) -> Array:
        """Relative volume at a superheat over the liquidus [K], zero below it, and solid fraction.

        Straight lines between the nodes; solid metal is taken as it is at the solidus.
        """
        liquid = 1.0 + self.liquid_contraction * np.maximum(superheat, 0.0)
        frozen = np.interp(solid_fraction, self.solid_fraction, self.relative_volume)
        return np.asarray(liquid * frozen)


@dataclass(frozen=True)
class Reaction:
    """Burning of an exothermic sleeve or cover, once it is hot enough.

    Parameters
    ----------
    ignition_temperature : float, [K]
    heat : float, [J/kg]
        For a kilogram of the material as laid.
    duration : float, [s]
    """

    ignition_temperature: float
    heat: float
    duration: float


@dataclass(frozen=True)
class Material:
    """A material of the model, in SI.

    Parameters
    ----------
    name, title : str
    kind : {"alloy", "mold", "chill", "insulation", "gas"}
    density : float, [kg/m3]
        Constant in the heat balance, so that heat is conserved exactly.
    curve : EnthalpyCurve
    emissivity : float, [1]
        Of an open surface.
    temperature_range : (float, float), [K]
        The span in which the card's tables have a source.
    latent_heat : float, [J/kg]
        Zero for a material that never melts.
    solidus, liquidus : float, [K]
        NaN for a material that never melts.
    coherency, feeding_cutoff : float, [1]
        Solid fractions: dendrites meet, and liquid can no longer pass.
    volume : VolumeLaw or None
        Of an alloy whose card says how it shrinks.
    pattern_allowance : float, [1]
        Contraction of the solid casting to room temperature, as patternmakers allow it.
    permeability : float, [m2]
    wall_movement : float, [1]
        Share of the growth of graphite that a mold of it gives way to.
    gas : float, [m3/kg]
        Given off at casting heat, as a volume at room temperature.
    coating_resistance : float, [m2K/W]
        Of a wash on the surface that the metal meets.
    iron : Iron or None
        Composition of a graphitic iron, and what follows from it.
    reaction : Reaction or None
        Heat that an exothermic material gives off, once.
    dried : EnthalpyCurve or None
        Of moist sand whose water has left: the same above the boiling point, without the water
        and its heat below.
    properties : tuple of Property
    card : dict
        The whole card as written, for the results file.
    """

    name: str
    title: str
    kind: Kind
    density: float
    curve: EnthalpyCurve
    emissivity: float
    temperature_range: tuple[float, float]
    latent_heat: float = 0.0
    solidus: float = float("nan")
    liquidus: float = float("nan")
    coherency: float = float("nan")
    feeding_cutoff: float = float("nan")
    volume: VolumeLaw | None = None
    pattern_allowance: float = float("nan")
    permeability: float = float("nan")
    wall_movement: float = float("nan")
    gas: float = float("nan")
    coating_resistance: float = 0.0
    iron: Iron | None = None
    reaction: Reaction | None = None
    dried: EnthalpyCurve | None = None
    properties: tuple[Property, ...] = ()
    card: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class InterfaceConductance:
    """Heat conductance of the joint between two materials against the hotter surface's temperature.

    Parameters
    ----------
    temperature : ndarray, shape (n,), [K]
        Strictly rising; outside it the end values hold.
    conductance : ndarray, shape (n,), [W/m2K]
    source, grade : str
    """

    temperature: Array
    conductance: Array
    source: str
    grade: str
