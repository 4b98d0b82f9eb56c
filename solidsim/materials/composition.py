"""The composition tables of a card: what the iron holds, and what the sand is made of."""

from dataclasses import MISSING, fields
from math import nan
from typing import Literal, cast

from solidsim.materials.card_reader import CardReader, Want
from solidsim.materials.irons import Iron
from solidsim.materials.sands import Sand, minerals

ELEMENTS = ("carbon", "silicon", "manganese", "phosphorus", "sulfur", "nickel", "chromium")
# mass fractions an iron may hold and still follow the formulas of `irons`
BOUNDS = {"carbon": (0.025, 0.042), "silicon": (0.005, 0.04), "manganese": (0.0, 0.02)}
EXAMPLES = {"carbon": "3.4 %", "silicon": "2 %", "manganese": "0.6 %"}
OTHERS = (0.0, 0.02)
DEFAULTS = {
    field.name: float(field.default)
    for field in fields(Iron)
    if field.name in ELEMENTS and field.default is not MISSING
}
GRAPHITE = ("flakes", "nodules")


def read_iron(reader: CardReader) -> Iron | None:
    """Read the ``iron`` table of a card; None after a fault."""
    before = reader.faults
    known = (*ELEMENTS, "graphite", "inoculated")
    raw = reader.entries("iron", known, '{ carbon = "3.4 %", silicon = "2 %" }')
    if raw is None:
        return None
    shares = {
        element: reader.entry("iron", element, _share(element), DEFAULTS.get(element, nan))
        for element in ELEMENTS
    }
    graphite = raw.get("graphite", "flakes")
    if graphite not in GRAPHITE:
        reader.fault(("iron", "graphite"), graphite, f"one of {', '.join(GRAPHITE)}", '"flakes"')
    inoculated = raw.get("inoculated", True)
    if not isinstance(inoculated, bool):
        reader.fault(("iron", "inoculated"), inoculated, "true or false", "true")
    if reader.faults > before:
        return None
    return Iron(
        **shares, graphite=cast(Literal["flakes", "nodules"], graphite), inoculated=bool(inoculated)
    )


def read_sand(reader: CardReader, density: float, moisture: float) -> Sand | None:
    """Read the ``sand`` table of a card; None after a fault."""
    before = reader.faults
    known = ("grain", "grain_size", "cold_contact", "hot_contact")
    raw = reader.entries("sand", known, '{ grain = "silica", ... }')
    if raw is None:
        return None
    grain = raw.get("grain")
    if grain not in minerals():
        allowed = f"one of {', '.join(minerals())}"
        reader.fault(("sand", "grain"), grain or "nothing", allowed, '"silica"')
    size = reader.entry("sand", "grain_size", Want("length", "0.25 mm"))
    cold, hot = (
        reader.entry("sand", key, Want("conductivity", "0.6 W/mK"))
        for key in ("cold_contact", "hot_contact")
    )
    if reader.faults > before:
        return None
    return Sand(str(grain), size, cold, hot, density, moisture)


def _share(element: str) -> Want:
    return Want("fraction", EXAMPLES.get(element, "0.1 %"), BOUNDS.get(element, OTHERS))
