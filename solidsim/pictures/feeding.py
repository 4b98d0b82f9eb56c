"""The feeding map: what feeds what until when, necks that close, pipes and cavities to scale."""

from pathlib import Path

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.criteria.feeding import Feeding
from solidsim.errors import ResultsError
from solidsim.judgment import feeding_of
from solidsim.pictures.feeding_times import bars_height, draw_bars
from solidsim.pictures.labels import Name, place_names
from solidsim.pictures.map_sheet import (
    LEFT,
    PANEL,
    SCALE,
    TOP,
    draw_ground,
    draw_sign,
    fill_around,
    lay_map,
    list_looks,
    part_names,
)
from solidsim.pictures.outlines import (
    shape_path,
    spread_field,
    visible_shapes,
)
from solidsim.pictures.style import (
    HATCH,
    INK,
    PAPER,
    halo,
    save_figure,
    settings,
    sheet_of,
)
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

FED = ("#9ecae1", "#c7e9c0", "#dadaeb", "#fee391", "#d9d9d9")  # light, one a feeder, in turn
CUT_OFF = "#fdd0a2"
ARROWS = 26  # across the longer side
HALF, VISIBLE = 0.5, 0.1  # share of a cell: a wire enters it, a cavity shows
TOLD = ("hot-spot", "feeding", "cavity", "pipe", "pipe-in-casting", "last-metal-in-feeder")
MOST_FINDINGS = 6
FEEDS = "what feeds what until liquid no longer passes"
LUMPS = "where a way of liquid to a feeder stays open; whether it feeds does not show from above"

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
        axes = _lay_sheet(run, feeding)
        ground = draw_ground(axes, fill_around(axes, run.section, shapes))
        _fill_pools(axes, run, feeding, ground)
        _draw_arrows(axes, run, feeding, ground)
        _draw_voids(axes, run, feeding, ground)
        axes.apply_aspect()
        _write_names(axes, run, feeding, shapes)
        return save_figure(sheet_of(axes), path)


def fed_color(source: int) -> str:
    """Color of what a free surface feeds; of what is cut off below zero."""
    return FED[source % len(FED)] if source >= 0 else CUT_OFF


def _lay_sheet(run: Run, feeding: Feeding) -> Axes:
    """Lay out title, drawing, signs, the bars of the hot spots and the findings."""
    told = [("", one) for one in run.findings if one["name"] in TOLD][:MOST_FINDINGS]
    bars = bars_height(feeding)
    axes = lay_map(run, LUMPS if _stands(run, feeding) else FEEDS, told, bars)
    figure = sheet_of(axes)
    width, height = figure.get_size_inches()
    low = axes.get_position().y0 * height - SCALE - bars
    _list_signs(figure, run, feeding, width - PANEL + 0.15, height - TOP)
    words = "way open" if _stands(run, feeding) else "fed"
    draw_bars(figure, run, feeding, (LEFT, low, width - LEFT - 0.3, bars), fed_color, words)
    return axes


def _stands(run: Run, feeding: Feeding) -> bool:
    """Whether a feeder stands on the casting in plan, where it is one lump with what it feeds."""
    return any(run.section.stands_on_metal(own.name) for own in feeding.surfaces)


def _list_signs(figure: Figure, run: Run, feeding: Feeding, left: float, top: float) -> None:
    """Say what the colors and signs mean, beside the drawing, [in]."""
    width, height = figure.get_size_inches()
    rows = [
        (f"{_verb(run, own.name)} {own.name}", fed_color(n), "")
        for n, own in enumerate(feeding.surfaces)
    ]
    rows += [("cut off", CUT_OFF, "////")] if feeding.cut_off else []
    rows += [("empty: pipe, cavity", PAPER, "xxxx")]
    list_looks(figure, rows, left, top)
    signs = ("→  freezes toward", "✕  closed here, at", "★  last of a cut-off pool")
    for number, words in enumerate(signs, start=len(rows)):
        figure.text(left / width, (top - 0.1 - 0.3 * number) / height, words, va="center", size=9.5)


def _verb(run: Run, name: str) -> str:
    return "open to" if run.section.stands_on_metal(name) else "fed by"


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
        marks.append(((grid.x_centers[i], grid.y_centers[j]), "★"))
        if pool.neck is not None:
            j, i = pool.neck
            place = grid.x_centers[i], grid.y_centers[j]
            marks.append((place, "✕"))
            time = write_quantity(pool.time, "time", run.units)
            names.append(Name(f"✕ {time}", shapely.Point(place), weight="bold"))
    taken = [draw_sign(axes, place, sign, size=13, path_effects=halo()) for place, sign in marks]
    taken = place_names(axes, names, shapes, taken)
    place_names(axes, part_names(run.section, shapes), shapes, taken)
