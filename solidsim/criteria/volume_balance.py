"""Where does the volume go that metal loses as it cools and freezes: pipe, cavity, or graphite?

The rules, in the order in which they are applied in every pool of liquid at every step:

1. Every cell of the pool is kept as full as it was. What its metal shrinks by is demanded from the
   pool; what graphite adds, less what the mold gives way to, pays for the demand first.
2. What a cell will still lose after its cutoff is demanded when it reaches the cutoff.
3. Demand is drawn from the free surfaces of the pool: the highest liquid of parts that the
   atmosphere reaches. In the plan view all of that liquid sinks alike. Where it is used up, the
   pipe runs on into the highest liquid of the pool.
4. A pool without a free surface opens a cavity at its highest liquid, the hottest first among
   equals. As solid metal closes in, the next part of the cavity lies lower and nearer the hot spot.
5. Graphite that outgrows the demand pushes liquid back into the cavities and pipes of its pool,
   the last opened first; beyond that the mold gives way.

A cell gives its liquid, never its solid. Metal that moves keeps its mass and takes on the state
of the place it moves to; that its heat moves too is not followed.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.feeding_tree import FeedingTree
from solidsim.criteria.free_surfaces import FreeSurface
from solidsim.criteria.freezing_course import FreezingCourse
from solidsim.materials.material import VolumeLaw

Array = NDArray[np.float64]
Cells = NDArray[np.bool_]

ROUND_OFF = 1e-13  # of what is drawn
COOLING_STEPS, FREEZING_STEPS = 40, 150  # of even shares of the metal


@dataclass(frozen=True)
class MetalCells:
    """Metal cells in any order: place ``j * nx + i``, volume [m3], height of the middle [m].

    ``level`` says that the section is seen from above, so that all cells are equally high.
    """

    cells: NDArray[np.int64]
    volume: Array
    height: Array
    level: bool = False


@dataclass(frozen=True)
class VolumeBalance:
    """What became of the volume that the metal lost, [m3].

    Parameters
    ----------
    contraction : float
        Lost by all metal from the pour to the solidus, graphite left aside.
    growth : float
        Added by graphite.
    gave_way : float
        Part of the growth that the mold gave way to.
    pipe, cavity : ndarray, shape (nc,)
        Empty volume of each metal cell, drawn from a free surface or opened in a closed pool.
    metal : float
        Volume poured.
    """

    contraction: float
    growth: float
    gave_way: float
    pipe: Array
    cavity: Array
    metal: float

    @property
    def imbalance(self) -> float:
        """Gap of contraction = pipe + cavities + growth kept, by the volume of the metal, [1]."""
        kept = self.growth - self.gave_way
        found = float(self.pipe.sum() + self.cavity.sum()) + kept
        return abs(self.contraction - found) / self.metal


@dataclass
class _State:
    """Room of each cell, what of it is empty, and the relative volume of its metal."""

    room: Array
    pipe: Array
    cavity: Array
    relative: Array
    growth: Array
    solid: Array

    @property
    def filled(self) -> Array:
        return self.room - self.pipe - self.cavity


def balance_volumes(
    tree: FeedingTree,
    course: FreezingCourse,
    law: VolumeLaw,
    metal: MetalCells,
    surfaces: Sequence[FreeSurface],
    wall_movement: float = 0.0,
) -> VolumeBalance:
    """Follow the volume of the metal from the pour to the last cutoff.

    Parameters
    ----------
    tree : FeedingTree
    course : FreezingCourse
        Of the same cells as ``metal``.
    law : VolumeLaw
    metal : MetalCells
    surfaces : sequence of FreeSurface
    wall_movement : float, [1]
        Share of the growth of graphite that the mold gives way to.

    Notes
    -----
    Mass is kept: the sum of filled volume over relative volume never changes, so that the empty
    volume at the end is that of the poured mass at the solidus, however it moved.
    """
    order = np.lexsort((-course.cutoff_time, -metal.height))
    relative, growth, solid = _volumes(course, law, 0.0)
    blank = np.zeros_like(metal.volume)
    state = _State(metal.volume.copy(), blank.copy(), blank.copy(), relative, growth, solid)
    poured = metal.volume / relative
    own_pool, last = tree.pool.ravel()[metal.cells], 0.0
    for time in _moments(tree, course, surfaces):
        pools = np.where(course.cutoff_time > last, tree.at(time)[own_pool], -1)
        sinking = _sinking(surfaces, course, pools, time)
        _step(state, _volumes(course, law, time), pools, sinking, order, wall_movement, metal.level)
        last = time
    shrunk = law.relative_volume[-1] - law.graphite_growth[-1]
    return VolumeBalance(
        contraction=float((poured * (relative - shrunk)).sum()),
        growth=float((poured * law.graphite_growth[-1]).sum()),
        gave_way=float((state.room - metal.volume).sum()),
        pipe=state.pipe,
        cavity=state.cavity,
        metal=float(metal.volume.sum()),
    )


def _volumes(course: FreezingCourse, law: VolumeLaw, time: float) -> tuple[Array, Array, Array]:
    """Relative volume, growth of graphite and solid fraction; past the cutoff as when solid."""
    solid = np.where(course.cutoff_time <= time, 1.0, course.solid_fraction_at(time))
    growth = np.interp(solid, law.solid_fraction, law.graphite_growth)
    return law.at(course.superheat_at(time), solid), growth, solid


def _moments(
    tree: FeedingTree, course: FreezingCourse, surfaces: Sequence[FreeSurface]
) -> NDArray[np.float64]:
    """Ends of the steps, rising to the last cutoff; no pool comes apart inside a step."""
    last = course.cutoff_time.max(initial=0.0)
    times = np.concatenate(
        [
            np.quantile(course.liquidus_time, np.linspace(0.0, 1.0, COOLING_STEPS + 1)),
            np.quantile(course.cutoff_time, np.linspace(0.0, 1.0, FREEZING_STEPS + 1)),
            tree.ended,
            tree.cut_off,
            [surface.until for surface in surfaces],
            [last],
        ]
    )
    return np.unique(times[(times > 0.0) & (times <= last)])


def _sinking(
    surfaces: Sequence[FreeSurface], course: FreezingCourse, pools: NDArray[np.int64], time: float
) -> Cells:
    """Cells of free surfaces whose pool holds the hottest metal of their part."""
    sinking = np.zeros(pools.size, dtype=bool)
    for surface in surfaces:
        hottest = surface.hottest(course.cutoff_time)
        if time <= surface.until and pools[hottest] >= 0:
            sinking |= surface.cells & (pools == pools[hottest])
    return sinking


def _step(
    state: _State,
    end: tuple[Array, Array, Array],
    pools: NDArray[np.int64],
    sinking: Cells,
    order: NDArray[np.int64],
    wall_movement: float,
    level: bool,
) -> None:
    """Take the cells of all pools to their state at the end of a step, then draw or push back."""
    relative, growth, solid = end
    inside = pools >= 0
    mass = state.filled / state.relative
    given = np.where(inside, wall_movement * mass * (growth - state.growth), 0.0)
    state.room += given
    state.relative = np.where(inside, relative, state.relative)
    state.growth = np.where(inside, growth, state.growth)
    missing = np.where(inside, state.filled / state.relative - mass, 0.0)
    short = np.bincount(pools[inside], missing[inside], minlength=pools.max(initial=0) + 1)
    ordered = pools[order]
    for pool in np.flatnonzero(short):
        members = order[ordered == pool]
        if short[pool] > 0.0:
            _draw(state, members, sinking[members], float(short[pool]), level)
        else:
            _push_back(state, members[::-1], -float(short[pool]))
    state.solid = np.where(inside, solid, state.solid)


def _draw(
    state: _State, members: NDArray[np.int64], sinking: Cells, mass: float, level: bool
) -> None:
    """Take mass out of the liquid of a pool, its free surface first."""
    liquid = state.room[members] * (1.0 - state.solid[members])
    empty = state.pipe[members] + state.cavity[members]
    held = np.maximum(liquid - empty, 0.0) / state.relative[members]
    first, rest = members[sinking], members[~sinking]
    on_top = held[sinking]
    if level and on_top.sum() > 0.0:
        taken = on_top * min(1.0, mass / on_top.sum())
    else:
        taken = _in_turn(on_top, mass)
    state.pipe[first] += taken * state.relative[first]
    left = mass - taken.sum()
    if left <= ROUND_OFF * mass:
        return
    emptied = state.pipe if sinking.any() else state.cavity
    drawn = _in_turn(held[~sinking], left)
    emptied[rest] += drawn * state.relative[rest]
    left -= drawn.sum()
    if left > ROUND_OFF * mass:  # all liquid is used up: what is left of the metal is porous
        filled = state.filled[members]
        emptied[members] += left * state.relative[members] * filled / filled.sum()


def _push_back(state: _State, members: NDArray[np.int64], mass: float) -> None:
    """Fill the voids of a pool, the last opened first; the mold gives way to the rest."""
    for void in (state.cavity, state.pipe):
        filled = _in_turn(void[members] / state.relative[members], mass)
        void[members] = np.maximum(void[members] - filled * state.relative[members], 0.0)
        mass -= filled.sum()
    if mass > 0.0:  # what the voids do not take
        share = state.filled[members] / state.filled[members].sum()
        state.room[members] += mass * share * state.relative[members]


def _in_turn(held: Array, wanted: float) -> Array:
    """How much of each is taken when they are emptied one after the other."""
    before = np.cumsum(held) - held
    return np.clip(wanted - before, 0.0, held)
