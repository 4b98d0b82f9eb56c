"""What all maps of a run share: the sheet with its findings, the ground, names and marks."""

import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from shapely.geometry.base import BaseGeometry

from solidsim.pictures.labels import Name
from solidsim.pictures.outlines import (
    close_up,
    fill_part,
    fill_unpoured,
    metal_shape,
    shape_path,
)
from solidsim.pictures.scale import draw_center_line, draw_scale_bar
from solidsim.pictures.style import (
    INK,
    PAPER,
    VERDICTS,
    bare,
    canvas_of,
    fitting_size,
    new_figure,
    write_title,
)
from solidsim.results.run import Run
from solidsim.section.layout import METAL_ROLES, Section

LEFT, TOP, SCALE, PANEL = 0.3, 0.8, 0.55, 2.0  # in, around the drawing
LARGEST, LEAST = (7.3, 6.0), 5.0  # in, of the drawing
LINE = 0.2  # in, of the findings below it

Findings = Iterable[tuple[str, dict[str, Any]]]
"""Each with what stands before its verdict."""


def lay_map(run: Run, subtitle: str, findings: Findings, between: float = 0.0) -> Axes:
    """Lay out title, drawing, scale bar and findings; so much room between them, [in]."""
    bounds = close_up(run.section, LARGEST[0] / LARGEST[1])
    across, tall = fitting_size(bounds, *LARGEST)
    width = LEFT + max(across, LEAST) + PANEL
    lines = _finding_lines(findings, int((width - LEFT) * 12.5))
    height = TOP + tall + SCALE + between + LINE * len(lines) + 0.12
    figure = new_figure(width, height)
    write_title(figure, run.title, subtitle, LEFT)
    for row, line in enumerate(reversed(lines)):
        figure.text(LEFT / width, (0.12 + LINE * row) / height, line, size=9.5)
    place = (LEFT / width, 1 - (TOP + tall) / height, across / width, tall / height)
    axes = bare(figure.add_axes(place))
    axes.set(xlim=bounds[::2], ylim=bounds[1::2])
    draw_scale_bar(axes, run.units, away=0.28)
    if run.section.grid.view == "round":
        draw_center_line(axes)
    return axes


def _finding_lines(findings: Findings, wide: int) -> list[str]:
    lines: list[str] = []
    for before, finding in findings:
        text = f"{before}{VERDICTS[finding['verdict']]}: {finding['statement']}"
        lines += textwrap.wrap(text, wide, subsequent_indent="      ")
    return lines


def draw_ground(axes: Axes, metal: BaseGeometry, hatch: str = "") -> PathPatch:
    """Draw the bare metal, which fields are clipped to."""
    ground = PathPatch(
        shape_path(metal), facecolor=PAPER, edgecolor=INK, hatch=hatch, linewidth=0, zorder=2
    )
    axes.add_artist(ground)
    return ground


def fill_around(axes: Axes, section: Section, shapes: list[BaseGeometry]) -> BaseGeometry:
    """Fill all that is not metal and outline the metal, whose shape is given back."""
    fill_unpoured(axes, section, shapes)
    for part, shape in zip(section.parts, shapes, strict=True):
        if part.role in METAL_ROLES:
            fill_part(axes, part, shape, face="none")
    return metal_shape(section, shapes)


def part_names(section: Section, shapes: list[BaseGeometry]) -> list[Name]:
    """Names of all parts: those of metal beside it, for its own ground is the map."""
    return [
        Name(part.name, shape, inside=part.role not in METAL_ROLES)
        for part, shape in zip(section.parts, shapes, strict=True)
    ]


def draw_sign(axes: Axes, place: tuple[float, float], sign: str, **look: Any) -> BaseGeometry:
    """Draw a sign at a place, and give what it takes, [px]."""
    mark = axes.text(*place, sign, ha="center", va="center", weight="bold", zorder=9, **look)
    disk = mark.get_bbox_patch()
    mark.update_bbox_position_size(canvas_of(axes).get_renderer())
    return shapely.box(*(disk or mark).get_window_extent().extents)


def list_looks(
    figure: Figure, rows: Sequence[tuple[str, str, str]], left: float, top: float
) -> None:
    """Say what faces mean, beside the drawing, [in]: words, face and hatch of each."""
    width, height = figure.get_size_inches()
    for number, (words, face, hatch) in enumerate(rows):
        y = top - 0.3 * number
        swatch = Rectangle(
            (left / width, (y - 0.2) / height), 0.3 / width, 0.2 / height, facecolor=face,
            edgecolor=INK, hatch=hatch, linewidth=0.8, transform=figure.transFigure,
        )  # fmt: skip
        figure.add_artist(swatch)
        figure.text((left + 0.4) / width, (y - 0.1) / height, words, va="center", size=9.5)
