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
from solidsim.fill.flow_grid import FlowGrid, lay_flow_grid
from solidsim.fill.free_surface_kernels import settle, sweep
from solidsim.fill.gas_pockets import Pockets, bleed, look_for_pockets, no_pockets
from solidsim.fill.metal_pressure import PressureRoom, find_pressure, make_room
from solidsim.fill.momentum_kernels import extend, largest_share, predict, watch_surface
from solidsim.fill.mouths import Mouth, Mouths, place_mouths
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

COURANT = 0.4  # share of a cell that may pass in a step; the split is sound up to a half
MOST_PASSED = 0.5
EXACT = 1e-4  # share of the fastest flow that the pressure may leave as error
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
    mouths : Mouths
    openings : ndarray of int, or None
        Flat indices of cells that air leaves from; None where it leaves everywhere.
    density, viscosity : float, [kg/m3], [m2/s]
    gravity : (float, float), [m/s2]
    slip : bool
    fraction : ndarray, shape (ny, nx)
        Share of the cell that holds metal.
    heat : ndarray, shape (ny, nx), [J]
        Enthalpy of the metal in each cell.
    u, v : ndarray, shape (ny, nx), [m/s]
        Velocity through the left and the lower face of each cell.
    pressure : ndarray, shape (ny, nx), [Pa]
        Above the air's, in metal and in pockets of air.
    arrival : ndarray, shape (ny, nx), [s]
        When the cell was half full first; nan where not yet.
    exposure : ndarray, shape (ny, nx), [s]
        How long the cell has held a free surface.
    mouth_pressure : ndarray, shape (mouths,), [Pa]
        Above the air's, at each mouth.
    pockets : Pockets
    time : float, [s]
    """

    grid: FlowGrid
    mouths: Mouths
    openings: NDArray[np.int64] | None
    density: float
    viscosity: float
    gravity: tuple[float, float]
    slip: bool
    fraction: Array
    heat: Array
    u: Array
    v: Array
    pressure: Array
    arrival: Array
    exposure: Array
    mouth_pressure: Array
    pockets: Pockets
    room: PressureRoom
    time: float = 0.0
    _turned: bool = field(default=False, repr=False)
    _known: list[NDArray[np.int8]] = field(default_factory=list, repr=False)
    _last_passable: Mask = field(default_factory=lambda: np.zeros(0, bool), repr=False)
    _faces: tuple[Array, Array] = field(default=(np.zeros(0), np.zeros(0)), repr=False)

    @property
    def volume(self) -> float:
        """Metal in the cavity, [m3]."""
        return float((self.fraction * self.grid.volumes).sum())

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
        """Go on by one step, as long as the metal's speed allows.

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
        grid, mouths = self.grid, self.mouths
        p, u, v = self.pressure.ravel(), self.u.ravel(), self.v.ravel()
        passable = self._passable(blocked)
        self.pockets = look_for_pockets(
            self.pockets, grid, self.fraction.ravel(), passable, self._faces, p, self.openings
        )
        share = mouths.open_share(passable)
        source, soft = np.zeros(p.size), np.zeros(p.size)
        source[mouths.cell] = inflow[mouths.mouth] * share
        dt = self._length(longest, source)
        mouths.stream(inflow, u, v)
        if yielding is not None:
            metal = self.pockets.kind[mouths.cell] == 2
            soft[mouths.cell] = yielding[mouths.mouth] * share * metal
            source[mouths.cell] += soft[mouths.cell] * self.mouth_pressure[mouths.mouth]
        u, v, passing = self._predict(dt, drag)
        found = find_pressure(
            self.room, grid, self.pockets, self.fraction.ravel(), self._faces, passing, (u, v),
            source, soft, p, self.density, dt, self._allowed_error(dt),
        )  # fmt: skip
        bleed(self.pockets, found.pockets, dt)
        nx = grid.volumes.shape[1]
        extend(u, self._faces[0], self.pockets.kind, self._known[0], 1, nx)
        extend(v, self._faces[1], self.pockets.kind, self._known[1], nx, 1)
        self.u, self.v = u.reshape(self.u.shape), v.reshape(self.v.shape)
        entered = (source - soft * p)[mouths.cell]
        heat = entered * (0.0 if entering_enthalpy is None else entering_enthalpy[mouths.mouth])
        lost = self._move(dt, source, entered, heat)
        self.time += dt
        self.mouth_pressure = mouths.mean(p)
        fastest, cell = watch_surface(
            self.pockets.kind, self.pockets.owner, self.fraction.ravel(), u, v, nx, dt,
            self.time, self.arrival.ravel(), self.exposure.ravel(),
        )  # fmt: skip
        if not math.isfinite(fastest) or not math.isfinite(found.residual):
            raise SolverError(f"the flow of metal is not finite at {self.time:.4g} s")
        return FlowStep(
            length=dt,
            iterations=found.iterations,
            residual=found.residual,
            entered=dt * mouths.total(entered),
            heat=dt * float(heat.sum()),
            lost=lost,
            fastest=fastest,
            place=grid.place(cell) if cell >= 0 else (math.nan, math.nan),
        )

    def _passable(self, blocked: Mask | None) -> Mask:
        """Cells that metal may be in, flat; closes the faces of those that are blocked."""
        passable = self.grid.cavity
        if blocked is not None:
            passable = passable & ~self.grid.inside(blocked)
        if not np.array_equal(passable, self._last_passable):
            self._last_passable, self._faces = passable, _open_faces(self.grid, passable)
            for q, area in zip((self.u, self.v), self._faces, strict=True):
                q[area.reshape(q.shape) == 0.0] = 0.0
        return passable.ravel()

    def _length(self, longest: float, source: Array) -> float:
        """Length of a step: speed, waves on the surface and viscosity limit it, [s]."""
        grid = self.grid
        share = largest_share(
            self.fraction.ravel(), self.u.ravel(), self.v.ravel(), *self._faces,
            grid.volumes.ravel(), source, grid.volumes.shape[1],
        )  # fmt: skip
        h = min(float(grid.widths.min()), float(grid.heights.min()))
        limits = [longest, 0.2 * h * h / self.viscosity]
        if share > 0.0:
            limits.append(COURANT / share)
        pull = math.hypot(*self.gravity)
        if pull > 0.0:
            limits.append(0.5 * math.sqrt(h / pull))
        return min(limits)

    def _allowed_error(self, dt: float) -> float:
        """Error of the velocities that the pressure may leave, [m/s]."""
        fastest = max(float(np.abs(self.u).max()), float(np.abs(self.v).max()))
        return EXACT * fastest + 1e-9

    def _predict(self, dt: float, drag: Array | None) -> tuple[Array, Array, tuple[Array, Array]]:
        """Velocities before the pressure, and the flow through each face for a pascal."""
        grid, nx = self.grid, self.u.shape[1]
        kind, F = self.pockets.kind, self.fraction.ravel()
        mush = np.zeros(F.size) if drag is None else grid.inside(drag).ravel()
        known = self._known
        new = [np.zeros(F.size) for _ in range(4)]
        self._known = [np.zeros(F.size, np.int8) for _ in range(2)]
        sizes, velocities = (
            (grid.widths.ravel(), grid.heights.ravel()),
            (self.u.ravel(), self.v.ravel()),
        )
        for along, across in ((0, 1), (1, 0)):
            strides = (1, nx)
            predict(
                velocities[along], velocities[across], known[along], known[across],
                self._faces[along], kind, F, sizes[along], sizes[across], grid.mixing.ravel(),
                grid.depth.ravel(), mush, self.viscosity, self.density, self.gravity[along], dt,
                self.slip, strides[along], strides[across], new[along], self._known[along],
                new[2 + along],
            )  # fmt: skip
        return new[0], new[1], (new[2], new[3])

    def _move(self, dt: float, source: Array, entered: Array, heat: Array) -> float:
        """Move metal and its heat, first along x and y in turn; what was cut off [m3]."""
        grid, nx, cells = self.grid, self.u.shape[1], self.mouths.cell
        F, H, V = self.fraction.ravel(), self.heat.ravel(), grid.volumes.ravel()
        u, v, M = self.u.ravel(), self.v.ravel(), F * V
        share = largest_share(M, u, v, *self._faces, V, source, nx)
        parts = max(math.ceil(dt * share / MOST_PASSED), 1)
        full = self.pockets.kind == 2
        flux, carried, lost = np.zeros(F.size), np.zeros(F.size), 0.0
        for _ in range(parts):
            turns = [(u, self._faces[0], 1, nx), (v, self._faces[1], nx, 1)]
            self._turned = not self._turned
            for q, area, a, b in turns[:: -1 if self._turned else 1]:
                sweep(F, full, M, H, q, area, V, a, b, dt / parts, flux, carried)
            np.add.at(M, cells, entered * dt / parts)
            np.add.at(H, cells, heat * dt / parts)
            lost += settle(F, M, H, V, nx, DUST)
        return lost


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
    shape = grid.volumes.shape
    placed = place_mouths(grid, mouths)
    if not math.isfinite(permeability):
        openings = None
    return Flow(
        grid=grid,
        mouths=placed,
        openings=None if openings is None else np.flatnonzero(grid.inside(openings)),
        density=density,
        viscosity=viscosity,
        gravity=gravity,
        slip=slip,
        fraction=np.zeros(shape) if fraction is None else grid.inside(fraction) * grid.cavity,
        heat=np.zeros(shape) if heat is None else grid.inside(heat) * grid.cavity,
        u=np.zeros(shape),
        v=np.zeros(shape),
        pressure=np.zeros(shape),
        arrival=np.full(shape, math.nan),
        exposure=np.zeros(shape),
        mouth_pressure=np.zeros(placed.count),
        pockets=no_pockets(grid),
        room=make_room(grid),
        _known=[np.zeros(grid.volumes.size, np.int8) for _ in range(2)],
    )


def _open_faces(grid: FlowGrid, passable: Mask) -> tuple[Array, Array]:
    """Areas of the faces between passable cells, flat, [m2]."""
    west, south = np.zeros_like(passable), np.zeros_like(passable)
    west[:, 1:] = passable[:, 1:] & passable[:, :-1]
    south[1:] = passable[1:] & passable[:-1]
    return (
        np.where(west, grid.areas_x, 0.0).ravel(),
        np.where(south, grid.areas_y, 0.0).ravel(),
    )
