"""How far the parts reach out of the page, in each cell and as volumes of the drawing.

A *round* part is a body of revolution about its own upright axis: at each height its width in
the section is the diameter 2R, and the depth at a distance u from the axis is the chord
``2 sqrt(R^2 - u^2)``.
"""

import math
from collections.abc import Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.section.grid import Grid
from solidsim.section.neighbors import skin_of
from solidsim.section.shapes import Shape

Array = NDArray[np.float64]
Rule = float | Literal["through", "round"] | None

THROUGH = 1.0
"""Depth of what has no ends, [m]: amounts are then per meter."""

SHARP_EDGE = 0.602 / (math.pi / 4.0)
"""Extra heat of a right-angled edge of metal against that of a smoothly rounded one, 0.766.

The exact short-time extra heat of the right-angled edge is 0.602 k dT per unit of its length (heat
content of a corner of 270 degrees: van den Berg & Srisatkunarajah 1990, Probab. Theory Relat.
Fields 86:41-52); of the rounded one, pi / 4.
"""

SIDE_WIDENING = SHARP_EDGE * math.pi / 2.0
"""Half of it widens the sand at the sides: b(s) = b0 + 0.766 (pi / 2) s, s the distance."""

_THINNEST = 0.01  # of the cell's width: a cell at the brim of a round part is never empty
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(3)


def depth_rule(shape: Shape, standard: Rule) -> Rule:
    """Depth as asked for; None where the nearest metal decides (mold, and parts not poured)."""
    return shape.part.depth or (standard if shape.metal else None)


def depth_field(
    grid: Grid, shapes: Sequence[Shape], rules: Sequence[Rule], part_index: NDArray[np.int16]
) -> Array:
    """Depth of every cell, shape (ny, nx), [m]; ones in the round view, where none is needed.

    Cells of the mold and of parts without a rule take the depth of the nearest metal cell,
    and of equally near ones the greatest; the mold widens with the distance, as the sand
    outside the edges that the metal has out of the page takes up heat too.
    """
    if grid.view == "round":
        return np.ones(grid.shape)
    depth = np.full(grid.shape, np.nan)
    metal = np.zeros(grid.shape, dtype=bool)
    edges = np.zeros(grid.shape)  # length of the sharp edges out of the page by that of the side
    for number, (shape, rule) in enumerate(zip(shapes, rules, strict=True), start=1):
        own = part_index == number
        metal |= own & shape.metal
        if shape.metal and rule != "through":
            edges[own] = math.pi / 2.0 if rule == "round" else 1.0
        if rule == "round":
            depth[own] = mean_chords(grid, shape.whole)[own]
        elif rule is not None:
            depth[own] = THROUGH if rule == "through" else rule
    return _spread(grid, depth, metal, edges, mold=part_index == 0)


def mean_chords(grid: Grid, outline: BaseGeometry) -> Array:
    """Chord of a round part, averaged over the width of each cell, shape (ny, nx), [m]."""
    _, bottom, _, top = outline.bounds
    low = np.clip(grid.y_edges[:-1], bottom, top)
    high = np.clip(grid.y_edges[1:], bottom, top)
    axis, radius = axis_and_radius(outline, 0.5 * (low + high))
    passed = _disk_left_of(grid.x_edges[None, :] - axis[:, None], radius[:, None])
    return np.maximum(np.diff(passed, axis=1) / grid.dx, _THINNEST * grid.dx)


def drawn_volume(shape: Shape, rule: Rule, view: str, filled_depth: float) -> float:
    """Volume of what shows of a part, [m3].

    Parameters
    ----------
    shape : Shape
    rule : depth rule of the part
    view : str
        In the round view the volume of the full turn, by the path of the centroid (Pappus).
    filled_depth : float, [m]
        Mean depth of the part's cells, for a part without a rule.
    """
    area = shape.visible.area
    if area == 0.0:
        return 0.0
    if view == "round":
        return 2.0 * np.pi * shape.visible.centroid.x * area
    if rule == "round":
        return _round_volume(shape)
    if rule is None:
        return area * filled_depth
    return area * (THROUGH if rule == "through" else rule)


def _round_volume(shape: Shape) -> float:
    """Integral of the chord over what shows, exact for straight sides, [m3]."""
    corners = shapely.get_coordinates([shape.whole, shape.visible])[:, 1]
    _, bottom, _, top = shape.visible.bounds
    heights = np.unique(np.clip(corners, bottom, top))
    middles, halves = 0.5 * (heights[1:] + heights[:-1]), 0.5 * np.diff(heights)
    nodes = (middles[:, None] + halves[:, None] * _NODES).ravel()
    weights = (halves[:, None] * _WEIGHTS).ravel()
    axis, radius = axis_and_radius(shape.whole, nodes)
    pieces, node = shapely.get_parts(
        shapely.intersection(shape.visible, _levels(shape.whole, nodes)), return_index=True
    )
    left, _, right, _ = shapely.bounds(pieces).T
    axis, radius = axis[node], radius[node]
    slices = _disk_left_of(right - axis, radius) - _disk_left_of(left - axis, radius)
    return float(np.sum(weights[node] * slices))


def axis_and_radius(outline: BaseGeometry, heights: Array) -> tuple[Array, Array]:
    """Middle and half of the width that the outline spans at each height, [m]."""
    left, _, right, _ = shapely.bounds(shapely.intersection(outline, _levels(outline, heights))).T
    return np.nan_to_num(0.5 * (left + right)), np.nan_to_num(0.5 * (right - left))


def _levels(outline: BaseGeometry, heights: Array) -> NDArray[np.object_]:
    """Level lines across the outline."""
    left, _, right, _ = outline.bounds
    ends = np.array([left - 1.0, right + 1.0])
    x, y = np.broadcast_arrays(ends, heights[:, None])
    return shapely.linestrings(np.stack([x, y], axis=-1))


def _disk_left_of(offset: Array, radius: Array) -> Array:
    """Area of a disk on one side of a line at an offset from its center, less half the disk, [m2].

    ``u sqrt(R^2 - u^2) + R^2 atan2(u, sqrt(R^2 - u^2))``, the integral of the chord from 0 to u.
    """
    u = np.clip(offset, -radius, radius)
    root = np.sqrt(radius**2 - u**2)
    return u * root + radius**2 * np.arctan2(u, root)


def _spread(
    grid: Grid, depth: Array, metal: NDArray[np.bool_], edges: Array, mold: NDArray[np.bool_]
) -> Array:
    """Fill what has no depth yet from the nearest metal; mold widens with the distance."""
    skin, empty = skin_of(metal), np.isnan(depth)
    if not edges.any() and np.ptp(depth[skin]) == 0.0:
        return np.where(empty, depth[skin][0], depth)  # one depth, and no sand beside its ends
    x, y = np.meshgrid(grid.x_centers, grid.y_centers)
    tree, cells = shapely.STRtree(shapely.points(x[skin], y[skin])), shapely.points(x, y)[empty]
    _, distance = tree.query_nearest(cells, return_distance=True, all_matches=False)
    equal = distance * (1.0 + 1e-9)
    cell, near = tree.query(cells, predicate="dwithin", distance=equal)
    widening = SIDE_WIDENING * edges[skin][near] * distance[cell]
    own = depth[skin][near] + np.where(mold[empty][cell], widening, 0.0)
    nearest = np.zeros(cells.size)
    np.maximum.at(nearest, cell, own)
    filled = depth.copy()
    filled[empty] = nearest
    return filled
