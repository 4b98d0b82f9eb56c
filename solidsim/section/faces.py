"""The out-of-plane faces of the metal: their area, and how the mold widens behind them.

Half of the extra heat of a sharp edge (see ``depth.SHARP_EDGE``) widens the mold behind the flat
faces with the distance z, A(z) = A0 (1 + 0.766 (pi / 4) z P / A), P the outline of the metal in
the section and A its area. Behind a round part of radius R the mold is a ring,
A(z) = A0 (1 + z / R), widened in the same way by the edges at its top and bottom, 2 / H of its
surface.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.section.depth import SHARP_EDGE, Rule, axis_and_radius
from solidsim.section.grid import Grid
from solidsim.section.shapes import Shape

Array = NDArray[np.float64]

FACE_WIDENING = SHARP_EDGE * math.pi / 4.0
STEP_SHARE = 0.65
"""Of the wall of a step, as the sand in its inner corner is shared; fitted to 3-D runs."""

BRIM = 2  # cells
SAME_LINE = 1e-6  # m


def face_areas(
    grid: Grid,
    shapes: Sequence[Shape],
    rules: Sequence[Rule],
    part_index: NDArray[np.int16],
    depth: Array,
) -> Array:
    """Surface of each metal cell on one side of the section, shape (ny, nx), [m2].

    Where a deep part meets a shallower one, its wall beyond that counts as surface too.
    """
    areas = np.zeros(grid.shape)
    if grid.view == "round":
        return areas
    ends = np.zeros(grid.shape, dtype=bool)
    for number, (shape, rule) in enumerate(zip(shapes, rules, strict=True), start=1):
        own = part_index == number
        if not shape.metal or rule in ("through", None):
            continue
        areas[own] = (_arc_areas(grid, shape, own) if rule == "round" else grid.cell_areas)[own]
        ends |= own
    return areas + _step_areas(grid, part_index, depth, ends)


def _step_areas(
    grid: Grid, part_index: NDArray[np.int16], depth: Array, ends: NDArray[np.bool_]
) -> Array:
    """Walls where a part stands out of the page beyond its neighbor, as far as they cool, [m2]."""
    areas = np.zeros(grid.shape)
    for one, two, length in (
        (np.s_[:, 1:], np.s_[:, :-1], grid.dy[:, None]),
        (np.s_[1:], np.s_[:-1], grid.dx[None, :]),
    ):
        joined = ends[one] & ends[two] & (part_index[one] != part_index[two])
        step = np.where(joined, 0.5 * STEP_SHARE * (depth[one] - depth[two]) * length, 0.0)
        areas[one] += np.maximum(step, 0.0)
        areas[two] += np.maximum(-step, 0.0)
    return areas


def spreads(shapes: Sequence[Shape], rules: Sequence[Rule], box: BaseGeometry) -> list[float]:
    """How fast the mold behind the faces of each part widens, [1/m]; zero where it has none."""
    flat = [
        shape.visible if shape.metal and isinstance(rule, float) else shapely.Polygon()
        for shape, rule in zip(shapes, rules, strict=True)
    ]
    bodies = shapely.get_parts(shapely.union_all(flat, grid_size=SAME_LINE / 10.0))
    found = []
    for shape, rule, own in zip(shapes, rules, flat, strict=True):
        if shape.metal and rule == "round":
            _, bottom, _, top = shape.whole.bounds
            height = top - bottom
            mean_radius = shape.whole.area / (2.0 * height)
            found.append(1.0 / mean_radius + FACE_WIDENING * 2.0 / height)
        elif not own.is_empty:
            body = max(bodies, key=lambda body: body.intersection(own).area)
            found.append(FACE_WIDENING * _inner_outline(body, box).length / body.area)
        else:
            found.append(0.0)
    return found


def moduli_in_plane(shapes: Sequence[Shape], box: BaseGeometry) -> list[float]:
    """Area over the outline that does not touch other metal, of each part, [m]."""
    visible = [shape.visible for shape in shapes if shape.metal]
    metal = shapely.union_all(visible, grid_size=SAME_LINE / 10.0)
    skin = _inner_outline(metal, box).buffer(SAME_LINE)
    found = []
    for shape in shapes:
        shown = shape.metal and not shape.visible.is_empty
        cooled = shape.visible.boundary.intersection(skin).length if shown else 0.0
        found.append(shape.visible.area / cooled if cooled > 0.0 else math.inf)
    return found


def _inner_outline(body: BaseGeometry, box: BaseGeometry) -> BaseGeometry:
    """Outline of a body, less what lies on the border of the box, where no mold is."""
    return body.boundary.difference(box.boundary.buffer(SAME_LINE))


def _arc_areas(grid: Grid, shape: Shape, own: NDArray[np.bool_]) -> Array:
    """Curved surface of a round part in front of the page, cell by cell, shape (ny, nx), [m2].

    What falls into the cells at the brim that the part just misses goes to its nearest cell.
    """
    _, bottom, _, top = shape.whole.bounds
    low, high = np.clip(grid.y_edges[:-1], bottom, top), np.clip(grid.y_edges[1:], bottom, top)
    axis, radius = axis_and_radius(shape.whole, 0.5 * (low + high))
    areas = np.zeros(grid.shape)
    for j in np.flatnonzero(own.any(axis=1) & (radius > 0.0)):
        angle = np.arcsin(np.clip((grid.x_edges - axis[j]) / radius[j], -1.0, 1.0))
        arcs = radius[j] * np.diff(angle) * grid.dy[j]
        cells = np.flatnonzero(own[j])
        first, last = cells[0], cells[-1]
        areas[j, cells] = arcs[cells]
        areas[j, first] += arcs[max(first - BRIM, 0) : first].sum()
        areas[j, last] += arcs[last + 1 : last + 1 + BRIM].sum()
    return areas
