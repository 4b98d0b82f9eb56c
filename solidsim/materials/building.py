"""From a card to a material: read it, check it, and lay its enthalpy curve."""

from collections.abc import Mapping
from math import inf, nan
from typing import Any, Literal, get_args

import numpy as np

from solidsim.materials.card_files import card_name, laid_over_base, library_names, nearest_names
from solidsim.materials.card_reader import CardReader, Report, Want
from solidsim.materials.composition import read_iron, read_sand
from solidsim.materials.enthalpy import enthalpy_curve
from solidsim.materials.freezing_range import read_freezing_range
from solidsim.materials.irons import Iron, iron_card
from solidsim.materials.material import EnthalpyCurve, Kind, Material, Reaction, VolumeLaw
from solidsim.materials.moisture import (
    dried_curve,
    drying,
    heat_of_drying,
    moist_specific_heat,
)
from solidsim.materials.property_table import PropertyTable
from solidsim.materials.sands import Sand, permeability_from_afs, sand_card
from solidsim.materials.solid_fraction import Stretch

WORDS = ("base", "kind", "title", "also", "notes")
COMPOSITIONS = ("iron", "sand")
HEAT = ("density", "specific_heat", "conductivity", "emissivity", "moisture")
FREEZING = ("latent_heat", "solid_fraction", "feeding_cutoff", "coherency")
VOLUME = ("liquid_contraction", "freezing_volume", "pattern_allowance")
MOLD = ("afs_permeability", "gas_ml_per_g", "wall_movement", "coating", "reaction")
KEYS = (*WORDS, *COMPOSITIONS, *HEAT, *FREEZING, *VOLUME, *MOLD)
ROOM = 293.15  # K
# down to here values of a warm room serve: quartz, which changes most, holds 8 % less heat a kelvin
# (from memory); moist sand freezes at 0 °C
COLDEST_SHOP, FREEZING_WATER = 263.15, 273.15  # K
GIVES_WAY = 0.25  # of the growth of graphite, for a mold whose card is silent: as green sand
WHOLE = (0.0, 1.0)
STAND_IN_DENSITY = 1600.0  # kg/m3


def build_material(
    name: str,
    data: Mapping[str, Any],
    *,
    standing: Literal["preset", "given"] = "preset",
    sourced: bool | None = None,
    report: Report,
) -> Material | None:
    """Build a material from the data of a card.

    Parameters
    ----------
    name : str
    data : mapping
        As read from TOML; quantities are texts with units. A ``base`` names the library card that
        it changes; an ``iron`` or ``sand`` table gives what follows from the make-up.
    standing : {"preset", "given"}
        A library card, or one of the founder's own.
    sourced : bool, optional
        Whether each value must state its source and grade; by default, in a preset only.
    report : callable
        Takes every fault: key within the card, what was given, what is allowed, what to write.

    Returns
    -------
    Material or None
        None if there was any fault.
    """
    reader = _open(data, standing, standing == "preset" if sourced is None else sourced, report)
    if reader is None:
        return None
    iron = read_iron(reader) if "iron" in reader.data else None
    if "iron" in reader.data:
        # after a fault another iron stands in, to find the other faults too
        reader.data = {**iron_card(iron or Iron(0.034, 0.02)), **reader.data}
    kind = reader.text("kind", "alloy" if "latent_heat" in reader.data else "mold", get_args(Kind))
    title = reader.text("title", name)
    density = reader.table("density", Want("density", "7100 kg/m3"))
    moisture = 0.0
    if "moisture" in reader.data:
        moisture = reader.number("moisture", Want("fraction", "3.5 %", (0.0, 0.2)))
    if "sand" in reader.data:
        # after a fault another density stands in, to find the other faults too
        rammed = float(density.at(ROOM)) if density is not None else STAND_IN_DENSITY
        sand = read_sand(reader, rammed, moisture) or Sand("silica", 1e-4, 0.6, 0.5, rammed)
        reader.data = {**sand_card(sand), **reader.data}
    specific_heat = reader.table("specific_heat", Want("specific-heat", "750 J/kgK"))
    conductivity = reader.table("conductivity", Want("conductivity", "40 W/mK"))
    latent_heat, stretches = _freezing(reader, moisture)
    more = _more(reader, kind, bool(stretches), iron)
    if reader.faults or density is None or specific_heat is None or conductivity is None:
        return None
    solidus = stretches[0].bottom if stretches else nan
    heat_density = float(density.at(solidus if stretches else ROOM, "below"))
    curve = _curve(heat_density, specific_heat, conductivity, moisture, latent_heat, stretches)
    return Material(
        name=name,
        title=title,
        kind=kind,  # type: ignore[arg-type]
        density=heat_density,
        curve=curve,
        dried=dried_curve(curve, heat_density, specific_heat, moisture) if moisture else None,
        temperature_range=_span(moisture > 0, specific_heat, conductivity),
        latent_heat=latent_heat,
        solidus=solidus,
        liquidus=stretches[-1].top if stretches else nan,
        iron=iron,
        properties=tuple(reader.properties),
        card=dict(reader.data),
        **more,
    )


def _open(
    data: Mapping[str, Any], standing: Literal["preset", "given"], sourced: bool, report: Report
) -> CardReader | None:
    """Lay the card over its base; None if there is no such base."""
    if "base" in data and card_name(str(data["base"])) is None:
        near = nearest_names(str(data["base"]))
        allowed = f"a card of the library: {', '.join(library_names())}"
        report(("base",), f'"{data["base"]}"', allowed, f'"{near[0]}"' if near else "")
        return None
    reader = CardReader(laid_over_base(data), data, standing, sourced, report)
    reader.refuse_unknown(data, KEYS)
    return reader


