"""From a case to a model: the last place that knows strings and units."""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import asdict
from functools import cache
from importlib.metadata import version
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solidsim.case import Case, resolved
from solidsim.case.description import AmbientSide, CaseDescription, FixedSide, Side
from solidsim.errors import CaseError, Fault, SectionError
from solidsim.materials import Material
from solidsim.model.case_materials import (
    CaseMaterials,
    interfaces_between,
    part_faces,
    part_material,
)
from solidsim.model.depth_warnings import depth_warnings
from solidsim.model.gating import gating_system
from solidsim.model.model import Boundary, FaceLayer, Judging, Model, Pour, Probe, Stop
from solidsim.section.building import build_section
from solidsim.section.layout import METAL_ROLES, Section

Array = NDArray[np.float64]
NIYAMA_LIMIT = 774.6  # (K s)^1/2/m
NIYAMA_SOURCE = (
    "Niyama et al. (1982), AFS Int. Cast Metals J. 7:52-63: 1 (°C min)^1/2/cm, steel in sand; "
    "for other alloys a comparison only"
)
JUDGING_SHARE = 0.1  # of the freezing range, above the solidus; from memory
NARROWEST_WINDOW = 1.0  # K
PACKAGES = ("solidsim", "numpy", "numba", "scipy", "h5py")


def build_model(case: Case) -> Model:
    """Build the model of a case.

    Raises
    ------
    CaseError
        With every fault that shows only now: unknown materials, faulty cards, shapes that cannot
        be laid on a grid.
    """
    faults: list[Fault] = []

    def report(key: tuple[str | int, ...], given: str, allowed: str, write: str) -> None:
        faults.append(case.fault(key, given, allowed, write))

    description = case.description
    materials = CaseMaterials(case, report)
    metal = materials.number(description.pour.alloy, ("pour", "alloy"), "alloy")
    mold = materials.number(description.mold.sand, ("mold", "sand"), "mold")
    numbers = [
        part_material(part, n, materials, metal, mold) for n, part in enumerate(description.part)
    ]
    faces = [part_faces(part, n, materials, mold) for n, part in enumerate(description.part)]
    _check_stop(case, materials.found, report)
    faults += materials.card_faults
    try:
        section = build_section(description, report, case.units)
    except SectionError:
        raise CaseError(faults) from None
    if faults:
        raise CaseError(faults)
    found = tuple(materials.found.values())
    open_air = len(found)
    index = np.array([mold, *(open_air if n is None else n for n in numbers)], np.uint8)
    material_index = index[section.part_index]
    pour, sand = description.pour.temperature, description.mold.temperature
    temperatures = _start_temperatures(description, section)
    enthalpy = np.zeros(section.grid.shape)
    for number, material in enumerate(found):
        cells = material_index == number
        enthalpy[cells] = material.curve.enthalpy_at(temperatures[cells], molten=number == metal)
    sides = description.boundary
    return Model(
        title=description.title,
        name=case.name,
        units=case.units,
        section=section,
        materials=found,
        material_index=material_index,
        initial_enthalpy=enthalpy,
        interfaces=interfaces_between(description.interface, found),
        sides=(_side(sides.left), _side(sides.right), _side(sides.bottom), _side(sides.top)),
        open_air=_open_air(description),
        metal=metal,
        mold=mold,
        pour_temperature=pour,
        mold_temperature=sand,
        faces=tuple((_face_layer(one, open_air), _face_layer(two, open_air)) for one, two in faces),
        probes=tuple(Probe(probe.name, *probe.at) for probe in description.probe),
        stop=_stop(description),
        judging=_judging(description, found[metal]),
        frames=description.output.frames,
        warnings=(
            *section.warnings,
            *depth_warnings(section, case.units),
            *_pour_warnings(description, found[metal]),
        ),
        provenance=_provenance(case, found, materials.card_texts),
        pour=_pour(description),
    )


def _start_temperatures(description: CaseDescription, section: Section) -> Array:
    """Temperature of every cell at the pour, shape (ny, nx), [K]."""
    pour, sand = description.pour.temperature, description.mold.temperature
    usual = [pour if part.role in METAL_ROLES else sand for part in description.part]
    own = [
        usual[n] if part.temperature is None else part.temperature
        for n, part in enumerate(description.part)
    ]
    return np.array([sand, *own])[section.part_index]


