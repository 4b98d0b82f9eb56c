"""Basins for tests of flowing metal: a section of one part on square cells, and metal in it."""

import numpy as np

from solidsim.fill.flowing import start_flow
from solidsim.fill.mouths import Mouth
from solidsim.section.grid import Grid
from solidsim.section.layout import Part, Section

G = 9.80665
METAL = {"density": 7000.0, "viscosity": 8e-7, "gravity": (0.0, -G)}
WATER = {"density": 1000.0, "viscosity": 1e-6, "gravity": (0.0, -G)}


def basin(shape, cell, depth=1.0, walled=False, within=None):
    """A cavity of shape (ny, nx) in one ring of mold; ``walled`` out of the page.

    ``within`` (ny, nx) says which of its cells are open, all if not given.
    """
    index = np.zeros((shape[0] + 2, shape[1] + 2), np.int16)
    index[1:-1, 1:-1] = 1 if within is None else within
    edges = [cell * (np.arange(n + 3) - 1.0) for n in shape]
    grid = Grid(edges[1], edges[0])
    part = Part("basin", "casting", (), 0.0, 0.0, 0.0, 0.0)
    faces = np.where(index > 0, grid.cell_areas, 0.0) if walled else np.zeros(grid.shape)
    return Section(grid, (part,), index, np.full(grid.shape, depth), faces)


def level(section, height):
    """Fraction of each cell below a height [m], one for all columns or one for each."""
    grid = section.grid
    share = (np.asarray(height) - grid.y_edges[:-1, None]) / grid.dy[:, None]
    return np.where(section.metal, np.clip(share, 0.0, 1.0), 0.0)


def column(section, rows, columns):
    """Fraction one in the lowest rows and the first columns of the cavity."""
    fraction = np.zeros(section.grid.shape)
    fraction[1 : 1 + rows, 1 : 1 + columns] = 1.0
    return fraction


def left_mouth(section, rows, first=0):
    """A mouth of so many rows in the left wall."""
    nx = section.grid.shape[1]
    return Mouth(tuple((1 + first + row) * nx + 1 for row in range(rows)), (1.0, 0.0))


def open_flow(section, fraction=None, mouths=(), metal=WATER, **more):
    """A flow whose air always leaves, sliding along the walls unless told otherwise."""
    return start_flow(
        section, mouths, openings=None, fraction=fraction, **{"slip": True, **metal, **more}
    )


def go_on(flow, until, longest=0.01, inflow=None, **more):
    """Step until a time [s]; all steps."""
    inflow = np.zeros(flow.mouths.count) if inflow is None else inflow
    steps = []
    while flow.time < until - 1e-12:
        steps.append(flow.step(min(longest, until - flow.time), inflow, **more))
    return steps
