"""A run: what was computed, in SI, whether it lives in memory or was read from a file."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from solidsim.section.layout import Section

Array = NDArray[np.float64]


@dataclass(frozen=True)
class AlloyFacts:
    """The facts of the poured metal that findings need: [K], [J/kg], [kg/m3], [1].

    ``heat_content`` is given off from the pour to the solidus, [J/m3].
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
    """

    temperature: float
    niyama_limit: float
    niyama_source: str
    mold_effusivity: float = float("nan")
    mold_temperature: float = float("nan")


@dataclass(frozen=True)
class Frames:
    """Snapshots: times (nt,) [s], temperature [K] and solid fraction [1], float32 (nt, ny, nx)."""

    times: Array
    temperature: NDArray[np.float32]
    solid_fraction: NDArray[np.float32]


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

    ``released`` left the metal; it stands against ``stored`` (mold, cores, chills) plus ``lost``
    (through the outer boundaries and open surfaces).
    """

    times: Array
    released: Array
    stored: Array
    lost: Array

    @property
    def imbalance(self) -> float:
        """Largest gap of the account as a share of all heat released or taken up, [1]."""
        gap = np.abs(self.released - self.stored - self.lost)
        moved = np.max(np.abs(self.released) + np.abs(self.stored) + np.abs(self.lost)) / 2
        return float(np.max(gap) / moved) if moved > 0 else 0.0


@dataclass(frozen=True)
class StepHistory:
    """One row an accepted step: start and length [s], stages, and the tries that were refused."""

    times: Array
    lengths: Array
    stages: NDArray[np.int64]
    refused: NDArray[np.int64]


@dataclass(frozen=True)
class Place:
    """Something that happened during the fill: when [s], where [m], and what was found there.

    Parameters
    ----------
    kind : {"shut-in", "meeting", "coldest"}
        Air cut off, two surfaces that met, the coldest metal at the front.
    volume : float, [m3]
        Of shut-in air.
    temperature, solid_fraction : float, [K], [1]
        Of the metal.
    until : float, [s]
        When all of the air had gone; NaN if it stayed.
    """

    kind: str
    time: float
    x: float
    y: float
    volume: float = float("nan")
    temperature: float = float("nan")
    solid_fraction: float = float("nan")
    until: float = float("nan")


@dataclass(frozen=True)
class FillRecord:
    """How the metal came in.

    Parameters
    ----------
    mouths, parts : tuple of str
        Ingates, and what they open into.
    areas : ndarray, shape (mouths,), [m2]
        NaN where there is no gating.
    times : ndarray, shape (nt,), [s]
    flows : ndarray, shape (nt, mouths), [m3/s]
        Of the real casting.
    temperatures : ndarray, shape (nt, mouths), [K]
        Of the metal at the mouths.
    basin_levels : ndarray, shape (nt,), [m]
        Above the top of the sprue; NaN where there is no gating.
    sprue_full : ndarray of bool, shape (nt,)
    trap_velocity : float, [m/s]
        The fastest in a dirt trap; NaN if there is none.
    solved : bool
        Whether the flow in the gating was found at every time.
    wanted_time : float, [s]
        That the case asks for, or NaN.
    fill_time : float, [s]
        When the last metal came.
    volume, filled : float, [m3]
        Of the section's metal, and what of it was filled.
    poured_heat, heat_gap : float, [J]
        Enthalpy the metal brought, and what of it is missing in mold and metal at the end.
    flow_stop : float, [1]
        Solid fraction at which the alloy stops.
    places : tuple of Place
    """

    mouths: tuple[str, ...]
    parts: tuple[str, ...]
    areas: Array
    times: Array
    flows: Array
    temperatures: Array
    basin_levels: Array
    sprue_full: NDArray[np.bool_]
    trap_velocity: float
    solved: bool
    wanted_time: float
    fill_time: float
    volume: float
    filled: float
    poured_heat: float
    heat_gap: float
    flow_stop: float
    places: tuple[Place, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain data for the results file."""
        return {
            key: value.tolist() if isinstance(value, np.ndarray) else value
            for key, value in asdict(self).items()
        }


def fill_record(data: Mapping[str, Any]) -> FillRecord:
    """A fill record from its plain data."""
    arrays = ("areas", "times", "flows", "temperatures", "basin_levels", "sprue_full")
    return FillRecord(
        **{
            **data,
            **{key: np.array(data[key]) for key in arrays},
            "mouths": tuple(data["mouths"]),
            "parts": tuple(data["parts"]),
            "places": tuple(Place(**place) for place in data["places"]),
        }
    )


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
