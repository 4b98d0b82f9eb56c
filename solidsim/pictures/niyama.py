"""The Niyama map: where the casting froze too fast for its gradient to be fed through the mush."""

import math
from pathlib import Path

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm
from matplotlib.contour import QuadContourSet
from matplotlib.patches import PathPatch
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.errors import ResultsError
from solidsim.pictures.labels import place_names
from solidsim.pictures.map_sheet import PANEL, draw_ground, fill_around, lay_map, part_names
from solidsim.pictures.outlines import fill_part, shape_path, spread_field, visible_shapes
from solidsim.pictures.style import (
    HATCH,
    LATE_MAP,
    canvas_of,
    save_figure,
    settings,
    sheet_of,
)
from solidsim.quantities import write_quantity
from solidsim.results.run import Run
from solidsim.section.layout import METAL_ROLES

BANDS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0)  # times the limit; above the last all is one band
LOW, MAP = "////", f"{LATE_MAP}_r"
Array = NDArray[np.float64]


def draw_niyama(run: Run, path: str | Path) -> Path:
    """Draw the Niyama value over the casting; what lies below the limit is hatched, too.

    Raises
    ------
    ResultsError
        If the run holds no Niyama values, or the picture cannot be written.
    """
    casting = run.section.cells_with_role("casting")
    values = run.fields.get("niyama")
    if values is None or not np.isfinite(values[casting]).any():
        raise ResultsError("no Niyama map: no metal of the casting froze over a range")
    said = write_quantity(run.judging.niyama_limit, "niyama", run.units)
    told = [("", one) for one in run.findings if one["name"] == "niyama"]
    shapes = visible_shapes(run.section)
    with settings():
        axes = lay_map(run, f"Niyama value of the casting; hatched below the limit of {said}", told)
        fill_around(axes, run.section, shapes)
        own = [
            shape
            for part, shape in zip(run.section.parts, shapes, strict=True)
            if part.role == "casting"
        ]
        casting_shape = shapely.union_all(own)
        draw_ground(axes, casting_shape)
        for part, shape in zip(run.section.parts, shapes, strict=True):
            if part.role in METAL_ROLES and part.role != "casting":
                fill_part(axes, part, shape)
        bands = _fill_values(axes, run, np.where(casting, values, math.nan), casting_shape)
        _draw_scale(axes, bands, run)
        canvas_of(axes).draw()
        place_names(axes, part_names(run.section, shapes), shapes)
        return save_figure(sheet_of(axes), path)


def _fill_values(axes: Axes, run: Run, values: Array, casting: BaseGeometry) -> QuadContourSet:
    """Fill the casting with bands about the limit, those below it hatched."""
    levels = run.judging.niyama_limit * np.array(BANDS)
    field = spread_field(run.section, np.clip(values, levels[0], None))
    bands = axes.contourf(
        *field, levels, cmap=MAP, norm=BoundaryNorm(levels, 256, extend="max"), extend="max",
        hatches=[LOW if high <= 1.0 else None for high in (*BANDS[1:], math.inf)], zorder=3,
    )  # fmt: skip
    bands.set(edgecolor=HATCH, linewidth=0.0)
    bands.set_clip_path(PathPatch(shape_path(casting), transform=axes.transData))
    return bands


def _draw_scale(axes: Axes, bands: QuadContourSet, run: Run) -> None:
    figure = sheet_of(axes)
    width, height = figure.get_size_inches()
    box = axes.get_position()
    tall = min(box.height, 2.4 / height)
    place = (1 - (PANEL - 0.25) / width, box.y1 - tall, 0.22 / width, tall)
    scale = figure.colorbar(bands, cax=figure.add_axes(place), spacing="uniform")
    limit = run.judging.niyama_limit
    words = [write_quantity(share * limit, "niyama", run.units).partition(" ") for share in BANDS]
    labels = [f"{n} limit" if share == 1.0 else n for (n, _, _), share in zip(words, BANDS,
              strict=True)]  # fmt: skip
    scale.set_ticks([share * limit for share in BANDS], labels=labels)
    scale.ax.set_title(words[0][2], loc="left", size=9.5, pad=14)
