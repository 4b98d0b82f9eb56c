"""The section as it stands in the mold: parts named, sized and hatched by role."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from shapely.geometry.base import BaseGeometry

from solidsim.fill.record import Inlet
from solidsim.pictures.labels import Name, place_names
from solidsim.pictures.mouth_marks import mark_mouths
from solidsim.pictures.outlines import (
    box_of,
    fill_mold,
    fill_part,
    metal_shape,
    visible_shapes,
)
from solidsim.pictures.scale import draw_center_line, draw_dimension, draw_scale_bar
from solidsim.pictures.style import (
    INK,
    MOLD,
    ROLE_LOOKS,
    bare,
    fitting_size,
    new_figure,
    save_figure,
    settings,
    write_title,
)
from solidsim.quantities import Units, write_quantity
from solidsim.section.layout import METAL_ROLES, Part, Section

LEFT, TOP, BOTTOM = 0.95, 0.75, 1.15  # in, around the drawing
LARGEST = (6.6, 6.4)  # in, of the drawing
ROW, INDENT, LETTER = 0.46, 0.45, 0.085  # in, of the list of parts
THROUGH = 1.0  # m, the depth that stands for an endless section
VIEWS = {
    "upright": "section upright, gravity down the page",
    "plan": "plan view, gravity into the page",
    "round": "half of a round body, turned about the left edge",
}


def draw_section(
    section: Section,
    path: str | Path,
    title: str,
    units: Units,
    inlets: Sequence[Inlet] = (),
) -> Path:
    """Draw a section with its names, main dimensions, mouths and a list of its parts.

    Raises
    ------
    ResultsError
        If the picture cannot be written.
    """
    left, bottom, right, top = bounds = box_of(section)
    across, tall = fitting_size(bounds, *LARGEST)
    shapes = visible_shapes(section)
    rows = _part_rows(section, shapes, units)
    panel = INDENT + LETTER * max(max(len(row.words), len(row.size)) for row in rows) + 0.1
    width = LEFT + max(across, 3.0) + 0.3 + panel
    height = TOP + max(tall + BOTTOM, len(rows) * ROW + 0.2)
    with settings():
        figure = new_figure(width, height)
        write_title(figure, title, VIEWS[section.grid.view], 0.2)
        place = (LEFT / width, 1 - (TOP + tall) / height, across / width, tall / height)
        axes = bare(figure.add_axes(place))
        axes.set(xlim=(left, right), ylim=(bottom, top))
        fill_mold(axes, section, line=0.8)
        for part, shape in zip(section.parts, shapes, strict=True):
            fill_part(axes, part, shape)
        if section.grid.view == "round":
            draw_center_line(axes)
        axes.apply_aspect()
        names, taken = mark_mouths(axes, inlets)
        names += [Name(part.name, shape) for part, shape in zip(section.parts, shapes, strict=True)]
        place_names(axes, names, shapes, taken)
        _draw_dimensions(axes, section, shapes, units)
        _list_parts(figure, rows, width - panel)
        return save_figure(figure, path)


def _draw_dimensions(
    axes: Axes, section: Section, shapes: list[BaseGeometry], units: Units
) -> None:
    """Width and height of the metal, then of the mold, outside the box; a scale bar below."""
    metal, box = metal_shape(section, shapes).bounds, box_of(section)
    for row, (word, sides) in enumerate((("metal", metal), ("mold", box))):
        draw_dimension(axes, "x", word, sides, row, units)
        draw_dimension(axes, "y", word, sides, row, units)
    draw_scale_bar(axes, units, away=0.93)


class _Row(NamedTuple):
    """A line of the list of parts: name with role, face, hatch and size."""

    words: str
    face: str
    hatch: str
    size: str


def _part_rows(section: Section, shapes: list[BaseGeometry], units: Units) -> list[_Row]:
    rows = [_Row("mold", MOLD, "", "")]
    for part, shape in zip(section.parts, shapes, strict=True):
        words = part.name if part.role in part.name.split() else f"{part.name} ({part.role})"
        rows.append(_Row(words, *ROLE_LOOKS[part.role], _size_line(section, part, shape, units)))
    return rows


def _list_parts(figure: Figure, rows: list[_Row], left: float) -> None:
    """List the parts to the right of the drawing."""
    inches, top = figure.dpi_scale_trans, figure.get_figheight() - TOP
    for number, row in enumerate(rows):
        y, x = top - number * ROW, left + INDENT
        swatch = Rectangle(
            (left, y - 0.27), 0.34, 0.24, facecolor=row.face, hatch=row.hatch * 2, edgecolor=INK,
            linewidth=0.8, transform=inches,
        )  # fmt: skip
        figure.add_artist(swatch)
        figure.text(x, y, row.words, weight="bold", size=9.5, va="top", transform=inches)
        figure.text(x, y - 0.18, row.size, size=9, va="top", transform=inches)


def _size_line(section: Section, part: Part, shape: BaseGeometry, units: Units) -> str:
    """Width and height of what shows of a part, and the depth of metal."""
    if shape.is_empty:
        return "covered by later parts"
    low_x, low_y, high_x, high_y = shape.bounds
    sides = [write_quantity(side, "length", units) for side in (high_x - low_x, high_y - low_y)]
    if section.grid.view != "round" and part.role in METAL_ROLES:
        depths = section.depth[section.part_cells(part.name)]
        return " × ".join(sides) + f", {_depth_word(depths, units)}"
    return " × ".join(sides)


def _depth_word(depths: np.ndarray, units: Units) -> str:
    if depths.size == 0:
        return "no cells"
    if np.ptp(depths) > 1e-9:
        return "round"
    if depths[0] == THROUGH:
        return "through"
    return f"{write_quantity(float(depths[0]), 'length', units)} deep"
