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
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.errors import SolverError
from solidsim.fill.flow_grid import FlowGrid, lay_flow_grid, open_faces
from solidsim.fill.free_surface_kernels import move
from solidsim.fill.gas_kernels import find_near
from solidsim.fill.gas_pockets import Pockets, bleed, look_for_pockets, no_pockets
from solidsim.fill.metal_momentum import (
    FaceMotion,
    FlowingMetal,
    at_rest,
    complete,
    predict_motion,
    step_length,
    wall_shear,
)
from solidsim.fill.metal_pressure import PressureRoom, find_pressure, make_room
from solidsim.fill.momentum_kernels import watch_surface
from solidsim.fill.mouths import MOST_BACK, MOST_FULL, Mouth, Mouths, Stream, place_mouths
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

MOST_PASSED = 0.5  # of a cell in a sweep; Weymouth & Yue 2010
MOST_PARTS = 3  # of a step: two as a rule, three when its speed has grown
NEAR = 3  # rows and columns around metal that are looked at
DUST = 1e-9  # share of a cell below which metal goes to its neighbor


@dataclass(frozen=True)
class FlowStep:
    """What one step did.

    Parameters
    ----------
    length : float, [s]
    iterations : int
        Of the pressure.
    residual : float, [m/s]
        What the pressure leaves as error of the velocities, root mean square.
    entered : ndarray, shape (mouths,), [m3]
        Negative where metal ran back.
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
    grid : FlowGrid
    metal : FlowingMetal
    mouths : Mouths
    openings : ndarray of int, or None
        Flat indices of cells that air leaves from; None where it leaves everywhere.
    fraction : ndarray, shape (ny, nx)
        Share of the cell that holds metal.
    heat : ndarray, shape (ny, nx), [J]
        Enthalpy of the metal in each cell.
    pressure : ndarray, shape (ny, nx), [Pa]
        Above the air's, in metal and in pockets of air.
    arrival : ndarray, shape (ny, nx), [s]
        When the cell was half full first; nan where not yet.
    exposure : ndarray, shape (ny, nx), [s]
        How long the cell has held a free surface.
    mouth_pressure : ndarray, shape (mouths,), [Pa]
        Above the air's, at each mouth.
    pockets : Pockets
    motion : FaceMotion
    room : PressureRoom
    time : float, [s]
    """

    grid: FlowGrid
    metal: FlowingMetal
    mouths: Mouths
    openings: NDArray[np.int64] | None
    fraction: Array
    heat: Array
    pressure: Array
    arrival: Array
    exposure: Array
    mouth_pressure: Array
    pockets: Pockets
    motion: FaceMotion
    room: PressureRoom
    time: float = 0.0
    _share: float = field(default=0.0, repr=False)
    _spare: FaceMotion = field(default_factory=lambda: at_rest(0), repr=False)
    _last: float = field(default=0.0, repr=False)
    _turned: bool = field(default=False, repr=False)
    _passable: Mask = field(default_factory=lambda: np.zeros(0, bool), repr=False)
    _faces: tuple[Array, Array] = field(default=(np.zeros(0), np.zeros(0)), repr=False)
    _mush: Array = field(default_factory=lambda: np.zeros(0), repr=False)
    _room: Array = field(default_factory=lambda: np.zeros((5, 0)), repr=False)

    @property
    def u(self) -> Array:
        """Velocity through the left face of each cell, shape (ny, nx), [m/s]."""
        return self.motion.velocity[0].reshape(self.fraction.shape)

    @property
    def v(self) -> Array:
        """Velocity through the lower face of each cell, shape (ny, nx), [m/s]."""
        return self.motion.velocity[1].reshape(self.fraction.shape)

    @property
    def volume(self) -> float:
        """Metal in the cavity, [m3]."""
        return float((self.fraction * self.grid.volumes).sum())

    def resist(self, drag: Array | None = None, blocked: Mask | None = None) -> None:
        """Let metal that has cooled hold back what flows, from the next step on.

        Parameters
        ----------
        drag : ndarray, shape of the section, [1/s], optional
            Of mush: deceleration over velocity; may be huge.
        blocked : ndarray of bool, shape of the section, optional
            Cells that are solid: no metal passes.
        """
        passable = self.grid.cavity
        if blocked is not None:
            passable = passable & ~self.grid.inside(blocked)
        self._mush = np.zeros(passable.size) if drag is None else self.grid.inside(drag).ravel()
        if not np.array_equal(passable, self._passable):
            self._passable, self._faces = passable, open_faces(self.grid, passable)
            for q, area in zip(self.motion.velocity, self._faces, strict=True):
                q[area == 0.0] = 0.0

    def step(
        self,
        longest: float,
        inflow: Array,
        *,
        entering_enthalpy: Array | None = None,
        yielding: Array | None = None,
    ) -> FlowStep:
        """Go on by one step, as long as the metal's speed allows.

        Parameters
        ----------
        longest : float, [s]
        inflow : ndarray, shape (mouths,), [m3/s]
            In terms of the section's own volume.
        entering_enthalpy : ndarray, shape (mouths,), [J/m3], optional
        yielding : ndarray, shape (mouths,), [m3/(s Pa)], optional
            How much less comes in for each pascal by which the mouth's pressure rises above
            ``mouth_pressure``.

        Raises
        ------
        SolverError
            When velocities are not finite.
        """
        grid, mouths, nx = self.grid, self.mouths, self.fraction.shape[1]
        F, p = self.fraction.ravel(), self.pressure.ravel()
        self.pockets = look_for_pockets(
            self.pockets, grid, F, self._passable.ravel(), self._faces, p, self.openings
        )
        kind = self.pockets.kind
        stream = mouths.stream(
            inflow, yielding, self.mouth_pressure, entering_enthalpy, kind, self.motion.velocity
        )
        dt = step_length(grid, self.metal, max(self._share, stream.share), longest)
        near = self._near()
        motion = self._spare
        predict_motion(
            grid, self.metal, kind, F, self._faces, self.motion, self._mush, near,
            0.5 * (self._last + dt), self._room[1:3], motion,
        )  # fmt: skip
        found = find_pressure(
            self.room, grid, self.pockets, F, self._faces, motion, mouths.cell, stream, p,
            self.metal.density, near, dt, grid.finest * self._share,
        )  # fmt: skip
        complete(self._faces, self.motion, motion, nx)
        self.motion, self._spare = motion, self.motion
        dt, entered, heat, lost = self._move(dt, near, stream)
        self._last = dt
        bleed(self.pockets, found.pockets, dt)
        self.time += dt
        self.mouth_pressure = mouths.mean(p)
        speed, cell = watch_surface(
            kind, self.pockets.owner, F, *motion.velocity, nx, near, dt, self.time,
            self.arrival.ravel(), self.exposure.ravel(),
        )  # fmt: skip
        return FlowStep(
            length=dt,
            iterations=found.iterations,
            residual=found.residual,
            entered=entered,
            heat=heat,
            lost=lost,
            fastest=speed,
            place=grid.place(cell) if cell >= 0 else (math.nan, math.nan),
        )

    def _near(self) -> NDArray[np.uint64]:
        """Cells that metal is in or near to."""
        grid, mouths = self.grid, self.mouths
        near, ends = np.empty(grid.cells.size, np.uint64), np.empty((2, grid.volumes.shape[0]), int)
        count = find_near(
            self.fraction.ravel(), grid.cells, grid.rows, grid.volumes.shape[1], mouths.cell, NEAR,
            ends[0], ends[1], near,
        )  # fmt: skip
        return near[:count]

    def _move(
        self, dt: float, near: NDArray[np.uint64], stream: Stream
    ) -> tuple[float, Array, float, float]:
        """Move metal and its heat, along x and y in turn.

        For less time where a blow has made it faster than was foreseen. Gives the time [s], what
        entered [m3], its heat [J] and what was cut off [m3].
        """
        mouths, V = self.mouths, self.grid.volumes.ravel()
        entered = np.zeros(mouths.count)
        dt, parts, self._share, heat, lost = move(
            self.fraction.ravel(), self.pockets.kind, self._room[0], self.heat.ravel(),
            *self.motion.velocity, *self._faces, V, self.fraction.shape[1], near, dt,
            MOST_PASSED, MOST_PARTS, self._turned, DUST, mouths.cell, mouths.mouth, stream.source,
            stream.soft, stream.enthalpy, self.pressure.ravel(), MOST_FULL, MOST_BACK, entered,
            self._room[3], self._room[4],
        )  # fmt: skip
        if not math.isfinite(self._share):
            raise SolverError(f"the flow of metal is not finite at {self.time:.4g} s")
        self._turned ^= parts % 2 == 1
        return dt, entered, heat, lost


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
        Of the sand, to air; endless where no air is ever shut in.
    fraction, heat : ndarray, shape of the section, optional, [1], [J]
        Metal at the start.
    slip : bool
        Whether metal slides along the walls without friction.
    """
    grid = lay_flow_grid(section, permeability)
    shape, size = grid.volumes.shape, grid.volumes.size
    placed = place_mouths(grid, mouths)
    shear = wall_shear(grid.depth.ravel(), viscosity)
    shut = openings is not None and math.isfinite(permeability)
    flow = Flow(
        grid=grid,
        metal=FlowingMetal(density, viscosity, gravity, slip, shear),
        mouths=placed,
        openings=np.flatnonzero(grid.inside(openings)) if shut and openings is not None else None,
        fraction=np.zeros(shape) if fraction is None else grid.inside(fraction) * grid.cavity,
        heat=np.zeros(shape) if heat is None else grid.inside(heat) * grid.cavity,
        pressure=np.zeros(shape),
        arrival=np.full(shape, math.nan),
        exposure=np.zeros(shape),
        mouth_pressure=np.zeros(placed.count),
        pockets=no_pockets(grid),
        motion=at_rest(size),
        room=make_room(grid),
        _spare=at_rest(size),
        _room=np.zeros((5, size)),
    )
    flow.resist()
    return flow
