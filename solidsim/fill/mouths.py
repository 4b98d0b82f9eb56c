"""Where metal streams into the window of a flow: cells that it comes to, walls it comes through."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.flow_grid import FlowGrid
from solidsim.fill.free_surface_kernels import bring

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

MOST_FULL = 1.05  # of a cell; metal comes no more where it cannot leave
MOST_BACK = 0.5  # of a cell's metal may leave through a mouth in a step


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
    area : float, [m2]
        Of the stream, where whole cells open more than it fills; zero for all that they open.
    """

    cells: tuple[int, ...]
    direction: tuple[float, float] = (0.0, 0.0)
    area: float = 0.0


@dataclass(frozen=True)
class Stream:
    """What mouths bring: into each of their cells source - soft times its pressure, [m3/s].

    ``source`` [m3/s], ``soft`` [m3/(s Pa)] and ``enthalpy`` [J/m3], shape (mc,), by cells of
    mouths, of which no two share one; ``share`` [1/s] of a cell that comes in a second where most
    does.
    """

    source: Array
    soft: Array
    enthalpy: Array
    share: float


@dataclass(frozen=True)
class Mouths:
    """All mouths on the window of a flow.

    Parameters
    ----------
    count : int
    cell, mouth : ndarray of int, shape (mc,)
        Flat index in the window, and the mouth it belongs to.
    share, volume : ndarray, shape (mc,)
        Of the mouth's flow that comes to the cell [1]; of the cell [m3].
    face_x, face_y : ndarray of int
        Cells above or right of the walls that metal comes through.
    per_flow_x, per_flow_y : ndarray, [1/m2]
        Velocity through such a wall for a flow.
    mouth_x, mouth_y : ndarray of int
        The mouths of these walls.
    """

    count: int
    cell: Indices
    mouth: Indices
    share: Array
    volume: Array
    face_x: Indices
    mouth_x: Indices
    per_flow_x: Array
    face_y: Indices
    mouth_y: Indices
    per_flow_y: Array

    def stream(
        self,
        flow: Array,
        yielding: Array | None,
        pressure: Array,
        enthalpy: Array | None,
        kind: NDArray[np.int8],
        velocity: tuple[Array, Array],
    ) -> Stream:
        """What each mouth wants to bring; sets the velocities through its walls.

        Parameters
        ----------
        flow, yielding, pressure, enthalpy : ndarray, shape (mouths,)
            [m3/s], [m3/(s Pa)], [Pa], [J/m3]: what comes at this pressure, and how much less
            where it rises.
        kind : ndarray of int8, shape (n,)
            0 closed, 1 air, 2 metal.
        velocity : (ndarray, ndarray), shape (n,), [m/s]
        """
        source, soft, none = (
            np.empty(self.cell.size),
            np.empty(self.cell.size),
            np.zeros(self.count),
        )
        most = bring(
            self.cell, self.mouth, self.share, self.volume, kind, flow,
            none if yielding is None else yielding, pressure, self.face_x, self.mouth_x,
            self.per_flow_x, self.face_y, self.mouth_y, self.per_flow_y, *velocity,
            np.empty(self.count), source, soft,
        )  # fmt: skip
        return Stream(source, soft, (none if enthalpy is None else enthalpy)[self.mouth], most)

    def mean(self, field: Array) -> Array:
        """Mean of a flat field over the cells of each mouth, shape (mouths,)."""
        return self.total(self.share * field[self.cell])

    def total(self, values: Array) -> Array:
        """Sum of values of the cells over each mouth, shape (mouths,)."""
        return np.bincount(self.mouth, values, self.count).astype(float)


def place_mouths(grid: FlowGrid, mouths: Sequence[Mouth]) -> Mouths:
    """Find the cells and walls of mouths in the window.

    A stream that does not fill its cells enters them with the momentum that it has.
    """
    V, nx = grid.volumes.ravel(), grid.volumes.shape[1]
    cells, owners, shares = [], [], []
    faces: dict[int, list[tuple[int, int, float]]] = {1: [], nx: []}
    for number, mouth in enumerate(mouths):
        own = np.array([grid.number(cell) for cell in mouth.cells])
        along = 0 if abs(mouth.direction[0]) >= abs(mouth.direction[1]) else 1
        speed = mouth.direction[along]
        area = (grid.areas_x, grid.areas_y)[along]
        stride = (1, nx)[along]
        face = own if speed > 0.0 else own + stride
        opening = V[own] * grid.per_width[along].ravel()[own] * (area.ravel()[face] == 0.0)
        if speed == 0.0 or not opening.any():
            share = V[own] / V[own].sum()
        else:
            total = float(opening.sum())
            share = opening / total
            stream = math.copysign(math.sqrt(total * min(mouth.area or total, total)), speed)
            faces[stride] += [
                (int(f), number, 1.0 / stream)
                for f, there in zip(face, opening, strict=True)
                if there
            ]
        cells += own.tolist()
        owners += [number] * own.size
        shares += share.tolist()
    return Mouths(
        len(mouths), np.array(cells, np.int64), np.array(owners, np.int64), np.array(shares),
        V[np.array(cells, np.int64)], *_columns(faces[1]), *_columns(faces[nx]),
    )  # fmt: skip


def _columns(faces: list[tuple[int, int, float]]) -> tuple[Indices, Indices, Array]:
    return (
        np.array([face for face, _, _ in faces], np.int64),
        np.array([mouth for _, mouth, _ in faces], np.int64),
        np.array([per_flow for _, _, per_flow in faces]),
    )
