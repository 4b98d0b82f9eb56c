"""The skin of a casting of gray iron: where it may freeze white (chilled edge)."""

from pathlib import Path

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from numpy.typing import NDArray

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
    canvas_of,
    halo,
    save_figure,
    settings,
    sheet_of,
)
from solidsim.results.run import Run
from solidsim.section.grid import Grid

LOOKS = ("#d0d0d0", "#fd8d3c", "#8b0000")  # gray, near, white: darker and darker in print
SAID = ("freezes gray", "comes near", "may freeze white")
SUBTITLE = "where the skin may freeze white (chilled edge); the band is drawn wider than it is"
WIDER = 7.0  # pt of line about the cells, for a fine skin to show


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
        ground = draw_ground(axes, fill_around(axes, run.section, shapes))
        for face, cells in zip(LOOKS, _classes(skin), strict=True):
            _fill_cells(axes, run.section.grid, cells, face, ground)
        figure = sheet_of(axes)
        width, height = figure.get_size_inches()
        looks = [(words, face, "") for words, face in zip(SAID, LOOKS, strict=True)]
        list_looks(figure, looks, width - PANEL + 0.15, height - TOP)
        canvas_of(axes).draw()
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
    axes: Axes, grid: Grid, cells: NDArray[np.bool_], face: str, ground: PathPatch
) -> None:
    boxes = [
        shapely.box(grid.x_edges[i], grid.y_edges[j], grid.x_edges[i + 1], grid.y_edges[j + 1])
        for j, i in np.argwhere(cells)
    ]
    if not boxes:
        return
    patch = PathPatch(
        shape_path(shapely.union_all(boxes)), facecolor=face, edgecolor=face, linewidth=WIDER,
        joinstyle="miter", capstyle="butt",
        zorder=3,
    )  # fmt: skip
    axes.add_patch(patch)
    patch.set_clip_path(ground)
