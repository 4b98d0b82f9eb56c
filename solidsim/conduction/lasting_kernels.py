"""Kernels of what happens to a cell once and for good: moist sand dries, a sleeve burns out.

They run between steps, on the grid and on the layers of the mold columns alike: u, T, inverse_C,
material as in ``conduction_kernels``, all of one shape.
"""

from typing import NamedTuple

from numba import njit
from numpy.typing import NDArray


class Lasting(NamedTuple):
    """What may happen to each row of the tables, arrays (nr,).

    dry_at, the u past which all water has left, infinite where there is none; dried, the row
    after it; shift, the change of u that goes with it, at the same enthalpy; ignition [K],
    infinite where nothing burns; rise, the change of u by all the heat of burning; duration [s].
    """

    dry_at: NDArray
    dried: NDArray
    shift: NDArray
    ignition: NDArray
    rise: NDArray
    duration: NDArray


@njit(cache=True, nogil=True)
def dry(u, material, lasting):
    """Move cells that have dried to the table without water, at the enthalpy they have."""
    flat_u, flat_material = u.ravel(), material.ravel()
    dry_at, dried, shift = lasting.dry_at, lasting.dried, lasting.shift
    for c in range(flat_u.size):
        row = flat_material[c]
        if flat_u[c] > dry_at[row]:
            flat_u[c] += shift[row]
            flat_material[c] = dried[row]


@njit(cache=True, nogil=True)
def burn(length, u, T, inverse_C, material, left, lasting):
    """Burn lit cells for a time [s], then light those that are hot enough; the heat [J].

    left is the share of a cell's fuel that is left, above one before it is lit. Fuel burns evenly
    over its duration.
    """
    heat = 0.0
    flat_u, flat_T, flat_C = u.ravel(), T.ravel(), inverse_C.ravel()
    flat_material, flat_left = material.ravel(), left.ravel()
    ignition, rise, duration = lasting.ignition, lasting.rise, lasting.duration
    for c in range(flat_u.size):
        if flat_left[c] <= 0.0:
            continue
        row = flat_material[c]
        if flat_left[c] <= 1.0:
            share = min(flat_left[c], length / duration[row])
            flat_left[c] -= share
            flat_u[c] += share * rise[row]
            heat += share * rise[row] / flat_C[c]
        elif flat_T[c] >= ignition[row]:
            flat_left[c] = 1.0
    return heat
