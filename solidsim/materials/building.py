"""From a card to a material: read it, check it, and lay its enthalpy curve."""

from collections.abc import Mapping
from typing import Any, Literal, get_args

import numpy as np

from solidsim.materials.card_files import card_name, laid_over_base, library_names, nearest_names
from solidsim.materials.card_reader import CardReader, Report
from solidsim.materials.composition import read_iron
from solidsim.materials.enthalpy import enthalpy_curve
from solidsim.materials.freezing_range import read_freezing_range
from solidsim.materials.irons import Iron, iron_card
from solidsim.materials.material import Kind, Material
from solidsim.materials.moisture import drying, heat_of_drying, moist_specific_heat
from solidsim.materials.property_table import PropertyTable
from solidsim.materials.solid_fraction import Stretch

KEYS = (
    "base",
    "kind",
    "title",
    "also",
    "notes",
    "iron",
    "density",
    "specific_heat",
    "conductivity",
    "emissivity",
    "latent_heat",
    "solid_fraction",
    "feeding_cutoff",
    "coherency",
    "moisture",
)


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
        it changes.
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
    must_state = standing == "preset" if sourced is None else sourced
    if "base" in data and card_name(str(data["base"])) is None:
        near = nearest_names(str(data["base"]))
        allowed = f"a card of the library: {', '.join(library_names())}"
        report(("base",), f'"{data["base"]}"', allowed, f'"{near[0]}"' if near else "")
        return None
    reader = CardReader(laid_over_base(data), data, standing, must_state, report)
    reader.refuse_unknown(data, KEYS)
    if "iron" in reader.data:
        iron = read_iron(reader) or Iron(0.034, 0.02)  # after a fault, to find the others too
        reader.data = {**iron_card(iron), **reader.data}
    kind = reader.text(
        "kind", "alloy" if "solid_fraction" in reader.data else "mold", get_args(Kind)
    )
    title = reader.text("title", name)
    density = reader.table("density", "density", "7100 kg/m3")
    specific_heat = reader.table("specific_heat", "specific-heat", "750 J/kgK")
    conductivity = reader.table("conductivity", "conductivity", "40 W/mK")
    emissivity = reader.number("emissivity", "fraction", 0.9, "0.9", (0.0, 1.0))
    moisture = _moisture(reader)
    latent_heat, stretches = _freezing(reader, moisture)
    coherency = feeding_cutoff = float("nan")
    if stretches:
        coherency = reader.number("coherency", "fraction", 0.25, "0.25", (0.0, 1.0))
        feeding_cutoff = reader.number("feeding_cutoff", "fraction", 0.7, "0.7", (0.0, 1.0))
    if reader.faults or density is None or specific_heat is None or conductivity is None:
        return None
    freezes = stretches
    melts = bool(stretches)
    heat = latent_heat
    if moisture > 0:
        stretches, heat = drying(), heat_of_drying(moisture)
        specific_heat = moist_specific_heat(specific_heat, moisture)
    solidus = freezes[0].bottom if freezes else float("nan")
    return Material(
        name=name,
        title=title,
        kind=kind,  # type: ignore[arg-type]
        density=(rho := float(density.at(solidus if freezes else 293.15, "below"))),
        curve=enthalpy_curve(rho, specific_heat, conductivity, stretches, heat, melts=melts),
        emissivity=emissivity,
        temperature_range=_span(specific_heat, conductivity),
        latent_heat=latent_heat,
        solidus=solidus,
        liquidus=freezes[-1].top if freezes else float("nan"),
        coherency=coherency,
        feeding_cutoff=feeding_cutoff,
        properties=tuple(reader.properties),
        card=dict(reader.data),
    )


def _moisture(reader: CardReader) -> float:
    if "moisture" not in reader.data:
        return 0.0
    return reader.number("moisture", "fraction", 0.0, "3.5 %", (0.0, 0.2))


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
    latent_heat = reader.number("latent_heat", "specific-energy", 0.0, "220 kJ/kg", (0.0, np.inf))
    return latent_heat, read_freezing_range(reader) or ()


def _span(*tables: PropertyTable) -> tuple[float, float]:
    """Temperatures [K] that all tables cover; a constant covers all."""
    sized = [table.temperature for table in tables if table.temperature.size > 1]
    lowest = max([float(nodes[0]) for nodes in sized], default=0.0)
    highest = min([float(nodes[-1]) for nodes in sized], default=np.inf)
    return lowest, highest
