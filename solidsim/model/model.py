"""A case ready to be computed: arrays and numbers in SI, no strings that need reading."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.materials import InterfaceConductance, Material
from solidsim.model.gating import GatingSystem
from solidsim.section.layout import Section

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Boundary:
    """What stands outside a surface.

    Parameters
    ----------
    kind : {"insulated", "fixed", "ambient"}
        Insulated also serves for symmetry.
    temperature : float, [K]
    coefficient : float, [W/m2K]
        Convection; ambient only.
    emissivity : float, [1]
        Ambient only; NaN takes that of the surface's material.
    """

    kind: Literal["insulated", "fixed", "ambient"]
    temperature: float = 293.15
    coefficient: float = 0.0
    emissivity: float = 0.0


@dataclass(frozen=True)
class FaceLayer:
    """What lies on an out-of-plane face: a material number and its thickness [m].

    Behind a plate of finite thickness comes the mold.
    """

    material: int
    thickness: float = math.inf


@dataclass(frozen=True)
class Probe:
    """A point whose temperature is kept, [m]."""

    name: str
    x: float
    y: float


@dataclass(frozen=True)
class Stop:
    """When a run ends: all metal solid, a time [s], or hottest metal at a temperature [K]."""

    kind: Literal["solid", "time", "temperature"]
    value: float = math.nan


@dataclass(frozen=True)
class Judging:
    """What is kept for the findings, and the limit of the Niyama value.

    Parameters
    ----------
    temperature, window : float, [K]
        The gradient is kept at this temperature, the cooling rate over a window about it.
    niyama_limit : float, [(K s)^1/2/m]
    niyama_source : str
    """

    temperature: float
    window: float
    niyama_limit: float
    niyama_source: str


@dataclass(frozen=True)
class Pour:
    """How the metal comes in.

    Parameters
    ----------
    fill : {"at-once", "rising", "flowing"}
    time : float, [s]
        Asked for in the case, NaN if not; without gating it sets the flow.
    gating : GatingSystem or None
    """

    fill: Literal["at-once", "rising", "flowing"] = "at-once"
    time: float = math.nan
    gating: GatingSystem | None = None


@dataclass(frozen=True)
class Model:
    """A case ready to be computed, in SI.

    Parameters
    ----------
    section : Section
    materials : tuple of Material
    material_index : ndarray of uint8, shape (ny, nx)
        ``len(materials)`` marks cells of open air.
    initial_enthalpy : ndarray, shape (ny, nx), [J/m3]
    interfaces : mapping
        (lower, higher) material -> InterfaceConductance; pairs left out touch perfectly.
    sides : tuple of Boundary
        Left, right, bottom, top.
    open_air : Boundary
        What stands at surfaces against cells of air.
    metal, mold : int
        Material numbers of the poured alloy and of the mold.
    pour_temperature, mold_temperature : float, [K]
    faces : tuple of (FaceLayer, FaceLayer)
        Of each part: cope or front face, drag or back face.
    pour : Pour
    """

    title: str
    name: str
    units: Literal["metric", "inch"]
    section: Section
    materials: tuple[Material, ...]
    material_index: NDArray[np.uint8]
    initial_enthalpy: Array
    interfaces: Mapping[tuple[int, int], InterfaceConductance]
    sides: tuple[Boundary, Boundary, Boundary, Boundary]
    open_air: Boundary
    metal: int
    mold: int
    pour_temperature: float
    mold_temperature: float
    faces: tuple[tuple[FaceLayer, FaceLayer], ...]
    probes: tuple[Probe, ...]
    stop: Stop
    judging: Judging
    frames: int
    warnings: tuple[str, ...]
    provenance: Mapping[str, Any]
    pour: Pour = Pour()
