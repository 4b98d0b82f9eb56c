"""From the description of a case to its section: draw, choose the grid, paint, measure, warn."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from solidsim.case.description import CaseDescription
from solidsim.quantities import Units
from solidsim.section import checking
from solidsim.section.depth import Rule, depth_field, depth_rule, drawn_volume
from solidsim.section.faces import face_areas, moduli_in_plane, spreads
from solidsim.section.grid import Grid
from solidsim.section.gridding import (
    CLOSEST,
    COARSEST,
    Interval,
    grid_edges,
    join_intervals,
    keep_lines,
)
from solidsim.section.layout import Array, Part, Section
from solidsim.section.painting import paint
from solidsim.section.shapes import Shape, drafted_sides, draw_shapes, part_shape, square_sides
from solidsim.section.thickness import CELLS_ACROSS, COVER, half_thickness, thinnest

CELL_BUDGET = 60_000
"""Cells at most where the program chooses the cell."""


def build_section(
    description: CaseDescription,
    report: checking.Report | None = None,
    units: Units = "metric",
) -> Section:
    """Lay the parts of a case on a grid.

    Parameters
    ----------
    description : CaseDescription
    report : callable, optional
        Called for each fault with the key it belongs to, as ``("part", 2, "polygon")``, what
        was given, what is allowed and what to write; SectionError is raised after the last.
    units : {"metric", "inch"}
        For the words of faults and warnings.

    Returns
    -------
    Section

    Raises
    ------
    SectionError
        With the faults in its message, one a line.
    """
    plain = [part_shape(part) for part in description.part]
    checking.stop_at(checking.drawing_faults(plain), report)
    shapes, tight = draw_shapes(description.part, plain)
    checking.stop_at(checking.showing_faults(shapes), report)
    box = _box(description, shapes)
    shapes = [shape.trimmed(box) for shape in shapes]
    checking.stop_at(checking.showing_faults(shapes), report)
    cell = description.section.cell or _standard_cell(description, shapes, box)
    fewest = _fewest_cells(shapes, box, cell)
    checking.stop_at(checking.size_faults(fewest, cell, units), report)
    grid, moved = _lay_grid(description, shapes, box, cell)
    part_index = paint(grid, [shape.visible for shape in shapes])
    checking.stop_at(checking.painting_faults(shapes, part_index, units), report)
    rules = [depth_rule(shape, description.section.depth) for shape in shapes]
    depth = depth_field(grid, shapes, rules, part_index)
    faces = face_areas(grid, shapes, rules, part_index, depth)
    parts = _measure(grid, shapes, rules, part_index, depth, box)
    warnings = [
        *checking.fillet_warnings(tight, units),
        *checking.line_warnings(moved, units),
        *checking.part_warnings(parts, shapes),
    ]
    return Section(grid, parts, part_index, depth, faces, tuple(warnings))


def _box(description: CaseDescription, shapes: Sequence[Shape]) -> BaseGeometry:
    """The box as given, or the cover around all parts; in the round view from the axis on."""
    mold = description.mold
    if mold.box:
        return shapely.box(*np.round(mold.box.bounds, 9))
    cover = mold.cover or COVER * half_thickness(_metal(shapes))
    left, low, right, high = shapely.total_bounds([shape.outline for shape in shapes])
    left = 0.0 if description.section.view == "round" else left - cover
    return shapely.box(*np.round([left, low - cover, right + cover, high + cover], 9))


def _metal(shapes: Sequence[Shape]) -> list[BaseGeometry]:
    return [shape.visible for shape in shapes if shape.metal and not shape.visible.is_empty]


def _standard_cell(
    description: CaseDescription, shapes: Sequence[Shape], box: BaseGeometry
) -> float:
    """A tenth of the thinnest metal, or as much more as the budget of cells asks for, [m]."""
    cell = thinnest(_metal(shapes)) / CELLS_ACROSS
    excess = _fewest_cells(shapes, box, cell) / CELL_BUDGET
    while excess > 1.0:
        cell *= 1.01 * excess**0.5
        grid, _ = _lay_grid(description, shapes, box, cell)
        excess = grid.cell_areas.size / CELL_BUDGET
    return cell


def _fewest_cells(shapes: Sequence[Shape], box: BaseGeometry, cell: float) -> float:
    """Cells that a grid has at the least, before any snapping and grading."""
    count = 1.0
    for axis in (0, 1):
        fine = sum(high - low for low, high in _fine(shapes, axis)) / cell
        count *= fine + ((box.bounds[axis + 2] - box.bounds[axis]) / cell - fine) / COARSEST
    return count


def _fine(shapes: Sequence[Shape], axis: int) -> list[Interval]:
    """Where along an axis there are parts, air apart."""
    pieces = [shapely.get_parts(shape.visible) for shape in shapes if shape.part.role != "air"]
    bounds = shapely.bounds(np.concatenate(pieces))
    return join_intervals(zip(bounds[:, axis], bounds[:, axis + 2], strict=True))


def _lay_grid(
    description: CaseDescription, shapes: Sequence[Shape], box: BaseGeometry, cell: float
) -> tuple[Grid, list[checking.MovedLine]]:
    """The grid of a box with its lines on the sides of the parts, and the lines that had to go."""
    edges, moved = [], []
    for axis in (0, 1):
        fine = _fine(shapes, axis)
        visible = [shape.visible for shape in shapes]
        box_sides = box.bounds[axis], box.bounds[axis + 2]
        lines, gone = keep_lines(box_sides, square_sides(visible, axis), CLOSEST * cell)
        useful = [*drafted_sides(visible, axis, cell), *np.ravel(fine)]
        lines, _ = keep_lines(lines, useful, cell)
        edges.append(grid_edges(lines, fine, cell))
        moved += [checking.MovedLine("xy"[axis], *pair) for pair in gone]
    x_edges, y_edges = edges
    return Grid(x_edges, y_edges, description.section.view), moved


def _measure(
    grid: Grid,
    shapes: Sequence[Shape],
    rules: Sequence[Rule],
    part_index: np.ndarray,
    depth: Array,
    box: BaseGeometry,
) -> tuple[Part, ...]:
    """Every part with its areas and volumes, drawn and on the grid."""
    count = len(shapes) + 1
    index = part_index.ravel()
    areas = np.bincount(index, grid.cell_areas.ravel(), count)
    volumes = np.bincount(index, grid.cell_volumes(depth).ravel(), count)
    return tuple(
        Part(
            name=shape.part.name,
            role=shape.part.role,
            outlines=_rings(shape.outline),
            drawn_area=shape.visible.area,
            gridded_area=float(area),
            drawn_volume=drawn_volume(shape, rule, grid.view, volume / area if area else 0.0),
            gridded_volume=float(volume),
            depth=rule,
            spread=spread,
            modulus_in_plane=modulus,
        )
        for shape, rule, spread, modulus, area, volume in zip(
            shapes,
            rules,
            spreads(shapes, rules, box),
            moduli_in_plane(shapes, box),
            areas[1:],
            volumes[1:],
            strict=True,
        )
    )


def _rings(outline: BaseGeometry) -> tuple[Array, ...]:
    """Closed rings of a shape, exterior ones first."""
    pieces = shapely.get_parts(outline)
    rings = [piece.exterior for piece in pieces]
    rings += [ring for piece in pieces for ring in piece.interiors]
    return tuple(shapely.get_coordinates(ring) for ring in rings)
