"""Materials from card files."""

import tomllib
from functools import cache
from pathlib import Path

from solidsim.case.locating import locate
from solidsim.errors import Fault, MaterialError
from solidsim.materials.building import build_material
from solidsim.materials.card_files import card_name, card_text, plain_name
from solidsim.materials.card_reader import Key
from solidsim.materials.material import Material

CASE_TABLES = frozenset({"section", "pour", "mold", "part"})


def library_material(name: str) -> Material:
    """Build the material of a library card; the same one is given out every time.

    Raises
    ------
    MaterialError
        If there is no card of this name, or with every fault of the card.
    """
    return _library_material(card_name(name) or name)


def own_card_path(folder: Path, name: str) -> Path | None:
    """A founder's own card of this name in a folder; a case of the same name is none."""
    if Path(name).name != name:
        return None
    for path in (folder / f"{name}.toml", folder / f"{plain_name(name)}.toml"):
        if path.is_file() and not _is_case(path):
            return path
    return None


def card_material(path: Path) -> Material:
    """Build the material of a founder's own card file, named after the file.

    Raises
    ------
    MaterialError
        With every fault of the card.
    """
    return read_own_card(path)[0]


def read_own_card(path: Path) -> tuple[Material, str]:
    """Build the material of a founder's own card file; gives its text, too.

    Raises
    ------
    MaterialError
        With every fault of the card.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except (OSError, ValueError) as cause:
        said = str(getattr(cause, "strerror", None) or "not a UTF-8 text").lower()
        fault = Fault(str(path), 1, 1, "file", said, "a card", "the path of a TOML file")
        raise MaterialError([fault]) from cause
    return _from_text(path.stem, str(path), text, own=True), text


@cache
def _library_material(name: str) -> Material:
    return _from_text(name, f"{name}.toml", card_text(name), own=False)


def _is_case(path: Path) -> bool:
    try:
        data = tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except (OSError, ValueError):
        return False
    return bool(CASE_TABLES & data.keys()) or str(data.get("base", "")).endswith(".toml")


def _from_text(name: str, file: str, text: str, *, own: bool) -> Material:
    faults: list[Fault] = []

    def report(key: Key, given: str, allowed: str, write: str) -> None:
        dotted = ".".join(str(part) for part in key)
        faults.append(Fault(file, *locate(text, key), dotted, given, allowed, write))

    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise MaterialError([_syntax(file, error)]) from error
    material = build_material(
        name, data, standing="given" if own else "preset", sourced=True, report=report
    )
    if material is None:
        raise MaterialError(faults)
    return material


def _syntax(file: str, error: Exception) -> Fault:
    said = str(error)
    place = said.rpartition("line ")[2].rstrip(")").split(", column ")
    line, column = (int(part) if part.isdigit() else 1 for part in (*place, "1")[:2])
    return Fault(file, line, column, "syntax", said.partition(" (at ")[0], "a TOML 1.0 file", "")
