"""Which liquid feeds which, until when? The pools of a casting and how they come apart."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.merge_tree_kernels import join_peaks, label_pools

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True)
class FeedingTree:
    """Pools of liquid, each whole within itself, from the pour to the last cutoff.

    A pool is a connected set of cells whose time of cutoff is not yet past; it ends when it comes
    apart into others or its last cell reaches the cutoff. Cells are ``j * nx + i``. A pool has a
    lower number than the one it came from.

    Parameters
    ----------
    hot_spot : ndarray of int64, shape (np,)
        Last cell to reach the cutoff.
    cut_off : ndarray, shape (np,), [s]
        When it became a pool of its own; minus infinity for a body that was poured so.
    ended : ndarray, shape (np,), [s]
        When it came apart, or reached the cutoff as a whole.
    parent : ndarray of int64, shape (np,)
        The pool it came from; -1 for a whole body.
    neck : ndarray of int64, shape (np,)
        Cell whose cutoff closed the way to its siblings; -1 for a whole body.
    pool : ndarray of int64, shape (ny, nx)
        Pool in which each cell reaches the cutoff; -1 where there is none.
    """

    hot_spot: Indices
    cut_off: Array
    ended: Array
    parent: Indices
    neck: Indices
    pool: Indices

    def at(self, time: float) -> Indices:
        """Pool that holds the cells of each pool at a time [s], shape (np,); -1 once it ended.

        At the very time of its closing a neck is still open.
        """
        holder = np.where((self.cut_off < time) & (time <= self.ended), self.index, -1)
        for pool in self.index[::-1]:
            if self.cut_off[pool] >= time:
                holder[pool] = holder[self.parent[pool]]
        return holder

    def sums(self, values: Array) -> Array:
        """Values by pool, shape (np,), with those of all pools that came of it added."""
        total = np.array(values, dtype=float)
        for pool, parent in enumerate(self.parent):
            if parent >= 0:
                total[parent] += total[pool]
        return total

    def holds(self, cells: Indices) -> NDArray[np.bool_]:
        """Whether each pool holds each of some cells when it is cut off, shape (np, n)."""
        held = self.index[:, None] == self.pool.ravel()[cells]
        for pool, parent in enumerate(self.parent):
            if parent >= 0:
                held[parent] |= held[pool]
        return np.asarray(held)

    def within(self, pool: int) -> NDArray[np.bool_]:
        """Which pools came of one, itself included, shape (np,)."""
        inside = self.index == pool
        for younger in self.index[:pool][::-1]:
            inside[younger] = inside[self.parent[younger]]
        return inside

    @property
    def index(self) -> Indices:
        """Numbers of the pools, shape (np,)."""
        return np.arange(self.hot_spot.size)

    @property
    def leaves(self) -> Indices:
        """Pools that never come apart: one a hot spot."""
        return np.setdiff1d(self.index, self.parent)


def feeding_tree(cutoff_time: Array, least_share: float = 0.03) -> FeedingTree:
    """Pools of the metal: the superlevel sets of the time of cutoff.

    Parameters
    ----------
    cutoff_time : ndarray, shape (ny, nx), [s]
        NaN where there is no metal.
    least_share : float
        A pool counts when its hot spot outlives its cutting off by this share of its own time;
        lesser ones, ripples of the grid, are taken as part of their neighbor.

    Notes
    -----
    One sort and one union-find pass give all peaks of the field and the passes between them
    exactly (merge tree; Carr, Snoeyink & Axen 2003, Comput. Geom. 24:75-94). Leaving out the
    peaks that rise least above their pass leaves a tree, too: a peak is never higher above its
    pass than the one it joins.
    """
    t = np.where(np.isfinite(cutoff_time), cutoff_time, -math.inf).ravel()
    metal = np.flatnonzero(np.isfinite(t))
    order = metal[np.argsort(-t[metal], kind="stable")]
    rank = np.empty(t.size, np.int64)
    rank[order] = np.arange(order.size)
    parent, top, branch = np.full(t.size, -1), np.zeros(t.size, np.int64), np.zeros(t.size, int)
    peak, join, higher = (np.zeros(order.size, np.int64) for _ in range(3))
    nx = cutoff_time.shape[1]
    rows = join_peaks(order, rank, nx, parent, top, peak, join, higher, branch)
    peak, join, higher = peak[:rows], join[:rows], higher[:rows]
    counts = t[peak] - t[join] >= least_share * t[peak]
    branches = np.concatenate([top[metal[parent[metal] == metal]], peak[counts]])
    owner = _owners(branches, peak[~counts], higher[~counts], t.size)
    tree, events = _grow(branches, owner[higher[counts]], join[counts], rank, t)
    pool = np.full(t.size, -1)
    label_pools(order, branch, owner, *events, np.arange(branches.size), pool)
    return FeedingTree(*tree, pool.reshape(cutoff_time.shape))


def _owners(branches: Indices, left_out: Indices, higher: Indices, size: int) -> Indices:
    """Number of the branch that stands for each peak; one left out goes to the peak it joins."""
    owner = np.full(size, -1)
    owner[branches] = np.arange(branches.size)
    for own, joined in zip(left_out[::-1], higher[::-1], strict=True):
        owner[own] = owner[joined]
    return owner


def _grow(
    branches: Indices, survivor: Indices, join: Indices, rank: Indices, t: Array
) -> tuple[tuple[Indices, Array, Array, Indices, Indices], tuple[Indices, Indices, Indices]]:
    """Pools from the branches: one a peak, and one a cell where pools join.

    Branches that end in others stand last, in the order of ``join``. Returns the columns of the
    tree, and the place in the sweep, branch and pool of each joining.
    """
    cells, first = np.unique(rank[join], return_index=True)
    count = branches.size + cells.size
    hot_spot, neck = np.concatenate([branches, branches[survivor[first]]]), np.full(count, -1)
    ended = np.concatenate([t[branches], t[join[first]]])
    cut_off, parent = np.full(count, -math.inf), np.full(count, -1)
    current = np.arange(branches.size)
    lasting = branches.size - join.size
    event_branch = np.zeros(cells.size, np.int64)
    for event, start in enumerate(first):
        new, end = branches.size + event, first[event + 1] if event + 1 < first.size else join.size
        members = np.concatenate([lasting + np.arange(start, end), survivor[start:end]])
        for pool in np.unique(current[members]):
            parent[pool], neck[pool], cut_off[pool] = new, join[start], t[join[start]]
        event_branch[event] = last = survivor[end - 1]
        current[members] = new
        hot_spot[new] = branches[last]
    tree = (hot_spot, cut_off, ended, parent, neck)
    return tree, (cells, event_branch, np.arange(branches.size, count))
