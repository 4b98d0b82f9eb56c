"""How thick does a part look to the heat: by its drawing, and by the time it took to freeze?"""

import math

import numpy as np
from numpy.typing import NDArray

from solidsim.section.grid import Grid

Array = NDArray[np.float64]
Cells = NDArray[np.bool_]


def geometric_modulus(grid: Grid, depth: Array, part: Cells, metal: Cells) -> float:
    """Volume over cooling surface of a part, [m]; surfaces shared with other metal do not cool.

    Parameters
    ----------
    grid : Grid
    depth : ndarray, shape (ny, nx), [m]
    part, metal : ndarray of bool, shape (ny, nx)

    Notes
    -----
    Chvorinov (1940), Giesserei 27:177-186. Infinite where the part has no cooling surface.
    """
    volume = float(grid.cell_volumes(depth)[part].sum())
    along_x, along_y = grid.face_areas_x(depth), grid.face_areas_y(depth)
    cool_x = (part[:, 1:] & ~metal[:, :-1]) | (part[:, :-1] & ~metal[:, 1:])
    cool_y = (part[1:] & ~metal[:-1]) | (part[:-1] & ~metal[1:])
    surface = float((along_x[:, 1:-1] * cool_x).sum() + (along_y[1:-1] * cool_y).sum())
    return volume / surface if surface > 0.0 else math.inf


def thermal_modulus(
    freezing_time: float, heat_content: float, mold_effusivity: float, excess_temperature: float
) -> float:
    """Half thickness of the wide plate that would freeze in the same time in the same mold, [m].

    Parameters
    ----------
    freezing_time : float, [s]
    heat_content : float, [J/m3]
        Given off from the pour to the solidus.
    mold_effusivity : float, [W s^1/2/m2K]
        Root of conductivity times density times specific heat.
    excess_temperature : float, [K]
        Of the freezing metal above the mold.

    Notes
    -----
    M = (2 / sqrt(pi)) b (T_f - T_0) sqrt(t) / H: flat mold, metal at one temperature; Flemings
    (1974), Solidification Processing, p. 12.
    """
    flow = 2.0 / math.sqrt(math.pi) * mold_effusivity * excess_temperature
    return flow * math.sqrt(freezing_time) / heat_content
