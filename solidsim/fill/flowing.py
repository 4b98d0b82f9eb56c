"""Metal that flows with a free surface into the cavity of a section.

All arrays of a flow have one shape: the window of the section that holds the cavity, with a ring
of closed cells around it. Velocities stand on faces, each with the cell above or right of it::

              |   v[j+1,i]  |
        ------+------^------+------
              |             |
       u[j,i] >   F[j,i]    > u[j,i+1]
              |             |
        ------+------^------+------
              |   v[j,i]    |
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.section.layout import Section

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Mouth:
    """Where metal comes in.

    Parameters
    ----------
    cells : tuple of int
        Flat indices into the section's cells.
    direction : (float, float)
        Of the stream as it enters; the cells' walls on the side it comes from are the opening.
        (0, 0) where metal wells up with no direction of its own.
    """

    cells: tuple[int, ...]
    direction: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class FlowStep:
    """What one step did.

    Parameters
    ----------
    length : float, [s]
    iterations : int
        Of the pressure.
    residual : float
        Largest volume error of a cell that the pressure leaves, as a share of the cell; it is
        put right in the next steps.
    entered : ndarray, shape (mouths,), [m3]
    heat : float, [J]
        Entered with it.
    lost : float, [m3]
        Metal that was cut off to keep fractions in bounds.
    fastest : float, [m/s]
        Of the free surface.
    place : (float, float), [m]
        Where that was.
    """

    length: float
    iterations: int
    residual: float
    entered: Array
    heat: float
    lost: float
    fastest: float
    place: tuple[float, float]


@dataclass
class Flow:
    """Metal in a cavity, on the way; made by ``start_flow``.

    Parameters
    ----------
    section : Section
    window : (slice, slice)
        Of the section's cells, without the ring.
    volumes, depth : ndarray, shape (ny, nx), [m3], [m]
    fraction : ndarray, shape (ny, nx)
        Share of the cell that holds metal.
    u, v : ndarray, shape (ny, nx), [m/s]
        Velocity through the left and the lower face of each cell.
    pressure : ndarray, shape (ny, nx), [Pa]
        Above the air's, in metal and in gas.
    heat : ndarray, shape (ny, nx), [J]
        Enthalpy of the metal in each cell.
    time : float, [s]
    arrival : ndarray, shape (ny, nx), [s]
        When the cell was half full first; nan where not yet.
    exposure : ndarray, shape (ny, nx), [s]
        How long the cell has held a free surface.
    mouth_pressure : ndarray, shape (mouths,), [Pa]
        Above the air's, of metal at each mouth.
    """

    section: Section
    window: tuple[slice, slice]
    volumes: Array
    depth: Array
    fraction: Array
    u: Array
    v: Array
    pressure: Array
    heat: Array
    arrival: Array
    exposure: Array
    mouth_pressure: Array
    time: float = 0.0

    def inside(self, field: NDArray, around: float = 0.0) -> NDArray:
        """A field of the section, shape of its grid, as one of the flow."""
        return np.pad(field[self.window], 1, constant_values=around)

    def outside(self, field: NDArray, elsewhere: float = 0.0) -> NDArray:
        """A field of the flow as one of the section, with a value for cells out of the window."""
        whole = np.full(self.section.grid.shape, elsewhere, field.dtype)
        whole[self.window] = field[1:-1, 1:-1]
        return whole

    def step(
        self,
        longest: float,
        inflow: Array,
        *,
        entering_enthalpy: Array | None = None,
        drag: Array | None = None,
        blocked: Mask | None = None,
        yielding: Array | None = None,
    ) -> FlowStep:
        """Go on by one step as long as the metal's speed allows.

        Parameters
        ----------
        longest : float, [s]
        inflow : ndarray, shape (mouths,), [m3/s]
            In terms of the section's own volume.
        entering_enthalpy : ndarray, shape (mouths,), [J/m3], optional
        drag : ndarray, shape of the section, [1/s], optional
            Of mush: deceleration over velocity; may be huge.
        blocked : ndarray of bool, shape of the section, optional
            Cells that are solid: no metal passes.
        yielding : ndarray, shape (mouths,), [m3/(s Pa)], optional
            How much less comes in for each pascal by which the mouth's pressure rises above
            ``mouth_pressure``.

        Raises
        ------
        SolverError
            When velocities are not finite.
        """
        raise NotImplementedError


def start_flow(
    section: Section,
    mouths: Sequence[Mouth],
    *,
    openings: Mask | None,
    density: float,
    viscosity: float,
    gravity: tuple[float, float],
    permeability: float = math.inf,
    fraction: Array | None = None,
    heat: Array | None = None,
    slip: bool = False,
) -> Flow:
    """An empty cavity, or one with metal at rest.

    Parameters
    ----------
    section : Section
    mouths : sequence of Mouth
    openings : ndarray of bool, shape (ny, nx) of the section, or None
        Cavity cells that air leaves from; None where it leaves everywhere.
    density, viscosity : float, [kg/m3], [m2/s]
        Of the metal.
    gravity : (float, float), [m/s2]
        Along x and y; zero in plan.
    permeability : float, [m2]
        Of the sand, to air.
    fraction, heat : ndarray, shape of the section, optional, [1], [J]
        Metal at the start.
    slip : bool
        Whether metal slides along the walls without friction.
    """
    raise NotImplementedError
