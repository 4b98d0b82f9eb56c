"""The composition tables of a card: what was put into the iron."""

from dataclasses import fields
from math import nan
from typing import Literal, cast

from solidsim.materials.card_reader import CardReader
from solidsim.materials.irons import Iron

ELEMENTS = ("carbon", "silicon", "manganese", "phosphorus", "sulfur", "nickel", "chromium")
# mass fractions an iron may hold and still follow the formulas of `irons`
BOUNDS = {"carbon": (0.025, 0.042), "silicon": (0.005, 0.04), "manganese": (0.0, 0.02)}
OTHERS = (0.0, 0.02)
DEFAULTS = {field.name: field.default for field in fields(Iron)}
GRAPHITE = ("flakes", "nodules")


def read_iron(reader: CardReader) -> Iron | None:
    """Read the ``iron`` table of a card; None after a fault."""
    raw = reader.data["iron"]
    if not isinstance(raw, dict):
        reader.fault(("iron",), raw, "a composition", '{ carbon = "3.4 %", silicon = "2 %" }')
        return None
    before = reader.faults
    known = (*ELEMENTS, "graphite", "inoculated", "source", "grade")
    reader.refuse_unknown(raw, known, ("iron",))
    if reader.sourced and "iron" in reader.own:
        reader.source_of(("iron",), raw)
    shares = {
        element: reader.entry(
            "iron",
            element,
            "fraction",
            nan if element in ("carbon", "silicon") else cast(float, DEFAULTS[element]),
            "3.4 %" if element == "carbon" else "2 %",
            BOUNDS.get(element, OTHERS),
        )
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
        **shares, graphite=cast(Literal["flakes", "nodules"], graphite), inoculated=inoculated
    )