def _face_layer(covering: tuple[int | None, float], open_air: int) -> FaceLayer:
    number, thickness = covering
    return FaceLayer(open_air if number is None else number, thickness)


def _side(side: Side) -> Boundary:
    if isinstance(side, FixedSide):
        return Boundary("fixed", side.temperature)
    if isinstance(side, AmbientSide):
        return Boundary("ambient", side.ambient, side.coefficient, side.emissivity)
    return Boundary("insulated")


def _open_air(description: CaseDescription) -> Boundary:
    face = description.boundary.open
    emissivity = math.nan if face.emissivity is None else face.emissivity
    return Boundary("ambient", face.ambient, face.coefficient, emissivity)


def _pour(description: CaseDescription) -> Pour:
    time, gating = description.pour.time, description.gating
    return Pour(
        fill=description.fill,
        time=math.nan if time is None else time,
        gating=None
        if gating is None
        else gating_system(gating, in_plan=description.section.view == "plan"),
    )


def _stop(description: CaseDescription) -> Stop:
    moment = description.cooling.shake_out
    if description.cooling.stops_at == "solid" or moment is None:
        return Stop("solid")
    if moment.time is not None:
        return Stop("time", moment.time)
    return Stop("temperature", float(moment.temperature or 0.0))


def _check_stop(case: Case, materials: Mapping[str, Material], report: Any) -> None:
    """A run must be able to end: metal that freezes, or a moment of shake-out."""
    description = case.description
    metal = materials.get(description.pour.alloy)
    stop = _stop(description)
    if metal is not None and stop.kind == "solid" and not metal.latent_heat:
        report(
            ("cooling", "shake_out"),
            f'not given, and "{metal.name}" does not freeze',
            "a time or a temperature at which the run ends",
            'shake_out = "1 h"',
        )
    if stop.kind == "temperature" and stop.value <= description.mold.temperature:
        report(
            ("cooling", "shake_out"),
            "not above the temperature of the mold",
            "a temperature that the casting reaches",
            '"450 °C"',
        )


def _judging(description: CaseDescription, metal: Material) -> Judging:
    written = description.judging
    width = metal.liquidus - metal.solidus if metal.latent_heat else 0.0
    low = metal.solidus if metal.latent_heat else 0.0
    given = written.niyama_limit is not None
    return Judging(
        temperature=written.temperature or low + JUDGING_SHARE * width,
        window=max(JUDGING_SHARE * width, NARROWEST_WINDOW),
        niyama_limit=written.niyama_limit or NIYAMA_LIMIT,
        niyama_source="the case" if given else NIYAMA_SOURCE,
    )


def _pour_warnings(description: CaseDescription, metal: Material) -> list[str]:
    """Say when the metal is poured below its liquidus."""
    superheat = description.pour.temperature - metal.liquidus
    if metal.latent_heat and superheat < -1e-6:
        return [f"{metal.title} is poured {-superheat:.0f} K below its liquidus"]
    return []


def _as_typed(case: Case) -> str:
    """Path of the case as it was given, where that tells nothing of the machine; else nothing."""
    if case.path is None or case.path.is_absolute() or ".." in case.path.parts:
        return ""
    return case.path.as_posix()


def _provenance(
    case: Case, materials: tuple[Material, ...], card_texts: Mapping[str, str]
) -> dict[str, Any]:
    """What a results file says of its origin."""
    text = "".join([*case.texts.values(), *card_texts.values()])
    return {
        "case_name": case.name,
        "case_file": _as_typed(case),
        "case_texts": dict(case.texts),
        "card_texts": dict(card_texts),
        "case_hash": hashlib.sha256(text.encode()).hexdigest(),
        "resolved": resolved(case),
        "cards": {material.name: material.card for material in materials},
        "properties": {
            material.name: [asdict(own) for own in material.properties] for material in materials
        },
        "versions": dict(_versions()),
    }


@cache
def _versions() -> tuple[tuple[str, str], ...]:
    """What the packages are that results rest on."""
    return tuple((package, version(package)) for package in PACKAGES)
