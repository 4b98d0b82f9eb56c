"""How long does the way from a feeder to a part stay open?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.feeding_tree import FeedingTree, feeding_tree

Array = NDArray[np.float64]

EVERY_PEAK = 1e-15  # share of its time by which a peak outlasts its pass; less is round-off


@dataclass(frozen=True)
class Supply:
    """The way from a part to the source that it stays connected with longest.

    Parameters
    ----------
    time : float, [s]
        When the way closes.
    cell : (int, int)
        Row and column of the place that closes it.
    source : int
        Number of the source.
    """

    time: float
    cell: tuple[int, int]
    source: int


def longest_supply(
    cutoff_time: Array, part: NDArray[np.bool_], sources: Sequence[int]
) -> Supply | None:
    """Supply of a part from outside it; None where no metal connects it with a source.

    Parameters
    ----------
    cutoff_time : ndarray, shape (ny, nx), [s]
        NaN where there is no metal.
    part : ndarray of bool, shape (ny, nx)
        Its own cells count as open: what is asked for is the way to it.
    sources : sequence of int
        Hottest cell of each, as ``j * nx + i``.

    Notes
    -----
    With the part taken as later than all else, the pools of ``feeding_tree`` tell it: part and
    source are last together in the youngest pool that both came of, and part with it.
    """
    outside = np.where(part, np.nan, cutoff_time)
    metal = part & np.isfinite(cutoff_time)
    if not metal.any() or not np.isfinite(outside).any():
        return None
    tree = feeding_tree(np.where(metal, np.nanmax(outside) + 1.0, cutoff_time), EVERY_PEAK)
    found = [
        way
        for number, cell in enumerate(sources)
        for own in np.intersect1d(tree.pool[metal], tree.leaves)
        if (way := _way(tree, cutoff_time, int(own), number, int(cell))) is not None
    ]
    times = cutoff_time.ravel()
    return max(found, key=lambda way: (way.time, times[sources[way.source]]), default=None)


def _way(
    tree: FeedingTree, cutoff_time: Array, pool: int, number: int, source: int
) -> Supply | None:
    """Follow a pool of the part back until it holds the source, or is the source's own."""
    own, closing = int(tree.pool.ravel()[source]), source
    while pool != own and not tree.within(pool)[own]:
        closing, pool = int(tree.neck[pool]), int(tree.parent[pool])
        if pool < 0:
            return None
    cell = source if pool == own else closing
    return Supply(float(cutoff_time.ravel()[cell]), divmod(cell, cutoff_time.shape[1]), number)


def time_by_share(times: Array, weights: Array, share: float) -> float:
    """Time [s] by which so much of the weight has passed."""
    order = np.argsort(times)
    passed = np.cumsum(weights[order])
    return float(times[order][np.searchsorted(passed, share * passed[-1] * (1.0 - 1e-12))])
