"""What is kept of a fill."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

BUBBLES = 2e-3  # of the metal's room may stay air in a mold that is full


@dataclass(frozen=True)
class Place:
    """Something that happened during the fill: when [s], where [m], and what was found there.

    Parameters
    ----------
    kind : {"shut-in", "meeting", "coldest", "fastest"}
        Air cut off, two surfaces that met, the coldest metal at the front, the fastest surface.
    volume : float, [m3]
        Of shut-in air.
    temperature, solid_fraction : float, [K], [1]
        Of the metal.
    until : float, [s]
        When all of the air had gone; NaN if it stayed.
    pressure : float, [Pa]
        Of shut-in air at its highest, above that outside; NaN where it is not computed.
    speed : float, [m/s]
        Of the surface.
    leak : float, [m3/(s Pa)]
        Air that leaves through the sand for a pascal; NaN if it is not known.
    left : float, [s]
        In which the rest of the mold would have filled; NaN if it is not known.
    """

    kind: str
    time: float
    x: float
    y: float
    volume: float = float("nan")
    temperature: float = float("nan")
    solid_fraction: float = float("nan")
    until: float = float("nan")
    pressure: float = float("nan")
    speed: float = float("nan")
    leak: float = float("nan")
    left: float = float("nan")


@dataclass(frozen=True)
class Inlet:
    """Where metal comes in: the middle of a mouth on its wall [m], and which way it streams [1].

    The name is empty where the case names no ingate; (0, 0) is a stream with no direction.
    """

    name: str
    x: float
    y: float
    along_x: float
    along_y: float


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
    volume_error : float, [1]
        Metal gained or lost by a flow with a free surface, of all that came; NaN where it rose.
    weight : float, [kg]
        Of all metal above the mouths as the case gives it; NaN if it does not.
    inlets : tuple of Inlet
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
    volume_error: float = float("nan")
    weight: float = float("nan")
    inlets: tuple[Inlet, ...] = ()

    @property
    def full(self) -> bool:
        """Whether the metal came everywhere, but for small bubbles."""
        return self.filled >= (1.0 - BUBBLES) * self.volume

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
            "inlets": tuple(Inlet(**inlet) for inlet in data.get("inlets", ())),
        }
    )
