"""A run: what was computed, in SI, whether it lives in memory or was read from a file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.record import FillRecord
from solidsim.materials.irons import Iron
from solidsim.materials.material import VolumeLaw
from solidsim.section.layout import Section

Array = NDArray[np.float64]


@dataclass(frozen=True)
class AlloyFacts:
    """The facts of the poured metal that findings need: [K], [J/kg], [kg/m3], [1].

    ``heat_content`` is given off from the pour to the solidus, [J/m3]. ``volume`` and ``iron`` are
    None for a metal whose card does not say how it shrinks, or that holds no graphite.
    """

    name: str
    title: str
    pour_temperature: float
    liquidus: float
    solidus: float
    latent_heat: float
    density: float
    feeding_cutoff: float
    heat_content: float = float("nan")
    volume: VolumeLaw | None = None
    iron: Iron | None = None


@dataclass(frozen=True)
class JudgingRules:
    """Where and against what a run is judged.

    Parameters
    ----------
    temperature : float, [K]
        Gradient and cooling rate are kept as each cell passes it.
    niyama_limit : float, [(K s)^1/2/m]
    niyama_source : str
    mold_effusivity : float, [W s^1/2/m2K]
        Of the sand, root of conductivity times heat taken up a kelvin, between its start and the
        freezing metal.
    mold_temperature : float, [K]
    wall_movement : float, [1]
        Share of the growth of graphite that the mold gives way to.
    open_parts : tuple of str
        Metal parts that lie open to the air, under a loose cover or none.
    """

    temperature: float
    niyama_limit: float
    niyama_source: str
    mold_effusivity: float = float("nan")
    mold_temperature: float = float("nan")
    wall_movement: float = 0.0
    open_parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class FlowFrames:
    """How metal flowed: share of each cell that it fills [1], velocity at its middle [m/s].

    Float16, shape (nf, ny, nx): the first frames of a run, until the last metal came; with metal
    in the last of them.
    """

    filled: NDArray[np.float16]
    velocity_x: NDArray[np.float16]
    velocity_y: NDArray[np.float16]


@dataclass(frozen=True)
class Frames:
    """Snapshots: times (nt,) [s], temperature [K] and solid fraction [1], (nt, ny, nx).

    Float32; the solid fraction in whole 1/1024, which float16 holds, until it is stored.
    ``flow`` is there where the metal flowed in with a free surface.
    """

    times: Array
    temperature: NDArray[np.float32]
    solid_fraction: NDArray[np.float32] | NDArray[np.float16]
    flow: FlowFrames | None = None


@dataclass(frozen=True)
class ProbeCurve:
    """Cooling curve of one point: place [m], times (n,) [s], temperatures (n,) [K]."""

    name: str
    x: float
    y: float
    times: Array
    temperatures: Array


@dataclass(frozen=True)
class EnergyAccount:
    """Heat against time since the pour, shape (n,) [s] and [J].

    ``released`` left the metal and ``added`` came from what burned; they stand against ``stored``
    (mold, cores, chills, sleeves) plus ``lost`` (through the outer boundaries and open surfaces).
    ``through_faces`` is what of both left out of the page.
    """

    times: Array
    released: Array
    stored: Array
    lost: Array
    through_faces: Array
    added: Array

    @property
    def imbalance(self) -> float:
        """Largest gap of the account as a share of all heat released or taken up, [1]."""
        gap = np.abs(self.released + self.added - self.stored - self.lost)
        heats = (self.released, self.added, self.stored, self.lost)
        moved = np.max(np.sum(np.abs(heats), axis=0)) / 2
        return float(np.max(gap) / moved) if moved > 0 else 0.0


@dataclass(frozen=True)
class StepHistory:
    """One row an accepted step: start and length [s], stages, and the tries that were refused."""

    times: Array
    lengths: Array
    stages: NDArray[np.int64]
    refused: NDArray[np.int64]


@dataclass(frozen=True)
class Run:
    """What was computed for one case; field names and units stand in ``quantities.FIELDS``."""

    title: str
    units: Literal["metric", "inch"]
    section: Section
    alloy: AlloyFacts
    judging: JudgingRules
    fields: Mapping[str, Array]
    frames: Frames
    probes: tuple[ProbeCurve, ...]
    account: EnergyAccount
    steps: StepHistory
    stop_reason: str
    finished: bool
    warnings: tuple[str, ...]
    provenance: Mapping[str, Any] = field(default_factory=dict)
    findings: tuple[dict[str, Any], ...] = ()
    fill: FillRecord | None = None

    @property
    def metal(self) -> NDArray[np.bool_]:
        """Cells that hold poured metal, shape (ny, nx)."""
        return self.section.metal
