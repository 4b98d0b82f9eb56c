"""How well two materials in contact pass heat, before anything is said about it in the case."""

import re
import tomllib
from functools import cache
from typing import Any

import numpy as np

from solidsim.materials.card_files import CARDS
from solidsim.materials.material import InterfaceConductance, Material
from solidsim.quantities import read_quantity

ISOTHERMAL_SPREAD = 1.0  # K, between the rows of an alloy that freezes at one temperature
ANCHOR = re.compile(r"(liquidus|solidus)(?:\s*([+-])\s*(.+))?")


def interface_between(first: Material, second: Material) -> InterfaceConductance | None:
    """Conductance of the joint between two materials, by their kinds and any coating.

    Returns
    -------
    InterfaceConductance or None
        None where they touch perfectly: within one kind, against a gas, or where the alloy of
        the joint never melts.
    """
    row = _rows().get(frozenset((first.kind, second.kind)))
    if row is None or first.kind == second.kind:
        return None
    alloy = first if first.kind == "alloy" else second
    temperature = np.array([_anchored(text, alloy) for text, _ in row["table"]])
    if not np.all(np.isfinite(temperature)):
        return None
    bare = [read_quantity(text, "heat-transfer-coefficient") for _, text in row["table"]]
    for at in np.flatnonzero(np.diff(temperature) <= 0) + 1:
        temperature[at] = temperature[at - 1] + ISOTHERMAL_SPREAD
    wash = first.coating_resistance + second.coating_resistance
    conductance = 1.0 / (1.0 / np.array(bare) + wash)
    return InterfaceConductance(temperature, conductance, row["source"], row["grade"])


@cache
def _rows() -> dict[frozenset[str], dict[str, Any]]:
    text = (CARDS / "interfaces.toml").read_text(encoding="utf-8")
    return {frozenset(row["between"]): row for row in tomllib.loads(text)["interface"]}


def _anchored(text: str, alloy: Material) -> float:
    """Temperature [K] of a row, which may hang on the alloy's liquidus or solidus."""
    found = ANCHOR.fullmatch(text)
    if found is None:
        return read_quantity(text, "temperature")
    base = alloy.liquidus if found[1] == "liquidus" else alloy.solidus
    if found[3] is None:
        return base
    shift = read_quantity(found[3], "temperature-difference")
    return base + shift if found[2] == "+" else base - shift
