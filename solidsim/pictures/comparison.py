"""Freezing maps of several runs on one sheet: one scale of lengths, one of times."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from solidsim.errors import ResultsError
from solidsim.pictures.freezing import draw_last, fill_bands
from solidsim.pictures.map_sheet import fill_around
from solidsim.pictures.outlines import visible_shapes
from solidsim.pictures.panels import Margins, lay_panels
from solidsim.pictures.scale import draw_center_line, draw_scale_bar, round_times
from solidsim.pictures.style import save_figure, settings
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

AROUND = Margins(left=0.3, right=1.75, top=0.75, bottom=0.35)
ROOM = (11.0, 9.0)  # in
MOST_BANDS = 10


def draw_comparison(
    runs: Sequence[Run], headings: Sequence[str], path: str | Path, *, title: str
) -> Path:
    """Draw the freezing time of several runs at one scale, with the last place of each.

    Raises
    ------
    ResultsError
        If one of them has no frozen metal, or the picture cannot be written.
    """
    times = [run.fields.get("freezing_time", np.array([np.nan])) for run in runs]
    if not all(np.isfinite(own).any() for own in times):
        raise ResultsError("no freezing maps: a run stopped before any metal was solid")
    low, high = (float(one([one(own[np.isfinite(own)]) for own in times])) for one in (min, max))
    levels, units = round_times(low, high, MOST_BANDS), runs[0].units
    spacing = write_quantity(levels[1] - levels[0], "time", units)
    subtitle = f"time from the pour until solid, one scale for all; a line every {spacing}"
    with settings():
        panels = lay_panels(runs, headings, (title, subtitle), AROUND, ROOM)
        for run, axes in zip(runs, panels.axes, strict=True):
            shapes = visible_shapes(run.section)
            metal = fill_around(axes, run.section, shapes)
            bands, words = fill_bands(axes, run, metal, levels)
            if run.section.grid.view == "round":
                draw_center_line(axes)
            draw_last(axes, run, shapes, words)
        draw_scale_bar(panels.axes[0], units, away=0.2)
        width, height = panels.figure.get_size_inches()
        tall = min(height - 1.6, 3.6)
        place = (1 - 1.45 / width, 1 - (1.2 + tall) / height, 0.22 / width, tall / height)
        scale = panels.figure.colorbar(
            bands, cax=panels.figure.add_axes(place), spacing="proportional"
        )
        scale.set_ticks(levels, labels=[write_quantity(time, "time", units) for time in levels])
        scale.ax.set_title("solid after", loc="left", size=9.5, pad=10)
        return save_figure(panels.figure, path)
