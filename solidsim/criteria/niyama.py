"""Where did metal freeze too fast for its temperature gradient to be fed through the mush?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LowNiyama:
    """Casting metal with a low Niyama value.

    Parameters
    ----------
    area : float, [m2]
        In the section.
    share : float, [1]
        Of the casting's area.
    lowest : float, [(K s)^1/2/m]
        Exceeded by all but the lowest hundredth of the area: single cells are noise.
    """

    area: float
    share: float
    lowest: float


def low_niyama(
    niyama: Array, cell_areas: Array, casting: NDArray[np.bool_], limit: float
) -> LowNiyama | None:
    """Area of the casting below a limit of gradient over root of cooling rate.

    Parameters
    ----------
    niyama : ndarray, shape (ny, nx), [(K s)^1/2/m]
        NaN where it was not found.
    cell_areas : ndarray, shape (ny, nx), [m2]
    casting : ndarray of bool, shape (ny, nx)
    limit : float, [(K s)^1/2/m]

    Notes
    -----
    Ny = G / sqrt(dT/dt), Niyama, Uchida, Morikawa & Saito (1982), AFS Int. Cast Metals J. 7:52-63.
    """
    judged = casting & np.isfinite(niyama)
    if not judged.any():
        return None
    values, areas = niyama[judged], cell_areas[judged]
    low = float(areas[values < limit].sum())
    order = np.argsort(values)
    passed = np.cumsum(areas[order]) / areas.sum()
    lowest = float(values[order][np.searchsorted(passed, 0.01)])
    return LowNiyama(low, low / float(areas.sum()), lowest)
