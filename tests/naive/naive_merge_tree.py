"""Pools of liquid by brute force: label the metal above every level in turn."""

from itertools import pairwise

import numpy as np
from scipy import ndimage


def pools_by_level(cutoff_time):
    """Level [s] -> set of the pools at it, each the frozen set of its cells ``j * nx + i``."""
    times = np.where(np.isfinite(cutoff_time), cutoff_time, -np.inf)
    found = {}
    for level in np.unique(times[np.isfinite(times)]):
        labels, count = ndimage.label(times >= level)
        flat = labels.ravel()
        found[level] = {frozenset(np.flatnonzero(flat == n).tolist()) for n in range(1, count + 1)}
    return found


def closing_times(cutoff_time):
    """Times at which pools come apart, one for each piece more, rising."""
    levels = sorted(pools_by_level(cutoff_time).items())
    closings = []
    for (level, before), (_, after) in pairwise(levels):
        for pool in before:
            pieces = sum(1 for other in after if other <= pool)
            closings += [level] * max(pieces - 1, 0)
    return closings
