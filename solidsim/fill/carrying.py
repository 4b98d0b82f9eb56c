"""The heat that rising metal brings into the section, passed on from cell to cell."""

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.rising import Batch, Filling
from solidsim.fill.rising_kernels import carry, spread

Array = NDArray[np.float64]

PARTS = 16  # in which the metal of a batch comes: 64 change no mean arrival by more than 0.3 K

def carry_heat(
    filling: Filling, batch: Batch, enthalpy: Array, entering: Array
) -> tuple[Array, float]:
    """Enthalpy of all cells after the metal for a batch of new cells has come in.

    Metal that rises passes through what stands there and takes the place of what it pushes on;
    metal that falls freely goes straight to the surface.

    Parameters
    ----------
    filling : Filling
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
    shape, size = enthalpy.shape, enthalpy.size
    volumes, nx = filling.model.section.volumes.ravel(), enthalpy.shape[1]
    held = volumes.copy()
    held[batch.cells] = 0.0
    passable = np.isfinite(filling.fill_time).ravel()
    drowned = passable[filling.mouth_cells]
    d, order = np.full(size, -1), np.zeros(size, np.int64)
    count = spread(passable, np.where(drowned, filling.mouth_cells, -1), nx, d, order)
    free = np.where(d[batch.cells] < 0, 1.0, batch.free_share)
    wanted, h_in = np.zeros(size), np.zeros(size)
    wanted[batch.cells] = volumes[batch.cells] * (1.0 - free)
    h_in[filling.mouth_cells] = entering
    h, F, at_mouth = enthalpy.ravel().copy(), np.zeros(size), np.zeros(size)
    carry(d, order, count, wanted, PARTS, h_in, nx, held, h, F, at_mouth)
    falling = _falling_enthalpy(batch, entering)
    risen = np.where(free < 1.0, h[batch.cells], 0.0)
    h[batch.cells] = free * falling + (1.0 - free) * risen
    heat = float((at_mouth * h_in).sum() + (volumes[batch.cells] * free).sum() * falling)
    return h.reshape(shape), heat


def _falling_enthalpy(batch: Batch, entering: Array) -> float:
    """Mean of what leaves the mouths, by flow, [J/m3]."""
    flows = np.ones(entering.size) if batch.flow is None else np.maximum(batch.flow.flows, 0.0)
    total = float(flows.sum())
    return float((flows * entering).sum() / total) if total > 0.0 else float(entering.mean())
