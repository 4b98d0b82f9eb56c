"""The sketch of a section for a black-and-white print: hatches and sizes, no colors."""

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from shapely.geometry.base import BaseGeometry

from solidsim.pictures.labels import Name, place_names
from solidsim.pictures.outlines import (
    Bounds,
    box_of,
    close_up,
    metal_shape,
    shape_path,
    visible_shapes,
)
from solidsim.pictures.scale import draw_center_line, draw_dimension
from solidsim.pictures.style import INK, PAPER, ROLE_LOOKS, bare, fitting_size
from solidsim.quantities import Units, write_quantity
from solidsim.section.layout import METAL_ROLES, Part, Section

METAL = "#d0d0d0"
LEFT, BELOW = 0.45, 0.45  # in, for the dimensions
ROOM = 0.8  # of the height, beside a narrow section, for names
DASHES = (6, 4)


def draw_sketch(
    figure: Figure, section: Section, place: tuple[float, float, float, float], units: Units,
    parting: tuple[float, str],
) -> None:  # fmt: skip
    """Draw a section with the names and sizes of its rigging into a place of a page.

    Parameters
    ----------
    place : left, top, width and height, [in]
        From the top left corner of the page.
    parting : height [m] and name
        Of the parting line; drawn where it crosses the section.
    """
    left, top, width, height = place
    aspect = (width - LEFT) / (height - BELOW)
    bounds = _with_room(close_up(section, aspect), aspect)
    across, tall = fitting_size(bounds, width - LEFT, height - BELOW)
    sheet_wide, sheet_tall = figure.get_size_inches()
    x = left + LEFT + (width - LEFT - across) / 2
    corner = (x / sheet_wide, 1.0 - (top + tall) / sheet_tall)
    axes = bare(figure.add_axes((*corner, across / sheet_wide, tall / sheet_tall)))
    axes.set(xlim=(bounds[0], bounds[2]), ylim=(bounds[1], bounds[3]))
    shapes = visible_shapes(section)
    sand = shapely.box(*box_of(section)) & shapely.box(*bounds)
    _fill(axes, section, shapes, sand)
    names = _parting_name(axes, section, sand, *parting)
    if section.grid.view == "round":
        draw_center_line(axes)
    figure.canvas.draw()
    pairs = list(zip(section.parts, shapes, strict=True))
    names += [Name(_label(section, part, shape, units), shape) for part, shape in pairs]
    place_names(axes, names, shapes)
    sides = metal_shape(section, shapes).bounds
    draw_dimension(axes, "x", "metal", sides, 0, units)
    draw_dimension(axes, "y", "metal", sides, 0, units)


def _with_room(bounds: Bounds, aspect: float) -> Bounds:
    """A narrow view with room for names to its right."""
    left, bottom, right, top = bounds
    missing = aspect * (top - bottom) - (right - left)
    return left, bottom, right + min(max(missing, 0.0), ROOM * (top - bottom)), top


def _fill(axes: Axes, section: Section, shapes: list[BaseGeometry], sand: BaseGeometry) -> None:
    """Metal gray, rigging hatched, sand white in its box."""
    axes.add_patch(PathPatch(shape_path(sand), facecolor=PAPER, edgecolor=INK, linewidth=0.8))
    for part, shape in zip(section.parts, shapes, strict=True):
        if not shape.is_empty:
            face = METAL if part.role == "casting" else PAPER
            hatch = ROLE_LOOKS[part.role][1]
            axes.add_patch(
                PathPatch(shape_path(shape), facecolor=face, edgecolor=INK, hatch=hatch,
                          linewidth=1.2, zorder=4)
            )  # fmt: skip


def _parting_name(
    axes: Axes, section: Section, sand: BaseGeometry, parting: float, name: str
) -> list[Name]:
    """Dash the parting line through the sand; gives its name, which stands by its right end."""
    left, low, right, high = sand.bounds
    if section.grid.view == "plan" or not low < parting < high:
        return []
    axes.plot((left, right), (parting, parting), color=INK, linewidth=1, dashes=DASHES, zorder=3)
    end = shapely.Point(right - 0.03 * (right - left), parting)
    return [Name(name, end, inside=False)]


def _label(section: Section, part: Part, shape: BaseGeometry, units: Units) -> str:
    """Name of a part; of the rigging with its size, as it has to be made."""
    if part.role == "casting" or shape.is_empty:
        return part.name
    low_x, low_y, high_x, high_y = shape.bounds
    sizes = [write_quantity(side, "length", units) for side in (high_x - low_x, high_y - low_y)]
    if section.grid.view != "round" and part.role in METAL_ROLES:
        depths = section.depth[section.part_cells(part.name)]
        if part.depth == "round":
            sizes[0] = f"⌀ {sizes[0]}"
        elif part.depth != "through" and depths.size:
            sizes.append(write_quantity(float(np.max(depths)), "length", units))
    return f"{part.name}\n{' × '.join(sizes)}"
