"""The materials and interfaces of a case: its own tables, library cards, defaults by role."""

import math
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import numpy as np

from solidsim.case import Case
from solidsim.case.description import FaceCover, Interface, PartTable, TwoFaces
from solidsim.errors import Fault, MaterialError
from solidsim.materials import (
    InterfaceConductance,
    Material,
    build_material,
    card_name,
    interface_between,
    library_material,
    library_names,
    own_card_path,
    plain_name,
    read_own_card,
)
from solidsim.section.layout import METAL_ROLES

DEFAULT_MATERIALS = {
    "chill": "iron-chill",
    "sleeve": "insulating-sleeve",
    "insulation": "insulating-sleeve",
}


class CaseMaterials:
    """The materials of a case by name, numbered as they turn up.

    Names may be written in words. A table of the case goes before a card file beside it, and that
    before the library. The texts of card files are kept in ``card_texts``, their faults in
    ``card_faults``.
    """

    def __init__(self, case: Case, report: Any):
        self.case, self.report = case, report
        self.found: dict[str, Material] = {}
        self.card_texts: dict[str, str] = {}
        self.card_faults: list[Fault] = []

    def number(self, name: str, key: tuple[str | int, ...], role: str) -> int:
        """Number of a material; a fault and zero where there is none of this name."""
        if name not in self.found and (material := self._build(name, key)) is not None:
            self.found[name] = material
        material = self.found.get(name)
        if material is None:
            return 0
        if role in ("alloy", "mold") and (material.kind == "alloy") != (role == "alloy"):
            wanted = "an alloy" if role == "alloy" else "not an alloy"
            self.report(key, f'"{name}" is of kind {material.kind}', wanted, "")
        return list(self.found).index(name)

    def _build(self, name: str, key: tuple[str | int, ...]) -> Material | None:
        inline = self.case.description.material
        known_as = (name, plain_name(name), card_name(name))
        if (own := next((one for one in known_as if one in inline), None)) is not None:

            def report(inner: tuple[str | int, ...], given: str, allowed: str, write: str) -> None:
                self.report(("material", own, *inner), given, allowed, write)

            return build_material(own, inline[own], standing="given", report=report)
        if (path := self._own_card(name)) is not None:
            return self._from_file(path)
        try:
            return library_material(name)
        except MaterialError:
            known = [*inline, *library_names()]
            near = get_close_matches(name, known, n=1)
            self.report(
                key,
                f'"{name}" is no material',
                f"one of {', '.join(known)}, a [material.{name}] table in this file, or a card "
                f"{name}.toml beside it",
                f'"{near[0]}"' if near else "",
            )
            return None

    def _own_card(self, name: str) -> Path | None:
        """The card file of this name beside the case, which is neither the case nor its base."""
        path = self.case.path and own_card_path(self.case.path.parent, name)
        return None if path is None or path.name in self.case.texts else path

    def _from_file(self, path: Path) -> Material | None:
        try:
            material, self.card_texts[path.name] = read_own_card(path)
        except MaterialError as error:
            self.card_faults += [fault for fault in error.faults if fault not in self.card_faults]
            return None
        return material


def part_material(
    part: PartTable, place: int, materials: CaseMaterials, metal: int, mold: int
) -> int | None:
    """Material number of a part; None for open air."""
    key = ("part", place, "material")
    if part.role in METAL_ROLES:
        return metal
    if part.material is not None:
        return materials.number(part.material, key, part.role)
    if part.role == "air":
        return None
    default = DEFAULT_MATERIALS.get(part.role)
    return mold if default is None else materials.number(default, key, part.role)


def part_faces(
    part: PartTable, place: int, materials: CaseMaterials, mold: int
) -> list[tuple[int | None, float]]:
    """Material number and thickness [m] on both out-of-plane faces of a part; None is air."""
    found: list[tuple[int | None, float]] = []
    for side, covering in zip(("cope", "drag"), part.both_faces, strict=True):
        if isinstance(covering, FaceCover):
            apart = (side,) if isinstance(part.faces, TwoFaces) else ()
            key = ("part", place, "faces", *apart, "material")
            number = materials.number(covering.material, key, "plate")
            found.append((number, covering.thickness))
        else:
            found.append((mold if covering == "mold" else None, math.inf))
    return found


def interfaces_between(
    written: tuple[Interface, ...], materials: tuple[Material, ...]
) -> dict[tuple[int, int], InterfaceConductance]:
    """Conductance of each pair of materials that do not touch perfectly."""
    found = {}
    for low, one in enumerate(materials):
        for high in range(low + 1, len(materials)):
            two = materials[high]
            own = [w for w in written if _joins(w, one, two)]
            joint = _written_joint(own[-1]) if own else interface_between(one, two)
            if joint is not None:
                found[low, high] = joint
    return found


def _joins(written: Interface, one: Material, two: Material) -> bool:
    first, second = written.between
    return any(
        first in (a.name, a.kind) and second in (b.name, b.kind)
        for a, b in ((one, two), (two, one))
    )


def _written_joint(written: Interface) -> InterfaceConductance | None:
    """The conductance written in a case; None for perfect contact."""
    if written.conductance == "perfect":
        return None
    if isinstance(written.conductance, float):
        rows: Any = [(293.15, written.conductance)]
    else:
        rows = written.conductance
    temperature, conductance = np.array(rows, dtype=float).T
    return InterfaceConductance(temperature, conductance, "the case", "given")
