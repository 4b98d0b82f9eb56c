"""The heat that rising metal brings into the section, passed on from cell to cell."""

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.rising import Batch, Filling
from solidsim.fill.rising_kernels import carry
from solidsim.fill.ways import Ways

Array = NDArray[np.float64]

PARTS = 8  # in which the metal of a batch comes: more change no mean arrival by 0.4 K


def carry_heat(
    filling: Filling, ways: Ways, batch: Batch, enthalpy: Array, entering: Array
) -> tuple[Array, float]:
    """Enthalpy of all cells after the metal for a batch of new cells has come in.

    Metal that rises passes through what stands there and takes the place of what it pushes on;
    metal that falls freely goes straight to the surface.

    Parameters
    ----------
    filling : Filling
    ways : Ways
        Those to the cells of the last batch; led on to the new ones.
    batch : Batch
    enthalpy : ndarray, shape (ny, nx), [J/m3]
        Before; what stands in the new cells is not looked at.
    entering : ndarray, shape (mouths,), [J/m3]

    Returns
    -------
    enthalpy : ndarray, shape (ny, nx), [J/m3]
    heat : float, [J]
        Brought in by the metal.
    """
    size, cells, mouths = enthalpy.size, batch.cells, filling.mouth_cells
    volumes = filling.model.section.volumes.ravel()
    held, wanted = volumes.copy(), np.zeros(size)
    held[cells], wanted[cells] = 0.0, volumes[cells] * (1.0 - batch.free_share)
    passable = filling.filled.ravel()
    ways.lead(passable, np.where(passable[mouths], mouths, -1), wanted)
    free = np.where(np.isneginf(ways.potential[cells]), 1.0, batch.free_share)
    falling = _falling_enthalpy(batch, entering)
    h_in = np.full(size, falling)
    h_in[mouths] = entering
    h, F, enters = enthalpy.ravel().copy(), np.zeros(size), np.zeros(size)
    carry(
        ways.order, ways.order.size, ways.potential, ways.across_x, ways.across_y, ways.nx,
        wanted, PARTS, h_in, held, h, F, enters,
    )  # fmt: skip
    risen = np.where(free < 1.0, h[cells], 0.0)
    h[cells] = free * falling + (1.0 - free) * risen
    heat = float((enters * h_in).sum() + (volumes[cells] * free).sum() * falling)
    return h.reshape(enthalpy.shape), heat


def _falling_enthalpy(batch: Batch, entering: Array) -> float:
    """Mean of what leaves the mouths, by flow, [J/m3]."""
    flows = np.ones(entering.size) if batch.flow is None else np.maximum(batch.flow.flows, 0.0)
    total = float(flows.sum())
    return float((flows * entering).sum() / total) if total > 0.0 else float(entering.mean())
