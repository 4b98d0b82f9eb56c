"""May gray iron freeze white at its edges?

Graphite needs time. While the eutectic freezes, its cells grow with the square of how far the
metal is below the graphite eutectic; they must meet before the last of it is solid. Where that
asks for more undercooling than the carbide eutectic lies below the graphite one, carbide comes
first and the edge is white: a *chilled edge*. The idea is that of Fras, Gorny & Lopez (2005),
Metall. Mater. Trans. A 36:3075; growth and counts of cells are from memory, so that the answer is
an estimate: trust the order of two layouts, and a wedge test before either.
"""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.materials.iron_formulas import graphite_eutectic_temperature
from solidsim.materials.irons import Iron

Array = NDArray[np.float64]

GROWTH = 1.7e-8  # m/(s K2), of eutectic cells in iron of 2 % silicon; from memory
CELLS = {True: 5e10, False: 1e10}  # 1/m3, inoculated or not, where carbide is near; from memory


def eutectic_time(iron: Iron, cutoff_time: Array, freezing_time: Array, cutoff: float) -> Array:
    """Time that the eutectic takes in each cell, [s], same shape.

    Told from its last stretch, from the feeding cutoff [1] to all solid, as if it had frozen as
    fast from its start, when the primary austenite was solid. That holds for the skin of a
    casting; in its middle the last liquid is gone faster than the first.
    """
    primary = iron.primary_share if iron.freezes_primary else 0.0
    return (freezing_time - cutoff_time) * (1.0 - primary) / (1.0 - max(cutoff, primary))


def needed_undercooling(iron: Iron, time: Array) -> Array:
    """Undercooling [K] at which eutectic cells meet within a time [s], same shape.

    Notes
    -----
    r = mu dT^2 t with r = (3 / (4 pi N))^(1/3), the radius of N cells a cubic meter that meet
    """
    radius = (3.0 / (4.0 * math.pi * CELLS[iron.inoculated])) ** (1.0 / 3.0)
    return np.sqrt(radius / (GROWTH * np.maximum(time, 1e-9)))


def chill_tendency(iron: Iron, time: Array) -> Array:
    """Needed undercooling over the interval between the two eutectics, [1]; white from one up."""
    interval = graphite_eutectic_temperature(iron.silicon) - iron.carbide_eutectic
    return needed_undercooling(iron, time) / interval
