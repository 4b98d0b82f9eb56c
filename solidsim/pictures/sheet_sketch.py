"""The sketch of a section for a black-and-white print: hatches and sizes, no colors."""

from typing import Literal

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyArrowPatch, PathPatch
from shapely.geometry.base import BaseGeometry

from solidsim.pictures.labels import Name, on_sheet, place_names
from solidsim.pictures.outlines import box_of, close_up, metal_shape, shape_path, visible_shapes
from solidsim.pictures.paper_text import SMALL, Pen
from solidsim.pictures.style import INK, PAPER, ROLE_LOOKS, bare, halo, sheet_of
from solidsim.quantities import Units, write_quantity
from solidsim.section.layout import METAL_ROLES, Part, Section

METAL = "#d0d0d0"
SIDE, ABOVE, BELOW = 1.3, 0.25, 0.6  # in, around the sand: names, sizes, names without room
LEVEL = 0.24  # in, from the sand to a dimension line
DASHES, CENTER_DASHES = (6, 4), (12, 3, 2, 3)
CLEAR = 3.0  # px, between a name and a line

Place = tuple[float, float, float, float]


def draw_sketch(
    figure: Figure, section: Section, place: Place, units: Units, parting: tuple[float, str]
) -> None:
    """Draw a section with the names and sizes of its rigging into a place of a page.

    Parameters
    ----------
    place : left, top, width and height, [in]
        From the top left corner of the page.
    parting : height [m] and name
        Of the parting line; drawn where it crosses the section.
    """
    sand = shapely.box(*close_up(section, place[2] / place[3])) & shapely.box(*box_of(section))
    axes = _axes_in(figure, place, sand)
    shapes = visible_shapes(section)
    _fill(axes, section, shapes, sand)
    names, lines = _draw_parting(axes, section, sand, *parting)
    figure.canvas.draw()
    metal = metal_shape(section, shapes).bounds
    taken = [_draw_size(axes, along, metal, sand, units) for along in ("x", "y")]
    taken += [on_sheet(axes, line).buffer(CLEAR) for line in (*lines, sand.boundary)]
    pairs = zip(section.parts, shapes, strict=True)
    names += [Name(_label(section, part, shape, units), shape) for part, shape in pairs]
    place_names(axes, names, shapes, taken)
    _write_left_out(axes, names, place)


def _axes_in(figure: Figure, place: Place, sand: BaseGeometry) -> Axes:
    """Axes over the whole place, the sand in the middle as large as names allow."""
    left, top, width, height = place
    x0, y0, x1, y1 = sand.bounds
    scale = min((width - 2 * SIDE) / (x1 - x0), (height - ABOVE - BELOW) / (y1 - y0))  # in/m
    wide, tall = figure.get_size_inches()
    corner = (left / wide, 1.0 - (top + height) / tall)
    axes = bare(figure.add_axes((*corner, width / wide, height / tall)))
    middle, low = (x0 + x1) / 2, y0 - BELOW / scale
    half = width / 2 / scale
    axes.set(xlim=(middle - half, middle + half), ylim=(low, low + height / scale))
    return axes


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
    if section.grid.view == "round":
        axes.plot((0, 0), sand.bounds[1::2], color=INK, linewidth=1.2, dashes=CENTER_DASHES)


def _draw_parting(
    axes: Axes, section: Section, sand: BaseGeometry, parting: float, name: str
) -> tuple[list[Name], list[BaseGeometry]]:
    """Dash the parting line through the sand; gives its name, by its right end, and the line."""
    left, low, right, high = sand.bounds
    if section.grid.view == "plan" or not low < parting < high:
        return [], []
    axes.plot((left, right), (parting, parting), color=INK, linewidth=1, dashes=DASHES, zorder=3)
    line = shapely.LineString([(left, parting), (right, parting)])
    return [Name(name, shapely.Point(right, parting), inside=False)], [line]


def _draw_size(
    axes: Axes,
    along: Literal["x", "y"],
    metal: tuple[float, ...],
    sand: BaseGeometry,
    units: Units,
) -> BaseGeometry:
    """Draw the size of all metal, below the sand along x, left of it along y; gives its place."""
    own = "xy".index(along)
    low, high = metal[own], metal[own + 2]
    edge = sand.bounds[1 - own]
    per_inch = np.ptp(axes.get_xlim()) / axes.bbox.width * sheet_of(axes).dpi
    level = edge - LEVEL * per_inch

    def at(lengthwise: float, across: float) -> tuple[float, float]:
        return (across, lengthwise) if own else (lengthwise, across)

    for end in (low, high):
        axes.plot(*zip(at(end, edge), at(end, level), strict=True), color=INK, linewidth=0.5)
    axes.add_patch(
        FancyArrowPatch(at(low, level), at(high, level), arrowstyle="<|-|>", mutation_scale=8,
                        color=INK, linewidth=0.8, shrinkA=0, shrinkB=0)
    )  # fmt: skip
    x, y = at((low + high) / 2, level - 0.04 * per_inch)
    text = axes.text(
        x, y, f"metal {write_quantity(high - low, 'length', units)}",
        ha="right" if own else "center", va="center" if own else "top", size=SMALL,
        rotation=90 * own, path_effects=halo(),
    )  # fmt: skip
    line = shapely.LineString([at(low, level), at(high, level)])
    return on_sheet(axes, line).buffer(CLEAR) | shapely.box(*text.get_window_extent().extents)


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


def _write_left_out(axes: Axes, names: list[Name], place: Place) -> None:
    """Write the names that found no room in a line at the bottom of the place."""
    placed = {" ".join(text.get_text().split()) for text in axes.texts}
    missing = [said for name in names if (said := " ".join(name.text.split())) not in placed]
    if missing:
        left, top, _, height = place
        pen = Pen(sheet_of(axes), SMALL)
        pen.write(left, top + height - pen.line, f"Without a name above: {'; '.join(missing)}")
