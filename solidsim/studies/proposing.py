"""Where to look next: what the runs so far make likely, by radial basis functions.

All inputs are shares from zero to one. Through the runs so far passes one cubic surface for the
price and one for each limit; the next runs are where the price is lowest and the limits seem kept.
Surfaces in place of runs: Gutmann 2001, J. Global Optim. 19:201; candidates in place of a descent:
Regis & Shoemaker 2007, INFORMS J. Comput. 19:497.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator
from scipy.spatial.distance import cdist
from scipy.stats import qmc

Array = NDArray[np.float64]

CANDIDATES = 11  # of two: points of a Sobol sequence over all of the space, and as many near by
NEAR = 0.12  # of the range: reach of the points near the best
APART = 0.01  # of the range: closer runs would tell nothing new


def first_shares(inputs: int, levels: Sequence[int], seed: int) -> Array:
    """Shares of the first runs: a Latin hypercube and the middle, shape (n, inputs)."""
    spread = qmc.LatinHypercube(inputs, rng=seed).random(2 * inputs + 2)
    return snapped(np.vstack([spread, np.full((1, inputs), 0.5)]), levels)


def snapped(shares: Array, levels: Sequence[int]) -> Array:
    """Shares moved to the nearest of so many even levels an input; zero levels leave it free."""
    steps = np.maximum(np.array(levels, float) - 1.0, 1.0)
    moved = np.round(shares * steps) / steps
    return np.where(np.array(levels) > 0, moved, shares)


def proposals(
    tried: Array, prices: Array, slacks: Array, levels: Sequence[int], count: int, seed: int
) -> Array:
    """Shares of the next runs, the most promising first; none where no better one is left.

    Parameters
    ----------
    tried : ndarray, shape (n, inputs)
    prices : ndarray, shape (n,)
        To be smallest.
    slacks : ndarray, shape (n, limits)
        Room left to each limit, negative where it is not kept.
    levels : sequence of int
        See `snapped`.
    count, seed : int

    Returns
    -------
    ndarray, shape (at most count, inputs)
    """
    kept = (slacks >= 0.0).all(axis=1)
    best = float(prices[kept].min()) if kept.any() else np.inf
    center = tried[np.argmin(np.where(kept, prices, np.inf))] if kept.any() else None
    options = _candidates(tried, center, levels, seed)
    if not len(options):
        return options
    price = _surface(tried, prices, options)
    tightest = np.min([_surface(tried, own, options) for own in slacks.T], axis=0)
    better = price < best
    order = np.lexsort((np.where(tightest >= 0.0, price, -tightest), tightest < 0.0))
    chosen: list[int] = []
    for number in order[better[order]]:
        if all(np.abs(options[number] - options[other]).max() > APART for other in chosen):
            chosen.append(int(number))
        if len(chosen) == count:
            break
    return options[chosen]


def _candidates(tried: Array, center: Array | None, levels: Sequence[int], seed: int) -> Array:
    """Points that were not tried: over all of the space, and around the best one."""
    points = qmc.Sobol(tried.shape[1], rng=seed).random_base2(CANDIDATES)
    if center is not None:
        points = np.vstack([points, np.clip(center + NEAR * (2.0 * points - 1.0), 0.0, 1.0)])
    points = np.unique(snapped(points, levels), axis=0)
    return points[cdist(points, tried, "chebyshev").min(axis=1) > APART]


def _surface(tried: Array, values: Array, options: Array) -> Array:
    """Values at options on the cubic surface through the runs."""
    return np.asarray(RBFInterpolator(tried, values[:, None], kernel="cubic")(options))[:, 0]
