"""What feeds what, until when, and what is missing: tree, free surfaces and balance in one."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.feeding_tree import FeedingTree, feeding_tree
from solidsim.criteria.free_surfaces import FreeSurface, free_surfaces
from solidsim.criteria.freezing_course import FreezingCourse, shrinkage_left
from solidsim.criteria.necks import neck_width
from solidsim.criteria.volume_balance import MetalCells, VolumeBalance, balance_volumes
from solidsim.materials.material import VolumeLaw
from solidsim.section.layout import Section

Array = NDArray[np.float64]
Cell = tuple[int, int]

SHOWS = 0.01  # of a cell: what is less empty is no part of a cavity


@dataclass(frozen=True)
class FeedingRules:
    """What feeding depends on beside the times of freezing.

    Parameters
    ----------
    law : VolumeLaw
    cutoff : float, [1]
        Solid fraction at which liquid no longer passes.
    superheat : float, [K]
        At the pour.
    wall_movement : float, [1]
        Share of the growth of graphite that the mold gives way to.
    opened : collection of str
        Names of the parts that lie open to the air.
    """

    law: VolumeLaw
    cutoff: float
    superheat: float
    wall_movement: float
    opened: Collection[str]


@dataclass(frozen=True)
class CutOffPool:
    """A pool that no free surface feeds.

    Parameters
    ----------
    pool : int
        Its number in the tree.
    hot_spot : (int, int)
        Row and column of the last of its cells to reach the cutoff.
    time : float, [s]
        When it was cut off; minus infinity if nothing ever fed it.
    ended : float, [s]
        When its last cell reached the cutoff.
    source : int
        Number of the surface that had fed it, -1 without.
    neck : (int, int) or None
        Place that closed; None where the source itself reached the cutoff first, or there was none.
    neck_width : float, [m]
        Of the metal there.
    volume : float, [m3]
        Of its metal.
    liquid : float, [1]
        Share of it that was liquid when it was cut off.
    shrinkage : float, [m3]
        What it had yet to lose, less what graphite adds where the mold does not give way.
    """

    pool: int
    hot_spot: Cell
    time: float
    ended: float
    source: int
    neck: Cell | None
    neck_width: float
    volume: float
    liquid: float
    shrinkage: float


@dataclass(frozen=True)
class Cavity:
    """A hole that shrinkage leaves: its volume [m3] and the row and column of its middle."""

    volume: float
    place: Cell


@dataclass(frozen=True)
class Feeding:
    """Feeding of a casting.

    Parameters
    ----------
    tree : FeedingTree
    surfaces : tuple of FreeSurface
    balance : VolumeBalance
    cut_off : tuple of CutOffPool
        The largest shrinkage first.
    source : ndarray of int64, shape (ny, nx)
        Number of the surface that feeds each cell until its cutoff; -1 where none does.
    pipe, cavity : ndarray, shape (ny, nx), [1]
        Share of each cell that ends up empty.
    cavities : tuple of Cavity
        The largest first.
    cutoff_time : ndarray, shape (ny, nx), [s]
        NaN where there is no metal.
    hottest : tuple of int
        Hottest cell of each surface, as ``j * nx + i``.
    """

    tree: FeedingTree
    surfaces: tuple[FreeSurface, ...]
    balance: VolumeBalance
    cut_off: tuple[CutOffPool, ...]
    source: NDArray[np.int64]
    pipe: Array
    cavity: Array
    cavities: tuple[Cavity, ...]
    cutoff_time: Array
    hottest: tuple[int, ...]


def trace_feeding(section: Section, times: Mapping[str, Array], rules: FeedingRules) -> Feeding:
    """Trace the feeding of a casting whose metal has all reached the cutoff.

    Parameters
    ----------
    section : Section
    times : mapping
        ``liquidus_time``, ``cutoff_time`` and ``freezing_time``, shape (ny, nx), [s]; NaN where
        there is no metal.
    rules : FeedingRules
    """
    cutoff_time = times["cutoff_time"]
    found, grid = np.isfinite(cutoff_time), section.grid
    course = FreezingCourse(
        np.nan_to_num(times["liquidus_time"][found]),
        cutoff_time[found],
        np.fmax(times["freezing_time"][found], cutoff_time[found]),
        rules.cutoff,
        rules.superheat,
    )
    height = np.broadcast_to(grid.y_centers[:, None], grid.shape)[found]
    level = grid.view == "plan"
    volumes = section.volumes[found]
    metal = MetalCells(
        np.flatnonzero(found), volumes, np.zeros_like(height) if level else height, level
    )
    tree = feeding_tree(cutoff_time)
    surfaces = free_surfaces(section, cutoff_time, rules.opened)
    balance = balance_volumes(tree, course, rules.law, metal, surfaces, rules.wall_movement)
    hottest = np.array([surface.hottest(course.cutoff_time) for surface in surfaces], np.int64)
    pool = tree.pool[found]
    held = tree.holds(metal.cells[hottest])
    supply_end = np.where(held, course.cutoff_time[hottest], -np.inf)
    source = np.full(grid.shape, -1)
    source[found] = _sources(supply_end[pool], course.cutoff_time)
    traced = _Traced(section, metal, course, tree, rules, pool, supply_end)
    pipe, cavity = np.zeros(grid.shape), np.zeros(grid.shape)
    pipe[found], cavity[found] = balance.pipe / volumes, balance.cavity / volumes
    return Feeding(
        tree=tree,
        surfaces=surfaces,
        balance=balance,
        cut_off=_cut_off_pools(traced),
        source=source,
        pipe=pipe,
        cavity=cavity,
        cavities=_cavities(np.where(cavity > SHOWS, cavity, 0.0) * section.volumes),
        cutoff_time=cutoff_time,
        hottest=tuple(int(cell) for cell in metal.cells[hottest]),
    )


class _Traced(NamedTuple):
    """What is known of the metal cells (nc,) and the pools, before the cut-off ones are measured.

    ``supply_end`` (np, ns) is when each surface of a pool reaches the cutoff itself, [s].
    """

    section: Section
    metal: MetalCells
    course: FreezingCourse
    tree: FeedingTree
    rules: FeedingRules
    pool: NDArray[np.int64]
    supply_end: Array


def _sources(supply_end: Array, cutoff_time: Array) -> NDArray[np.int64]:
    """Surface that feeds each cell until its cutoff, the longest open one; -1 without."""
    if supply_end.shape[1] == 0:
        return np.full(cutoff_time.size, -1)
    longest = np.argmax(supply_end, axis=1)
    fed = supply_end[np.arange(cutoff_time.size), longest] >= cutoff_time
    return np.where(fed, longest, -1)


def _cut_off_pools(traced: _Traced) -> tuple[CutOffPool, ...]:
    """Pools that nothing feeds from some time on, the greatest shrinkage first."""
    tree, found = traced.tree, []
    end = traced.supply_end.max(axis=1, initial=-np.inf)
    for pool, parent in enumerate(tree.parent):
        fed_before = parent < 0 or end[parent] >= tree.ended[parent]
        if end[pool] < tree.ended[pool] and fed_before:
            found.append(_measured(traced, pool, float(max(end[pool], tree.cut_off[pool]))))
    return tuple(sorted(found, key=lambda one: -one.shrinkage))


def _measured(traced: _Traced, pool: int, time: float) -> CutOffPool:
    """Metal of a pool that is left without supply at a time."""
    section, metal, course, tree, rules, pools, supply_end = traced
    nx = section.grid.shape[1]
    own = tree.within(pool)[pools] & (course.cutoff_time > time)
    volume = metal.volume[own]
    left = shrinkage_left(rules.law, course, time, rules.wall_movement)[own]
    liquid = 1.0 - course.solid_fraction_at(time)[own]
    starved = supply_end[pool].max(initial=-np.inf) == -np.inf
    of = tree.parent[pool] if starved else pool
    neck = divmod(int(tree.neck[pool]), nx) if starved and of >= 0 else None
    return CutOffPool(
        pool=pool,
        hot_spot=divmod(int(tree.hot_spot[pool]), nx),
        time=time,
        ended=float(tree.ended[tree.within(pool)].max()),
        source=int(np.argmax(supply_end[of])) if of >= 0 and supply_end.shape[1] else -1,
        neck=neck,
        neck_width=neck_width(section.metal, section.grid, neck) if neck else 0.0,
        volume=float(volume.sum()),
        liquid=float((liquid * volume).sum() / volume.sum()),
        shrinkage=float((left * volume).sum()),
    )


def _cavities(empty: Array) -> tuple[Cavity, ...]:
    """Connected cells that are in part empty [m3], each taken as one cavity."""
    found = []
    for places in _connected(empty > 0.0):
        held = empty[tuple(places.T)]
        middle = held @ places / held.sum()
        j, i = places[np.argmin(np.hypot(*(places - middle).T))]
        found.append(Cavity(float(held.sum()), (int(j), int(i))))
    return tuple(sorted(found, key=lambda cavity: -cavity.volume))


def _connected(cells: NDArray[np.bool_]) -> Iterator[NDArray[np.intp]]:
    """Places of cells that hang together by sides or corners, shapes (n, 2)."""
    left = set(map(tuple, np.argwhere(cells).tolist()))
    while left:
        body = [left.pop()]
        for j, i in body:  # which grows meanwhile
            near = {(j + up, i + over) for up in (-1, 0, 1) for over in (-1, 0, 1)} & left
            left -= near
            body.extend(near)
        yield np.array(sorted(body))