def _curve(
    density: float,
    specific_heat: PropertyTable,
    conductivity: PropertyTable,
    moisture: float,
    latent_heat: float,
    stretches: tuple[Stretch, ...],
) -> EnthalpyCurve:
    if moisture == 0:
        return enthalpy_curve(density, specific_heat, conductivity, stretches, latent_heat)
    wet = moist_specific_heat(specific_heat, moisture)
    heat = heat_of_drying(moisture)
    return enthalpy_curve(density, wet, conductivity, drying(), heat, melts=False)


def _freezing(reader: CardReader, moisture: float) -> tuple[float, tuple[Stretch, ...]]:
    """Latent heat [J/kg] and freezing range; neither for a material that never melts."""
    given = [key for key in ("latent_heat", "solid_fraction") if key in reader.data]
    if not given:
        return 0.0, ()
    if len(given) == 1:
        missing = "solid_fraction" if given[0] == "latent_heat" else "latent_heat"
        reader.fault((missing,), "nothing", f"{given[0]} needs it beside", missing)
        return 0.0, ()
    if moisture > 0:
        reader.fault(("moisture",), "moisture in a metal", "mold materials only", "none")
    latent_heat = reader.number("latent_heat", Want("specific-energy", "220 kJ/kg"))
    return latent_heat, read_freezing_range(reader) or ()


def _more(reader: CardReader, kind: str, freezes: bool, iron: Iron | None) -> dict[str, Any]:
    """Fields of a material beyond its enthalpy curve, each left out where the card is silent."""
    afs = reader.number("afs_permeability", Want("number", "100"))
    gives_way = GIVES_WAY if kind == "mold" else nan
    more: dict[str, Any] = {
        "emissivity": reader.number("emissivity", Want("fraction", "0.9", WHOLE), 0.9),
        "permeability": permeability_from_afs(afs),
        "gas": 1e-3 * reader.number("gas_ml_per_g", Want("number", "10", (0.0, inf))),
        "wall_movement": reader.number("wall_movement", Want("fraction", "25 %", WHOLE), gives_way),
        "pattern_allowance": reader.number(
            "pattern_allowance", Want("contraction", "1 %", (0.0, 0.1))
        ),
    }
    if freezes:
        more["coherency"] = reader.number("coherency", Want("fraction", "25 %", WHOLE), 0.25)
        cutoff = reader.number("feeding_cutoff", Want("fraction", "70 %", WHOLE), 0.7)
        more |= {"feeding_cutoff": cutoff, "volume": _volume(reader, iron)}
    if "coating" in reader.data:
        more["coating_resistance"] = _coating(reader)
    if "reaction" in reader.data:
        more["reaction"] = _reaction(reader)
    return more


def _coating(reader: CardReader) -> float:
    """Heat resistance of a wash, [m2K/W]."""
    example = '{ thickness = "0.2 mm", conductivity = "0.3 W/mK" }'
    if reader.entries("coating", ("thickness", "conductivity"), example) is None:
        return 0.0
    thickness = reader.entry("coating", "thickness", Want("length", "0.2 mm", (0.0, 0.01)))
    conducts = reader.entry("coating", "conductivity", Want("conductivity", "0.3 W/mK"))
    return thickness / conducts


def _reaction(reader: CardReader) -> Reaction | None:
    example = '{ ignition = "600 °C", heat = "1.5 MJ/kg", duration = "90 s" }'
    if reader.entries("reaction", ("ignition", "heat", "duration"), example) is None:
        return None
    return Reaction(
        reader.entry("reaction", "ignition", Want("temperature", "600 °C")),
        reader.entry("reaction", "heat", Want("specific-energy", "1.5 MJ/kg")),
        reader.entry("reaction", "duration", Want("time", "90 s")),
    )


def _volume(reader: CardReader, iron: Iron | None) -> VolumeLaw | None:
    if "freezing_volume" not in reader.data:
        return None
    contraction = reader.number("liquid_contraction", Want("fraction", "1.5 %", (0.0, 0.05)), 0.015)
    found = reader.table("freezing_volume", Want("fraction", "97 %", (0.8, 1.1), "fraction"))
    if found is None or found.value.size == 1:
        return None
    if (found.temperature[0], found.temperature[-1], found.value[0]) != (0.0, 1.0, 1.0):
        allowed = "rows of solid fraction and volume, from none with 100 % to all solid"
        key = ("freezing_volume",)
        reader.fault(key, "other ends", allowed, '[["0 %", "100 %"], ["100 %", "97 %"]]')
    share = np.asarray(found.temperature)
    growth = np.zeros_like(share) if iron is None else iron.graphite_growth_at(share)
    # the card states the contraction for 100 K
    return VolumeLaw(contraction / 100.0, share, found.value, growth)


def _span(moist: bool, *tables: PropertyTable) -> tuple[float, float]:
    """Temperatures [K] that all tables cover; a constant covers all, a warm room a cold shop."""
    sized = [table.temperature for table in tables if table.temperature.size > 1]
    lowest = max([float(nodes[0]) for nodes in sized], default=0.0)
    if lowest <= ROOM + 5.0:
        lowest = min(lowest, FREEZING_WATER if moist else COLDEST_SHOP)
    highest = min([float(nodes[-1]) for nodes in sized], default=inf)
    return lowest, highest
