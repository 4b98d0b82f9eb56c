"""The freezing range of a card: which solid-fraction curve, between which temperatures."""

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from itertools import pairwise
from typing import Any

import numpy as np

from solidsim.materials.card_reader import CardReader, Want
from solidsim.materials.material import Property
from solidsim.materials.solid_fraction import (
    Stretch,
    isothermal,
    lever,
    linear,
    scheil,
    tabulated,
)

PHASE_DIAGRAM = ("liquidus", "pure_melting", "partition", "eutectic")
NEEDED = {
    "isothermal": ("temperature",),
    "linear": ("solidus", "liquidus"),
    "lever": PHASE_DIAGRAM,
    "scheil": PHASE_DIAGRAM,
    "table": ("table",),
}
OPTIONAL = {"linear": ("eutectic_share",), "lever": ("eutectic_end",), "scheil": ("eutectic_end",)}
CLOSED_FORMS: dict[str, Callable[..., tuple[Stretch, ...]]] = {
    "isothermal": isothermal,
    "linear": linear,
    "lever": lever,
    "scheil": scheil,
}
RISING = ("eutectic_end", "solidus", "eutectic", "liquidus", "pure_melting")
SHARES = ("partition", "eutectic_share")
KEY = "solid_fraction"
SHARE = Want("fraction", "0.13", (0.0, 0.999))
SOLID = Want("fraction", "0.5", (0.0, 1.0))
TEMPERATURE = Want("temperature", "1150 °C")


def read_freezing_range(reader: CardReader) -> tuple[Stretch, ...] | None:
    """Read the stretches of the freezing range, the cooler first; None after a fault."""
    raw = reader.data[KEY]
    if not isinstance(raw, Mapping):
        example = '{ curve = "linear", solidus = "1140 °C", liquidus = "1190 °C" }'
        reader.fault((KEY,), raw, "a curve and its temperatures", example)
        return None
    curve = raw.get("curve")
    if curve not in NEEDED:
        near = get_close_matches(str(curve), NEEDED, n=1) or ["linear"]
        allowed = f"one of {', '.join(NEEDED)}"
        reader.fault((KEY, "curve"), curve or "no curve", allowed, f'"{near[0]}"')
        return None
    known = ("curve", *NEEDED[curve], *OPTIONAL.get(curve, ()), "source", "grade")
    reader.refuse_unknown(raw, known, (KEY,))
    before = reader.faults
    stretches = _table(reader, raw) if curve == "table" else _closed_form(reader, curve, raw)
    source, grade = "the case", "given"
    if reader.needs_source(KEY) or "source" in raw or "grade" in raw:
        source, grade = reader.source_of((KEY,), raw)
    if reader.faults > before or stretches is None:
        return None
    said = [f"{key} {raw[key]}" for key in known[1:-2] if key in raw and key != "table"]
    text = ", ".join([curve, *said])
    reader.properties.append(Property(KEY, text, "", source, grade, reader.standing_of(KEY)))
    return stretches


def _closed_form(
    reader: CardReader, curve: str, raw: Mapping[str, Any]
) -> tuple[Stretch, ...] | None:
    values: dict[str, float] = {}
    for key in (*NEEDED[curve], *OPTIONAL.get(curve, ())):
        if key not in raw and key in OPTIONAL.get(curve, ()):
            continue
        found = reader.quantity((KEY, key), raw.get(key), SHARE if key in SHARES else TEMPERATURE)
        if found is not None:
            values[key] = found
    if not set(NEEDED[curve]) <= values.keys():
        return None
    ordered = [key for key in RISING if key in values]
    for lower, upper in pairwise(ordered):
        if values[lower] >= values[upper]:
            allowed = f"below the {upper.replace('_', ' ')}, {raw[upper]}"
            reader.fault((KEY, lower), f"{raw[lower]}", allowed, "temperatures that rise")
            return None
    if curve in ("lever", "scheil") and values["partition"] == 0.0:
        reader.fault((KEY, "partition"), raw["partition"], "above 0", "0.13")
        return None
    return CLOSED_FORMS[curve](**values)


def _table(reader: CardReader, raw: Mapping[str, Any]) -> tuple[Stretch, ...] | None:
    found = reader.values((KEY, "table"), raw.get("table"), SOLID)
    if found is None:
        return None
    temperature, solid = found.temperature, found.value
    level = np.flatnonzero(np.diff(temperature) == 0)
    if solid[0] != 1.0 or solid[-1] != 0.0 or np.any(np.diff(solid) >= 0):
        allowed = "solid fraction falling from 1 at the solidus to 0 at the liquidus"
        reader.fault(
            (KEY, "table"), "another course", allowed, '[["557 °C", 1], ..., ["613 °C", 0]]'
        )
        return None
    if np.any(level > 0) and temperature.size > 2:
        allowed = "a step at the solidus only; spread any other over a kelvin"
        reader.fault((KEY, "table"), "a step inside the range", allowed, "two temperatures")
        return None
    return tabulated(temperature, solid)
