"""Momentum of flowing metal: what gravity, walls, mush and its own stream do to its velocity."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.flow_grid import FlowGrid
from solidsim.fill.momentum_kernels import clear, extend, predict, resist

Array = NDArray[np.float64]
Pair = tuple[Array, Array]

COURANT = 0.9  # share of a cell that may leave it in a step
LEAST_REACH = 0.1  # of a cell between metal and the air that presses on it, as solved
WAVE = 0.5  # of the time in which gravity moves a surface by a cell
DIFFUSION = 0.12  # of h^2 over the viscosity; that and turbulence stay below the limit of 0.25


@dataclass(frozen=True)
class FlowingMetal:
    """What flows, and what pulls at it.

    Parameters
    ----------
    density, viscosity : float, [kg/m3], [m2/s]
    gravity : (float, float), [m/s2]
    slip : bool
        Whether it slides along the walls without friction.
    shear : (ndarray, ndarray), shape (n,), [1/s], [m^-3/4 s^-1/4]
        Of the walls out of the page: quiet and rough, see ``wall_shear``.
    """

    density: float
    viscosity: float
    gravity: tuple[float, float]
    slip: bool
    shear: Pair


@dataclass
class FaceMotion:
    """Velocities on the faces along x and y, flat, and where they come from.

    ``known`` is 0 where there is none, 1 under pressure, 2 falling freely, 3 and 4 in air.
    ``passing`` [m3/(s Pa)] is the flow through each face for a pascal, ``growth`` [m/s] half of
    what the velocity changed by in the step that led to it; all are zero but in the cells
    ``near``.
    """

    velocity: Pair
    known: tuple[NDArray[np.int8], NDArray[np.int8]]
    passing: Pair
    growth: Pair
    near: NDArray[np.uint64]


def at_rest(size: int) -> FaceMotion:
    """Nothing moves yet; ``size`` is the number of cells."""
    return FaceMotion(
        (np.zeros(size), np.zeros(size)),
        (np.zeros(size, np.int8), np.zeros(size, np.int8)),
        (np.zeros(size), np.zeros(size)),
        (np.zeros(size), np.zeros(size)),
        np.zeros(0, np.uint64),
    )


def wall_shear(depth: Array, viscosity: float) -> Pair:
    """Shear of two walls a depth b [m] apart: deceleration over u, and over u^7/4.

    12 nu u / b^2, the plane channel, and f u^2 / (4 b) with f = 0.316 Re^-1/4, Re = 2 b u / nu;
    the greater one acts.

    References
    ----------
    Blasius (1913), Mitt. Forsch. Ing.-Wes. 131: friction in smooth pipes, here with the
    hydraulic diameter 2 b.
    """
    return 12.0 * viscosity / depth**2, 0.079 * (0.5 * viscosity / depth) ** 0.25 / depth


def step_length(grid: FlowGrid, metal: FlowingMetal, share: float, longest: float) -> float:
    """Length of a step that speed, waves on the surface and viscosity allow, [s].

    ``share`` [1/s] of a cell passes in a second where most does. ``longest`` is cut in equal
    parts, for the pressure of a very short step is all noise.
    """
    limits = [longest, DIFFUSION * grid.finest**2 / metal.viscosity]
    if share > 0.0:
        limits.append(COURANT / share)
    pull = math.hypot(*metal.gravity)
    if pull > 0.0:
        limits.append(WAVE * math.sqrt(grid.finest / pull))
    return longest / math.ceil(longest / min(limits) - 1e-9)


def predict_motion(
    grid: FlowGrid,
    metal: FlowingMetal,
    kind: NDArray[np.int8],
    fraction: Array,
    faces: Pair,
    motion: FaceMotion,
    mush: Array,
    near: NDArray[np.uint64],
    dt: float,
    resistance: Array,
    new: FaceMotion,
) -> None:
    """Velocities after a time [s] without pressure; all arrays are flat.

    Parameters
    ----------
    kind : ndarray of int8
        0 closed, 1 air, 2 metal.
    fraction : ndarray
    faces : (ndarray, ndarray), [m2]
        Open areas.
    mush : ndarray, [1/s]
        Deceleration over velocity in each cell.
    near : ndarray of uint64
        Cells that metal is in or near to.
    resistance : ndarray, shape (2, n)
        Room for eddy viscosity and shear, see ``resist``.
    new : FaceMotion
        Where they go; its growth is zero.
    """
    strides = (1, grid.volumes.shape[1])
    resist(
        *motion.velocity, fraction, grid.volumes.ravel(), grid.per_width[0].ravel(),
        grid.per_width[1].ravel(), grid.mixing.ravel(), *metal.shear, strides[1], near,
        resistance[0], resistance[1],
    )  # fmt: skip
    for a, b in ((0, 1), (1, 0)):
        clear(new.near, new.velocity[a], new.known[a], new.passing[a], new.growth[a])
        predict(
            motion.velocity[a], motion.velocity[b], motion.known[a], motion.known[b],
            motion.growth[a], faces[a], kind, fraction, grid.per_width[a].ravel(),
            grid.per_step[a].ravel(), grid.per_width[b].ravel(), grid.per_step[b].ravel(),
            resistance[0], resistance[1], mush, metal.viscosity, metal.density, metal.gravity[a],
            dt, metal.slip,
            LEAST_REACH, strides[a], strides[b], near, new.velocity[a], new.known[a],
            new.passing[a],
        )  # fmt: skip
    new.near = near


def complete(faces: Pair, before: FaceMotion, motion: FaceMotion, row: int) -> None:
    """Give a motion under pressure its growth since ``before``, and velocities in the air near by.

    ``faces`` as in ``predict_motion``, ``row`` is the number of cells in a row of the window.
    """
    for axis, (a, b) in enumerate(((1, row), (row, 1))):
        extend(
            motion.velocity[axis], faces[axis], motion.known[axis], before.velocity[axis],
            before.known[axis], a, b, motion.near, motion.growth[axis],
        )  # fmt: skip
