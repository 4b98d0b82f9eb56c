"""Hot spots by brute force: label the metal above every level in turn."""

import numpy as np
from scipy import ndimage


def hot_spots(values):
    """(peak value, value at which a higher peak is met or None) of every peak, highest first."""
    levels = np.unique(values[np.isfinite(values)])[::-1]
    found = []
    open_peaks = {}
    for level in levels:
        labels, count = ndimage.label(np.where(np.isfinite(values), values, -np.inf) >= level)
        owners = {}
        for peak in sorted(open_peaks, key=lambda cell: -values[cell]):
            owner = labels[peak]
            if owner in owners:
                found.append((values[peak], level))
                del open_peaks[peak]
            else:
                owners[owner] = peak
        for label in range(1, count + 1):
            if label not in owners:
                cells = np.argwhere(labels == label)
                best = max(map(tuple, cells), key=lambda cell: values[cell])
                open_peaks[best] = True
    found += [(values[peak], None) for peak in open_peaks]
    return sorted(found, key=lambda row: -row[0])
