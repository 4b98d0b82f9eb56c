"""Where does metal stay liquid longest, each spot cut off from hotter ones by solid metal?"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.criteria.merge_tree_kernels import join_peaks

Array = NDArray[np.float64]


@dataclass(frozen=True)
class HotSpot:
    """A local last place to freeze.

    Parameters
    ----------
    cell : (int, int)
        Its row and column.
    time : float, [s]
        When it is solid.
    cut_off : float or None, [s]
        When solid metal parted it from a spot that freezes later; None for the last of its body.
    """

    cell: tuple[int, int]
    time: float
    cut_off: float | None


def hot_spots(freezing_time: Array, least_share: float = 0.03) -> list[HotSpot]:
    """Peaks of the freezing time, latest first.

    Parameters
    ----------
    freezing_time : ndarray, shape (ny, nx), [s]
        NaN where there is no metal.
    least_share : float
        A peak counts when it outlives its parting by this share of the last freezing time;
        smaller ones are ripples of the grid.

    Notes
    -----
    One sort and one union-find pass give all peaks of the field and the passes between them
    exactly (merge tree; Carr, Snoeyink & Axen 2003, Comput. Geom. 24:75-94).
    """
    metal = np.flatnonzero(np.isfinite(freezing_time))
    if metal.size == 0:
        return []
    nx = freezing_time.shape[1]
    t = np.where(np.isfinite(freezing_time), freezing_time, -math.inf).ravel()
    order = metal[np.argsort(-t[metal], kind="stable")]
    parent = np.full(t.size, -1)
    top = np.zeros(t.size, np.int64)
    peak, join, higher = (np.zeros(metal.size, np.int64) for _ in range(3))
    rows = join_peaks(order, t, nx, parent, top, peak, join, higher)
    lasting = top[metal[parent[metal] == metal]]
    peaks = np.concatenate([lasting, peak[:rows]])
    parted = np.concatenate([np.full(lasting.size, np.nan), t[join[:rows]]])
    least = least_share * t[metal].max()
    spots = [
        HotSpot(divmod(int(cell), nx), float(t[cell]), None if np.isnan(cut) else float(cut))
        for cell, cut in zip(peaks, parted, strict=True)
        if np.isnan(cut) or t[cell] - cut >= least
    ]
    return sorted(spots, key=lambda spot: -spot.time)
