"""The skin of a casting of gray iron: where it may freeze white (chilled edge)."""

from pathlib import Path

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from solidsim.errors import ResultsError
from solidsim.judgment.irons import NEAR, Skin, skin_of
from solidsim.pictures.labels import place_names
from solidsim.pictures.map_sheet import (
    PANEL,
    TOP,
    draw_ground,
    draw_sign,
    fill_around,
    lay_map,
    list_looks,
    part_names,
)
from solidsim.pictures.outlines import shape_path, visible_shapes
from solidsim.pictures.style import (
    INK,
    halo,
    save_figure,
    settings,
    sheet_of,
)
from solidsim.results.run import Run
from solidsim.section.grid import Grid

LOOKS = (("#b7c7d9", "...."), ("#fd8d3c", "////"), ("#8b0000", ""))  # darker and darker in print
SAID = ("freezes gray", "comes near", "may freeze white")
SUBTITLE = "where the skin may freeze white (chilled edge); the band is drawn wider than it is"
WIDER = 3.5  # pt about the cells, for a fine skin to show


def draw_edges(run: Run, path: str | Path) -> Path:
    """Draw the casting's skin by how near it came to freezing white, and the worst place.

    Raises
    ------
    ResultsError
        If the metal is no gray iron or has not frozen, or the picture cannot be written.
    """
    skin = skin_of(run)
    if skin is None:
        raise ResultsError("no map of chilled edges: no skin of gray iron has frozen")
    shapes = visible_shapes(run.section)
    told = [("★ ", one) for one in run.findings if one["name"] == "chilled-edge"]
    with settings():
        axes = lay_map(run, SUBTITLE, told)
        axes.apply_aspect()
        metal = fill_around(axes, run.section, shapes)
        draw_ground(axes, metal)
        for look, cells in zip(LOOKS, _classes(skin), strict=True):
            _fill_cells(axes, run.section.grid, cells, look, metal)
        figure = sheet_of(axes)
        width, height = figure.get_size_inches()
        looks = [(words, *look) for words, look in zip(SAID, LOOKS, strict=True)]
        list_looks(figure, looks, width - PANEL + 0.15, height - TOP)
        places = [tuple(one["place"]) for _, one in told if one["place"]]
        taken = [draw_sign(axes, at, "★", size=13, path_effects=halo()) for at in places]
        place_names(axes, part_names(run.section, shapes), shapes, taken)
        return save_figure(figure, path)


def _classes(skin: Skin) -> list[NDArray[np.bool_]]:
    """Cells of the skin that stay gray, that come near, and that may freeze white."""
    tendency = np.where(skin.cells, skin.tendency, -1.0)
    white, near = tendency >= 1.0, (tendency >= NEAR) & (tendency < 1.0)
    return [skin.cells & ~white & ~near, near, white]


def _fill_cells(
    axes: Axes, grid: Grid, cells: NDArray[np.bool_], look: tuple[str, str], metal: BaseGeometry
) -> None:
    """Fill cells and a little around them, within the metal, with a face and a hatch."""
    boxes = [
        shapely.box(grid.x_edges[i], grid.y_edges[j], grid.x_edges[i + 1], grid.y_edges[j + 1])
        for j, i in np.argwhere(cells)
    ]
    if not boxes:
        return
    (start, _), (end, _) = axes.transData.transform([(0.0, 0.0), (1.0, 0.0)])
    wider = WIDER / 72.0 * sheet_of(axes).dpi / (end - start)
    band = shapely.union_all(boxes).buffer(wider, join_style="mitre") & metal
    face, hatch = look
    axes.add_patch(
        PathPatch(
            shape_path(band), facecolor=face, edgecolor=INK, hatch=hatch, linewidth=0.6, zorder=3
        )
    )
