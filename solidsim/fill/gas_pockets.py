"""Pockets of air in a cavity with flowing metal: shut in, squeezed, and bled through the sand."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.flow_grid import FlowGrid
from solidsim.fill.gas_kernels import find_pockets, let_out, share_out_air

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

AIR = 101325.0  # Pa, the standard atmosphere
NOWHERE, NO_AIR = np.zeros(0, np.int64), (np.zeros(0), np.zeros(0), np.zeros(0))
ROUNDING = 1e-3  # of a pocket's room: what the solution of the pressure may be off by
LEAST, MOST = 0.05, 50.0  # times the air's pressure: bounds in which p V is trusted


@dataclass(frozen=True)
class AirPocket:
    """Air that is shut in: volume [m3], pressure above the air's [Pa], its highest place [m]."""

    volume: float
    pressure: float
    x: float
    y: float


@dataclass
class Pockets:
    """All connected bodies of air in a cavity; pocket 0 is none.

    Parameters
    ----------
    kind : ndarray of int8, shape (n,)
        0 closed, 1 air, 2 metal, of each cell.
    owner : ndarray of int64, shape (n,)
        The pocket of a cell of air or at a surface.
    is_open : ndarray of bool, shape (np,)
    amount : ndarray, shape (np,), [J]
        Absolute pressure times volume.
    volume : ndarray, shape (np,), [m3]
    leak : ndarray, shape (np,), [m3/(s Pa)]
    unknown : ndarray of int64, shape (np,)
        Number among the closed pockets, -1 where open.
    closed : ndarray of int64, shape (nc,)
        Numbers of the pockets with no way to the open.
    """

    kind: NDArray[np.int8]
    owner: NDArray[np.int64]
    is_open: Mask = field(default_factory=lambda: np.ones(1, bool))
    amount: Array = field(default_factory=lambda: np.zeros(1))
    volume: Array = field(default_factory=lambda: np.zeros(1))
    leak: Array = field(default_factory=lambda: np.zeros(1))
    unknown: NDArray[np.int64] = field(default_factory=lambda: np.full(1, -1))
    closed: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, np.int64))


def no_pockets(grid: FlowGrid) -> Pockets:
    """Before the first look."""
    size = grid.volumes.size
    return Pockets(np.zeros(size, np.int8), np.zeros(size, np.int64))


def look_for_pockets(
    pockets: Pockets,
    grid: FlowGrid,
    fraction: Array,
    passable: Mask,
    faces: tuple[Array, Array],
    pressure: Array,
    openings: NDArray[np.int64] | None,
) -> Pockets:
    """The pockets as they are now; air that was shut in before stays what it was.

    Parameters
    ----------
    pockets : Pockets
        As they were; not to be used any more.
    fraction, pressure : ndarray, shape (n,), [1], [Pa]
    passable : ndarray of bool, shape (n,)
    faces : (ndarray, ndarray), shape (n,), [m2]
        Areas of the faces that are not blocked.
    openings : ndarray of int, optional
        Cells that air leaves from; None where it leaves everywhere.
    """
    nx, size = grid.volumes.shape[1], grid.volumes.size
    new = Pockets(pockets.kind, np.zeros_like(pockets.owner))
    into, is_open = np.empty(size, np.int64), np.empty(size, bool)
    count = find_pockets(
        fraction, passable, *faces, nx, grid.cells, NOWHERE if openings is None else openings,
        new.kind, new.owner, into, is_open,
    )  # fmt: skip
    new.is_open = np.ones(count + 1, bool) if openings is None else is_open[: count + 1].copy()
    new.closed = np.flatnonzero(~new.is_open)
    new.unknown = np.full(count + 1, -1)
    found = np.zeros((3, count + 1))
    new.amount, new.volume, new.leak = found
    if new.closed.size:
        new.unknown[new.closed] = np.arange(new.closed.size)
        share_out_air(
            grid.cells, new.owner, new.is_open, pockets.owner, pockets.is_open, pockets.amount,
            fraction, grid.volumes.ravel(), pressure, AIR, LEAST, MOST, grid.leak.ravel(),
            np.zeros(pockets.is_open.size), found,
        )  # fmt: skip
    return new


def bleed(pockets: Pockets, pressure: Array, dt: float) -> None:
    """Let air pass the sand for a time [s] at the pressures of the closed pockets, [Pa]."""
    if pockets.closed.size:
        let_out(pockets.closed, pockets.amount, pockets.volume, pockets.leak, pressure, dt)


def shut_in(
    pockets: Pockets, grid: FlowGrid, fraction: Array, pressure: Array, least: float = 0.0
) -> tuple[AirPocket, ...]:
    """The closed pockets that held at ``least`` as much [m3] before the last step, largest first.

    fraction [1] and pressure [Pa] are flat.
    """
    found = []
    void = (1.0 - fraction) * grid.volumes.ravel()
    for number in pockets.closed[pockets.volume[pockets.closed] >= least]:
        cells = np.flatnonzero((pockets.owner == number) & (pockets.kind == 1))
        own = np.flatnonzero(pockets.owner == number)
        x, y = grid.place(int(cells[-1]))
        found.append(AirPocket(float(void[own].sum()), float(pressure[cells[0]]), x, y))
    return tuple(sorted(found, key=lambda pocket: -pocket.volume))


def yielding_air(pockets: Pockets, dt: float) -> tuple[Array, Array, Array]:
    """Pressure of the closed pockets as their air fills them, [Pa], and how they yield in a step.

    Into each flows D times its pressure less R: D [m3/(s Pa)] and R [m3/s] come second and third.
    """
    closed = pockets.closed
    if not closed.size:
        return NO_AIR
    amount, volume, leak = pockets.amount[closed], pockets.volume[closed], pockets.leak[closed]
    pressure, stored = amount / volume - AIR, volume**2 / (amount * dt)
    return pressure, stored + leak, stored * pressure


def fill_up(pockets: Pockets, D: Array, R: Array, pressure: Array, dt: float) -> bool:
    """Let no pocket take more than it has room for: it yields to just that, in place.

    Whether any would have taken more at these pressures [Pa]. See ``yielding_air`` for D and R.
    """
    room = pockets.volume[pockets.closed] / dt
    over = D * pressure[: D.size] - R > (1.0 + ROUNDING) * room
    D[over], R[over] = 0.0, -room[over]
    return bool(over.any())
