"""The feeding map: what feeds what until when, necks that close, pipes and cavities to scale."""

import textwrap
from pathlib import Path

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path as Outline
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.criteria.feeding import Feeding
from solidsim.errors import ResultsError
from solidsim.judgment import feeding_of
from solidsim.pictures.feeding_times import bars_height, draw_bars
from solidsim.pictures.labels import Name, place_names
from solidsim.pictures.outlines import (
    close_up,
    fill_part,
    fill_unpoured,
    metal_shape,
    shape_path,
    spread_field,
    visible_shapes,
)
from solidsim.pictures.scale import draw_center_line, draw_scale_bar
from solidsim.pictures.style import (
    HATCH,
    INK,
    PAPER,
    VERDICTS,
    bare,
    fitting_size,
    halo,
    new_figure,
    save_figure,
    settings,
    write_title,
)
from solidsim.quantities import write_quantity
from solidsim.results.run import Run
from solidsim.section.layout import METAL_ROLES

FED = ("#9ecae1", "#c7e9c0", "#dadaeb", "#fee391", "#d9d9d9")  # light, one a feeder, in turn
CUT_OFF = "#fdd0a2"
LEFT, TOP, SCALE, PANEL = 0.3, 0.8, 0.55, 2.0  # in, around the drawing
LARGEST = (7.2, 5.6)  # in, of the drawing
LINE = 0.2  # in, of the findings below it
ARROWS = 26  # across the longer side
HALF, VISIBLE = 0.5, 0.1  # share of a cell: a wire enters it, a cavity shows
TOLD = ("hot-spot", "feeding", "cavity", "pipe", "pipe-in-casting", "last-metal-in-feeder")
MOST_FINDINGS = 6

Array = NDArray[np.float64]


def draw_feeding(run: Run, path: str | Path) -> Path:
    """Draw which feeder feeds which metal, what is cut off, and what shrinkage leaves empty.

    Raises
    ------
    ResultsError
        If the metal did not all freeze, or the picture cannot be written.
    """
    feeding = feeding_of(run)
    if feeding is None:
        raise ResultsError("no feeding map: not all of the mold was filled and solid at the end")
    shapes = visible_shapes(run.section)
    with settings():
        figure, axes = _lay_sheet(run, feeding)
        fill_unpoured(axes, run.section, shapes)
        ground = PathPatch(
            shape_path(metal_shape(run.section, shapes)), facecolor=PAPER, linewidth=0, zorder=2
        )
        axes.add_patch(ground)
        _fill_pools(axes, run, feeding, ground)
        _draw_arrows(axes, run, feeding, ground)
        _draw_voids(axes, run, feeding, ground)
        for part, shape in zip(run.section.parts, shapes, strict=True):
            if part.role in METAL_ROLES:
                fill_part(axes, part, shape, face="none")
        figure.canvas.draw()
        _write_names(axes, run, feeding, shapes)
        return save_figure(figure, path)


def fed_color(source: int) -> str:
    """Color of what a free surface feeds; of what is cut off below zero."""
    return FED[source % len(FED)] if source >= 0 else CUT_OFF


def _lay_sheet(run: Run, feeding: Feeding) -> tuple[Figure, Axes]:
    """Lay out title, drawing, signs, the bars of the hot spots and the findings."""
    bounds = close_up(run.section, LARGEST[0] / LARGEST[1])
    across, tall = fitting_size(bounds, *LARGEST)
    width = LEFT + max(across, 4.6) + PANEL
    lines = _finding_lines(run, int((width - LEFT) * 12.5))
    bars, below = bars_height(feeding), LINE * len(lines) + 0.15
    height = TOP + tall + SCALE + bars + below
    figure = new_figure(width, height)
    write_title(figure, run.title, "what feeds what until liquid no longer passes", LEFT)
    for row, line in enumerate(reversed(lines)):
        figure.text(LEFT / width, (0.12 + LINE * row) / height, line, size=9.5)
    place = (LEFT / width, 1 - (TOP + tall) / height, across / width, tall / height)
    axes = bare(figure.add_axes(place))
    axes.set(xlim=bounds[::2], ylim=bounds[1::2])
    draw_scale_bar(axes, run.units, away=0.28)
    if run.section.grid.view == "round":
        draw_center_line(axes)
    _list_signs(figure, feeding, width - PANEL + 0.15, height - TOP)
    draw_bars(figure, run, feeding, (LEFT, below, width - LEFT - 0.3, bars), fed_color)
    return figure, axes


def _finding_lines(run: Run, wide: int) -> list[str]:
    told = [one for one in run.findings if one["name"] in TOLD][:MOST_FINDINGS]
    lines: list[str] = []
    for finding in told:
        text = f"{VERDICTS[finding['verdict']]}: {finding['statement']}"
        lines += textwrap.wrap(text, wide, subsequent_indent="      ")
    return lines


