"""A gating system laid out for solving: the way to each mouth, and the losses on it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solidsim.fill.hydraulics import contraction_loss, widening_loss
from solidsim.model import GatingSystem, Sprue

Array = NDArray[np.float64]

STATIONS = 17  # along the sprue, where its pressure is looked at
EXIT_LOSS = 1.0  # velocity head that is left at a mouth


@dataclass(frozen=True)
class Circuit:
    """A gating system laid out for solving; element 0 is the sprue, then all stretches.

    Parameters
    ----------
    system : GatingSystem
    ways : ndarray of bool, shape (mouths, elements)
        Whether the way to a mouth leads through an element.
    area, loss, slender, diameter : ndarray, shape (elements,)
        [m2]; fixed losses [1]; length over hydraulic diameter [1]; hydraulic diameter [m].
    heights : ndarray, shape (mouths,), [m]
    """

    system: GatingSystem
    ways: NDArray[np.bool_]
    area: Array
    loss: Array
    slender: Array
    diameter: Array
    heights: Array


def lay_circuit(system: GatingSystem) -> Circuit:
    """Lay out a gating system: ways to the mouths, and the losses between its stretches."""
    count = len(system.stretches) + 1
    parent = np.array([-1, *(own.parent + 1 for own in system.stretches)])
    ways = np.zeros((len(system.mouths), count), bool)
    for row, mouth in enumerate(system.mouths):
        here = mouth.stretch + 1
        while here >= 0:
            ways[row, here] = True
            here = parent[here]
    area = np.array([system.sprue.foot_area, *(own.area for own in system.stretches)])
    length = np.array([0.0, *(own.length for own in system.stretches)])
    diameter = np.array([1.0, *(4.0 * own.area / own.perimeter for own in system.stretches)])
    slender = length / diameter
    diameter[0] = _diameter(system.sprue.foot_area)
    slender[0] = _sprue_slenderness(system.sprue)
    loss = np.array([_sprue_loss(system.sprue), *(own.loss for own in system.stretches)])
    for own in range(count):
        children = np.flatnonzero(parent == own)
        if own and children.size == 0:
            loss[own] += EXIT_LOSS
        elif children.size:
            loss[own] += widening_loss(area[own], float(area[children].sum()))
        for child in children:
            loss[child] += contraction_loss(area[own], area[child])
    heights = np.array([mouth.height for mouth in system.mouths])
    return Circuit(system, ways, area, loss, slender, diameter, heights)


def _diameter(area: float) -> float:
    return math.sqrt(4.0 * area / math.pi)


def sprue_areas(sprue: Sprue) -> tuple[Array, Array]:
    """Heights from the top down, and areas there: the diameter tapers evenly."""
    share = np.linspace(0.0, 1.0, STATIONS)
    top, foot = _diameter(sprue.top_area), _diameter(sprue.foot_area)
    diameter = top + share * (foot - top)
    return sprue.top + share * (sprue.foot - sprue.top), 0.25 * math.pi * diameter**2


def _sprue_slenderness(sprue: Sprue) -> float:
    """Length over diameter that loses as much by friction as the taper, counted at the foot."""
    height, area = sprue_areas(sprue)
    weight = (sprue.foot_area / area) ** 2 / np.sqrt(4.0 * area / math.pi)
    return float(np.sum(0.5 * (weight[1:] + weight[:-1]) * -np.diff(height)))


def _sprue_loss(sprue: Sprue) -> float:
    """Entry and bend in velocity heads of the foot."""
    return sprue.entry_loss * (sprue.foot_area / sprue.top_area) ** 2 + sprue.bend_loss
