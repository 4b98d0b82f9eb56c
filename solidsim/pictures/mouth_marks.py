"""Marks on a drawing where metal comes in: open triangles that point into the cavity."""

from collections.abc import Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from shapely.geometry.base import BaseGeometry

from solidsim.fill.record import Inlet
from solidsim.pictures.labels import Name, on_sheet
from solidsim.pictures.style import INK, PAPER, halo, sheet_of

LENGTH, WIDTH = 0.15, 0.14  # in, of a triangle
CORNERS = 12  # of the round mark of a stream that has no direction


def mark_mouths(axes: Axes, inlets: Sequence[Inlet]) -> tuple[list[Name], list[BaseGeometry]]:
    """Draw a mark for each inlet on a drawing whose limits are set for good.

    Returns
    -------
    names : list of Name
        Of the ingates, to be placed beside their marks.
    taken : list of shapely geometry, [px]
        What the marks take.
    """
    names, taken = [], []
    for inlet in inlets:
        corners = _corners(axes, inlet)
        mark = Polygon(
            corners, facecolor=PAPER, edgecolor=INK, linewidth=1.3, zorder=7.5, joinstyle="miter",
            path_effects=halo(3.0),
        )  # fmt: skip
        axes.add_patch(mark)
        shape = shapely.Polygon(corners)
        taken.append(on_sheet(axes, shape))
        if inlet.name:
            names.append(Name(inlet.name, shape, inside=False))
    return names, taken


def _corners(axes: Axes, inlet: Inlet) -> np.ndarray:
    """Corners of a mark, [m]: its tip on the wall, or a ring about the place."""
    (start, _), (end, _) = axes.transData.transform([(0.0, 0.0), (1.0, 0.0)])
    meters = sheet_of(axes).dpi / (end - start)
    place = np.array([inlet.x, inlet.y])
    way = np.array([inlet.along_x, inlet.along_y])
    if not way.any():
        turns = np.linspace(0.0, 2.0 * np.pi, CORNERS, endpoint=False)
        return place + 0.5 * WIDTH * meters * np.column_stack([np.cos(turns), np.sin(turns)])
    way /= np.hypot(*way)
    foot, side = place - LENGTH * meters * way, np.array([-way[1], way[0]]) * 0.5 * WIDTH * meters
    return np.array([place, foot + side, foot - side])
