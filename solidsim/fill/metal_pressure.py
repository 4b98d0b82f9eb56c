"""The pressure that keeps the volume of flowing metal, and of the air shut in with it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.flow_grid import FlowGrid
from solidsim.fill.gas_pockets import AIR, Pockets, fill_up, yielding_air
from solidsim.fill.metal_momentum import FaceMotion
from solidsim.fill.mouths import Stream
from solidsim.fill.pressure_kernels import System, assemble, factor, press, solve

Array = NDArray[np.float64]

COMPRESSIBILITY = 1e-11  # 1/Pa; from memory: liquid iron and aluminum have 1e-11 to 2.5e-11
LEFT_OUT = 0.985  # share of what the factor leaves out that goes to its diagonal; Gustafsson 1978
MOST_TURNS = 400
EXACT = 1e-5  # error of the velocities that is allowed, over the fastest of them
LEAST_ERROR = 1e-9  # m/s
EASE = 0.5  # share of a volume error that is put right in a step
MOST_EASED = 0.02  # of a cell in a step, so that putting right makes no waves
SUCTION = -2e4  # Pa; below this voids in metal are not closed


@dataclass(frozen=True)
class PressureRoom:
    """Arrays that the equations need, made once; ``number`` (n,) of each cell among them."""

    system: System
    number: NDArray[np.int64]


@dataclass(frozen=True)
class PressureFound:
    """Iterations, error of the velocities [m/s] and pressure of the closed pockets [Pa]."""

    iterations: int
    residual: float
    pockets: Array


def make_room(grid: FlowGrid) -> PressureRoom:
    """Room for the pressure of all cells of a window."""
    size = grid.volumes.size
    system = System(
        np.zeros((3, size + 2), np.int64),
        np.zeros((12, size + 2)),
        np.zeros((2, 4 * size), np.int64),
        np.zeros(4 * size),
    )
    return PressureRoom(system, np.full(size, -1))


def find_pressure(
    room: PressureRoom,
    grid: FlowGrid,
    pockets: Pockets,
    fraction: Array,
    faces: tuple[Array, Array],
    motion: FaceMotion,
    mouth_cells: NDArray[np.int64],
    stream: Stream,
    pressure: Array,
    density: float,
    near: NDArray[np.uint64],
    dt: float,
    fastest: float,
) -> PressureFound:
    """Find the pressure and let it act on the velocities; all arrays are flat.

    Parameters
    ----------
    faces : (ndarray, ndarray), [m2]
        Open areas.
    motion : FaceMotion
        Velocities are changed in place.
    mouth_cells : ndarray of int
        Where the stream comes in.
    stream : Stream
    pressure : ndarray, [Pa]
        The last one, changed in place.
    near : ndarray of uint64
        Cells that metal is in or near to.
    fastest : float, [m/s]
        Of the metal, to measure errors by.
    """
    system, nx, V, iterations = room.system, grid.volumes.shape[1], grid.volumes.ravel(), 0
    shut, own, right = yielding_air(pockets, dt)
    while True:
        n, links, volume = assemble(
            pockets.kind, pockets.owner, pockets.unknown, fraction, V, *faces, *motion.passing,
            *motion.velocity, mouth_cells, stream.source, stream.soft, pressure, own, right, shut,
            EASE, MOST_EASED, SUCTION, COMPRESSIBILITY, AIR, dt, nx, near, room.number, system,
        )  # fmt: skip
        factor(n, shut.size, links, LEFT_OUT, system)
        scale = density * max(volume, 1e-300) / dt
        goal = scale * (EXACT * fastest + LEAST_ERROR) ** 2
        turns, left = solve(n, shut.size, links, goal, MOST_TURNS, system)
        iterations += turns
        if not shut.size or not fill_up(pockets, own, right, system.values[5, n:], dt):
            break
    press(
        pockets.kind, pockets.owner, pockets.unknown, *faces, *motion.passing, room.number, n, nx,
        grid.cells, near, system, pressure, *motion.velocity, shut,
    )  # fmt: skip
    return PressureFound(iterations, math.sqrt(left / scale), shut)
