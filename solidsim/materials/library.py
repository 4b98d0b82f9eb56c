"""The library of cards that come with solidsim."""

import tomllib
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

from solidsim.errors import Fault, MaterialError
from solidsim.materials.building import build_material
from solidsim.materials.card_reader import Key
from solidsim.materials.material import Material

CARDS = Path(__file__).with_name("cards")
NOT_MATERIALS = frozenset({"interfaces"})


def library_names() -> list[str]:
    """Names of all cards, in alphabetical order."""
    return sorted({path.stem for path in CARDS.glob("*.toml")} - NOT_MATERIALS)


def read_card(name: str) -> dict[str, Any]:
    """Read one card as written.

    Raises
    ------
    MaterialError
        If there is no card of this name; the message gives the nearest names.
    """
    if name not in library_names():
        near = get_close_matches(name, library_names(), n=3, cutoff=0.4)
        allowed = f"one of {', '.join(near or library_names())}"
        raise MaterialError([Fault("cards", 1, 1, "material", f'"{name}"', allowed, "")])
    return tomllib.loads((CARDS / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def library_material(name: str) -> Material:
    """Build the material of one card; the same one is given out every time.

    Raises
    ------
    MaterialError
        If there is no card of this name, or with every fault of the card.
    """
    faults: list[Fault] = []

    def report(key: Key, given: str, allowed: str, write: str) -> None:
        dotted = ".".join(str(part) for part in key)
        faults.append(Fault(f"{name}.toml", 1, 1, dotted, given, allowed, write))

    material = build_material(name, read_card(name), report=report)
    if material is None:
        raise MaterialError(faults)
    return material
