"""What of a drawn section lifts the cope: its area in plan, and the head over it."""

from typing import NamedTuple

import numpy as np

from solidsim.section.layout import Section

LIFTING = ("casting", "ingate", "runner")


class DrawnLift(NamedTuple):
    """Area that the metal presses on from below [m2], and the mean head over it [m]."""

    area: float
    head: float


def drawn_lift(section: Section, parting: float, level: float) -> DrawnLift | None:
    """Lift of the casting, runners and ingates that reach above the parting line.

    Feeders and sprues are taken as open: over them there is no roof to lift. Nothing is known
    of an endless section, nor of one in plan, where heights are out of the page.

    Parameters
    ----------
    section : Section
    parting : float, [m]
        Height of the parting line.
    level : float, [m]
        Of the metal in basin and feeders.

    Returns
    -------
    lift : DrawnLift or None
        None where the section does not tell.

    Notes
    -----
    A = sum of b dx over columns of cells, in the round view of 2 pi x dx;  head = the mean over A
    of level - roof, the roof being the top of the highest such metal of a column
    """
    grid = section.grid
    lifting = section.cells_with_role(*LIFTING) & (grid.y_centers > parting)[:, None]
    columns = np.flatnonzero(lifting.any(axis=0))
    endless = any(p.depth == "through" for p in section.parts if p.role in LIFTING)
    if grid.view == "plan" or columns.size == 0 or (endless and grid.view != "round"):
        return None
    rows = len(grid.y_centers) - 1 - np.argmax(lifting[::-1, columns], axis=0)
    heads = np.maximum(level - grid.y_edges[rows + 1], 0.0)
    if grid.view == "round":
        areas = np.pi * np.diff(grid.x_edges**2)[columns]
    else:
        depths = np.where(lifting, section.depth, 0.0).max(axis=0)[columns]
        areas = depths * np.diff(grid.x_edges)[columns]
    area = float(areas.sum())
    return DrawnLift(area, float((areas * heads).sum()) / area)
