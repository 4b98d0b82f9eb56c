"""Metal columns whose freezing is written down, for tests of feeding."""

import numpy as np

from solidsim.criteria.feeding_tree import feeding_tree
from solidsim.criteria.free_surfaces import FreeSurface
from solidsim.criteria.freezing_course import FreezingCourse
from solidsim.criteria.volume_balance import MetalCells, balance_volumes
from solidsim.materials.material import VolumeLaw

CUTOFF = 0.7
SHRINKING = VolumeLaw(1.5e-4, np.array([0.0, 1.0]), np.array([1.0, 0.96]), np.zeros(2))


def growing_law(contraction, growth):
    """Shrinks evenly by one share of volume and grows by another, as a eutectic iron does."""
    relative = np.array([1.0, 1.0 - contraction + growth])
    return VolumeLaw(0.0, np.array([0.0, 1.0]), relative, np.array([0.0, growth]))


def course_of(cutoff_time, superheat=0.0):
    """Freezing that begins at a third of the time to the cutoff and ends half as much after it."""
    flat = cutoff_time[np.isfinite(cutoff_time)]
    return FreezingCourse(flat / 3.0, flat, 1.5 * flat, CUTOFF, superheat)


def balance(cutoff_time, law, *, opened=None, until=np.inf, superheat=0.0, wall_movement=0.0,
            level=False, volumes=None):  # fmt: skip
    """Balance of a section of unit cells; ``opened`` marks the cells of one free surface."""
    found = np.isfinite(cutoff_time)
    rows = np.broadcast_to(np.arange(float(cutoff_time.shape[0]))[:, None], cutoff_time.shape)
    sizes = np.ones(found.sum()) if volumes is None else volumes[found]
    height = np.zeros(found.sum()) if level else rows[found]
    metal = MetalCells(np.flatnonzero(found), sizes, height, level)
    surfaces = [] if opened is None else [FreeSurface("feeder", opened[found], until)]
    tree = feeding_tree(cutoff_time, least_share=0.0)
    return balance_volumes(
        tree, course_of(cutoff_time, superheat), law, metal, surfaces, wall_movement
    )


def spread(values, cutoff_time):
    """Values of the metal cells over the section, zero elsewhere."""
    out = np.zeros(cutoff_time.shape)
    out[np.isfinite(cutoff_time)] = values
    return out
