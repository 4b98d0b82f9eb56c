"""Air that rising metal shuts in: which spaces are cut off from every opening, and their bleeding.

Only openings that the section shows count, such as an open feeder or a space of air; where it
shows none, the sand is taken to let the air go.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from solidsim.fill.pools import Pools
from solidsim.fill.runs import Runs
from solidsim.model import Model
from solidsim.quantities import GRAVITY
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

AIR_VISCOSITY = 4e-5  # Pa s, at some 700 °C; from memory
NEAREST_AIR = 0.01  # m of sand at least on the way out


@dataclass(frozen=True)
class ShutIn:
    """Air that was cut off at a time [s]: its volume [m3], its highest place [m] and its runs.

    For a meter of metal head ``per_head`` [m2/s] of it leaves through the sand.
    """

    time: float
    volume: float
    x: float
    y: float
    runs: frozenset[int]
    per_head: float


@dataclass(frozen=True)
class Breathing:
    """What lets air out of a cavity.

    Parameters
    ----------
    openings : ndarray of bool, shape (nr,)
        Runs with an opening above them.
    per_head : ndarray, shape (nr,), [m2/s]
        Air that leaves through the sand around a run, for a meter of metal head.
    """

    openings: Mask
    per_head: Array


def breathing(model: Model, runs: Runs) -> Breathing:
    """Openings of a section, and how its sand breathes: Darcy's law on the way to the top."""
    section, metal = model.section, model.section.metal
    sand, grid = model.materials[model.mold], section.grid
    openings = runs.any(open_cells(section))
    flux = np.zeros(grid.shape)
    outside = np.pad(~metal, 1, constant_values=True)
    for area, there in (
        (section.areas_x[:, :-1], outside[1:-1, :-2]),
        (section.areas_x[:, 1:], outside[1:-1, 2:]),
        (section.areas_y[:-1], outside[:-2, 1:-1]),
        (section.areas_y[1:], outside[2:, 1:-1]),
    ):
        flux += np.where(there, area, 0.0)
    surface = runs.sums(np.where(metal, flux + 2.0 * section.face_areas, 0.0))
    way = np.maximum(grid.y_edges[-1] - runs.bottom, NEAREST_AIR)
    weight = model.materials[model.metal].density * GRAVITY
    per_head = surface * sand.permeability * weight / (AIR_VISCOSITY * way)
    return Breathing(openings, per_head)


def open_cells(section: Section) -> Mask:
    """Cavity cells that air leaves upward: under air, a feeder's cover, or the top of the box."""
    loose = section.cells_with_role("air") | section.cells_with_role("insulation")
    above = np.vstack([loose[1:], np.ones((1, loose.shape[1]), bool)])
    return section.metal & above


def shut_in_air(
    pools: Pools, breath: Breathing, level: float, duration: float
) -> list[frozenset[int]]:
    """Find the closed spaces, and set what each of them takes in a time [s]; their runs.

    Parameters
    ----------
    pools : Pools
        Gets its ``room`` and ``allowed``.
    breath : Breathing
    level : float, [m]
        Up to which metal presses on the shut-in air.
    duration : float, [s]
    """
    runs, empty = pools.runs, ~pools.full
    pools.room[:] = -1
    if not breath.openings.any() or not np.isfinite(breath.per_head).all():
        return []
    numbers, label = np.flatnonzero(empty), _spaces(runs, empty)
    count = label.size
    lowest = np.full(count, math.inf)
    surface = runs.bottom + runs.height * pools.filled / runs.volume
    np.minimum.at(lowest, label[numbers], surface[numbers])
    is_open = np.zeros(count, bool)
    is_open[label[empty & breath.openings]] = True
    head = np.maximum(level - lowest, 0.0)
    rate = np.bincount(label[numbers], breath.per_head[numbers], count) * head
    pools.allowed = np.asarray(rate * duration, float)
    pools.room[numbers] = np.where(is_open[label[numbers]], -1, label[numbers])
    closed = np.unique(pools.room[numbers])
    return [frozenset(np.flatnonzero(pools.room == n).tolist()) for n in closed[closed >= 0]]


def _spaces(runs: Runs, empty: Mask) -> NDArray[np.int64]:
    """Number of the connected empty space that each run is part of, shape (nr,)."""
    low, up = runs.touching[empty[runs.touching].all(axis=1)].T
    graph = coo_array((np.ones(low.size), (low, up)), shape=(runs.count, runs.count))
    label: NDArray[np.int64] = connected_components(graph, directed=False)[1].astype(np.int64)
    return label


def describe(pools: Pools, breath: Breathing, closed: frozenset[int], time: float) -> ShutIn:
    """Volume of a closed space as it is, its highest place, and how its sand breathes."""
    runs = pools.runs
    own = np.array(sorted(closed))
    top = own[np.argmax(runs.bottom[own])]
    volume = float((runs.volume[own] - pools.filled[own]).sum())
    y = float(runs.bottom[top] + runs.height[top])
    per_head = float(breath.per_head[own].sum())
    return ShutIn(time, volume, float(runs.middle[top]), y, closed, per_head)