def _list_signs(figure: Figure, feeding: Feeding, left: float, top: float) -> None:
    """Say what the colors and signs mean, beside the drawing, [in]."""
    width, height = figure.get_size_inches()
    rows = [(f"fed by {own.name}", fed_color(n), "") for n, own in enumerate(feeding.surfaces)]
    rows += [("cut off", CUT_OFF, "////")] if feeding.cut_off else []
    rows += [("empty: pipe, cavity", PAPER, "xxxx")]
    for number, (words, face, hatch) in enumerate(rows):
        y = top - 0.3 * number
        swatch = Rectangle(
            (left / width, (y - 0.2) / height), 0.3 / width, 0.2 / height, facecolor=face,
            edgecolor=INK, hatch=hatch, linewidth=0.8, transform=figure.transFigure,
        )  # fmt: skip
        figure.add_artist(swatch)
        figure.text((left + 0.4) / width, (y - 0.1) / height, words, va="center", size=9.5)
    signs = ("→  freezes toward", "✕  closed here, at", "★  last of a cut-off pool")
    for number, words in enumerate(signs, start=len(rows)):
        figure.text(left / width, (top - 0.1 - 0.3 * number) / height, words, va="center", size=9.5)


def _fill_pools(axes: Axes, run: Run, feeding: Feeding, ground: PathPatch) -> None:
    for source in range(-1, len(feeding.surfaces)):
        own = feeding.source == source
        if not (own & run.metal).any():
            continue
        field = spread_field(run.section, own.astype(float))
        hatch = ["////"] if source < 0 else [None]
        fill = axes.contourf(
            *field, [HALF, 2.0], colors=[fed_color(source)], hatches=hatch, zorder=3
        )
        fill.set(edgecolor=HATCH, linewidth=0.0)
        fill.set_clip_path(ground)


def _draw_arrows(axes: Axes, run: Run, feeding: Feeding, ground: PathPatch) -> None:
    """Arrows toward later metal, each of the same length."""
    grid, times = run.section.grid, feeding.cutoff_time
    left, right = axes.get_xlim()
    low, high = axes.get_ylim()
    step = max(right - left, high - low) / ARROWS
    x, y = np.meshgrid(np.arange(left, right, step), np.arange(low, high, step))
    i = np.clip(np.searchsorted(grid.x_edges, x) - 1, 1, grid.shape[1] - 2)
    j = np.clip(np.searchsorted(grid.y_edges, y) - 1, 1, grid.shape[0] - 2)
    along = (times[j, i + 1] - times[j, i - 1]) / (grid.x_centers[i + 1] - grid.x_centers[i - 1])
    up = (times[j + 1, i] - times[j - 1, i]) / (grid.y_centers[j + 1] - grid.y_centers[j - 1])
    steep = np.hypot(along, up)
    shown = np.isfinite(steep) & (steep > 0.0)
    if shown.any():
        arrows = axes.quiver(
            x[shown], y[shown], (along / steep)[shown], (up / steep)[shown], color=INK, alpha=0.55,
            angles="xy", scale_units="xy", scale=1.6 / step, width=0.0022, pivot="mid", zorder=4,
        )  # fmt: skip
        arrows.set_clip_path(ground)


def _draw_voids(axes: Axes, run: Run, feeding: Feeding, ground: PathPatch) -> None:
    """Draw pipes that a wire enters and cavities that the eye sees, to scale."""
    empty = run.metal & ((feeding.pipe > HALF) | (feeding.cavity > VISIBLE))
    grid = run.section.grid
    cells = [
        shapely.box(grid.x_edges[i], grid.y_edges[j], grid.x_edges[i + 1], grid.y_edges[j + 1])
        for j, i in np.argwhere(empty)
    ]
    if not cells:
        return
    outline: Outline = shape_path(shapely.union_all(cells))
    void = PathPatch(
        outline, facecolor=PAPER, edgecolor=INK, hatch="xxxx", linewidth=1.2, zorder=4.5
    )
    axes.add_patch(void)
    void.set_clip_path(ground)


def _write_names(axes: Axes, run: Run, feeding: Feeding, shapes: list[BaseGeometry]) -> None:
    """Mark necks with their closing times and hot spots; name the parts."""
    grid = run.section.grid
    marks, names = [], []
    for pool in feeding.cut_off:
        j, i = pool.hot_spot
        marks.append((grid.x_centers[i], grid.y_centers[j], "★"))
        if pool.neck is not None:
            j, i = pool.neck
            place = grid.x_centers[i], grid.y_centers[j]
            marks.append((*place, "✕"))
            time = write_quantity(pool.time, "time", run.units)
            names.append(Name(f"✕ {time}", shapely.Point(place), weight="bold"))
    taken = []
    for x, y, sign in marks:
        mark = axes.text(
            x, y, sign, ha="center", va="center", size=13, weight="bold", zorder=9,
            path_effects=halo(),
        )  # fmt: skip
        taken.append(shapely.box(*mark.get_window_extent().extents))
    taken = place_names(axes, names, shapes, taken)
    parts = [
        Name(part.name, shape, inside=part.role not in METAL_ROLES)
        for part, shape in zip(run.section.parts, shapes, strict=True)
    ]
    place_names(axes, parts, shapes, taken)
