"""Materials from card files."""

import tomllib
from functools import cache
from pathlib import Path

from solidsim.case.locating import locate
from solidsim.errors import Fault, MaterialError
from solidsim.materials.building import build_material
from solidsim.materials.card_files import card_name, card_text
from solidsim.materials.card_reader import Key
from solidsim.materials.material import Material


def library_material(name: str) -> Material:
    """Build the material of a library card; the same one is given out every time.

    Raises
    ------
    MaterialError
        If there is no card of this name, or with every fault of the card.
    """
    return _library_material(card_name(name) or name)


def card_material(path: Path) -> Material:
    """Build the material of a founder's own card file, named after the file.

    Raises
    ------
    MaterialError
        With every fault of the card.
    """
    return _from_text(path.stem, path.name, path.read_text(encoding="utf-8"), own=True)


@cache
def _library_material(name: str) -> Material:
    return _from_text(name, f"{name}.toml", card_text(name), own=False)


def _from_text(name: str, file: str, text: str, *, own: bool) -> Material:
    faults: list[Fault] = []

    def report(key: Key, given: str, allowed: str, write: str) -> None:
        dotted = ".".join(str(part) for part in key)
        faults.append(Fault(file, *locate(text, key), dotted, given, allowed, write))

    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise MaterialError([_syntax(file, error)]) from error
    material = build_material(
        name, data, standing="given" if own else "preset", sourced=True, report=report
    )
    if material is None:
        raise MaterialError(faults)
    return material


def _syntax(file: str, error: tomllib.TOMLDecodeError) -> Fault:
    said = str(error)
    place = said.rpartition("line ")[2].rstrip(")").split(", column ")
    line, column = (int(part) if part.isdigit() else 1 for part in (*place, "1")[:2])
    return Fault(file, line, column, "", said.partition(" (at ")[0], "TOML", "")
