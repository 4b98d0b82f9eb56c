"""How long does the way from a feeder to a part stay open?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.merge_tree_kernels import first_meeting

Array = NDArray[np.float64]


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
    Cells join from the latest cutoff down until the part and a source are one body: the way whose
    earliest cutoff is the latest (widest path by union-find).
    """
    t = np.where(np.isfinite(cutoff_time), cutoff_time, -np.inf)
    t = np.where(part & np.isfinite(t), np.inf, t).ravel()
    metal = np.flatnonzero(t > -np.inf)
    order = metal[np.argsort(-t[metal], kind="stable")]
    marks, flat = np.zeros(t.size, np.int64), np.array(sources, np.int64)
    by_heat = np.argsort(-t[flat], kind="stable")
    marks[flat[by_heat]] = np.arange(1, flat.size + 1)
    nx = cutoff_time.shape[1]
    place = first_meeting(order, nx, np.full(t.size, -1), part.ravel().copy(), marks)
    if place < 0:
        return None
    cell = int(order[place])
    return Supply(float(t[cell]), divmod(cell, nx), int(by_heat[marks[cell] - 1]))


def time_by_share(times: Array, weights: Array, share: float) -> float:
    """Time [s] by which so much of the weight has passed."""
    order = np.argsort(times)
    passed = np.cumsum(weights[order])
    return float(times[order][np.searchsorted(passed, share * passed[-1] * (1.0 - 1e-12))])
