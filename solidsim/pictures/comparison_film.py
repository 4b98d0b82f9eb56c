"""Several runs freezing side by side on one clock."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.text import Text
from numpy.typing import NDArray

from solidsim.errors import ResultsError
from solidsim.pictures.encoding import write_frames
from solidsim.pictures.film import (
    FRAMES_PER_SECOND,
    Film,
    counted,
    end_of_film,
    end_of_pour,
    film_clock,
    told_share,
)
from solidsim.pictures.film_metal import FilmMetal
from solidsim.pictures.film_sheet import DOTS_PER_INCH, FilmSheet, draw_parts, draw_time_bar
from solidsim.pictures.panels import Margins, lay_panels
from solidsim.pictures.scale import draw_scale_bar
from solidsim.pictures.style import canvas_of, settings, sheet_of
from solidsim.results.run import Run

AROUND = Margins(left=0.35, right=0.35, top=0.7, bottom=1.15)
ROOM = (14.0, 8.5)  # in
SUBTITLE = "the hotter the brighter, solid metal darkest, shut-in air gray; one clock for all"

Array = NDArray[np.float64]
Pixels = NDArray[np.uint8]
Progress = Callable[[float, float, str], None]


def make_comparison_film(
    runs: Sequence[Run],
    headings: Sequence[str],
    path: str | Path,
    *,
    title: str,
    seconds: float = 10.0,
    progress: Progress | None = None,
) -> Film:
    """Write one film of several runs, from the pour until the last of them is solid.

    Raises
    ------
    ResultsError
        If a run has fewer than two frames, or the film cannot be written.
    """
    if any(run.frames.times.size < 2 for run in runs):
        raise ResultsError("no film: a run has fewer than two frames")
    count = max(2, round(seconds * FRAMES_PER_SECOND))
    clock = film_clock(
        max(end_of_film(run) for run in runs), max(end_of_pour(run) for run in runs), count
    )
    pictures = counted(_pictures(runs, headings, title, clock), clock, progress)
    written, warning = write_frames(pictures, Path(path), FRAMES_PER_SECOND)
    return Film(written, count, count / FRAMES_PER_SECOND, warning)


def _pictures(
    runs: Sequence[Run], headings: Sequence[str], title: str, clock: Array
) -> Iterator[Pixels]:
    poured = max(end_of_pour(run) for run in runs)
    with settings():
        sheets = _lay_sheets(runs, headings, title, float(clock[-1]), poured)
        metals = [FilmMetal(run, sheet) for run, sheet in zip(runs, sheets, strict=True)]
        ground = metals[-1].ground
        for time in clock:
            picture = ground.copy()
            for metal, sheet in zip(metals, sheets, strict=True):
                moment = metal.at(time)
                metal.paint(picture, moment)
                pouring = time < end_of_pour(metal.run)
                sheet.set_share(*told_share(moment, pouring))
            yield _draw_clock(sheets, picture, time, time < poured)


def _draw_clock(sheets: Sequence[FilmSheet], ground: Pixels, time: float, pouring: bool) -> Pixels:
    """Draw the clock, its bar and the share of solid metal of every run on a ground."""
    first, figure = sheets[0], sheet_of(sheets[0].axes)
    np.asarray(canvas_of(first.axes).buffer_rgba())[:] = ground
    first.set_clock(time, pouring)
    for artist in (first.clock, first.bar, *(sheet.share for sheet in sheets)):
        figure.draw_artist(artist)
    return first.pixels()


def _lay_sheets(
    runs: Sequence[Run], headings: Sequence[str], title: str, end: float, poured: float
) -> list[FilmSheet]:
    """Lay out one sheet with a drawing a run, all on one bar and one clock."""
    panels = lay_panels(runs, headings, (title, SUBTITLE), AROUND, ROOM, DOTS_PER_INCH)
    figure, units = panels.figure, runs[0].units
    width, height = figure.get_size_inches()
    bar = draw_time_bar(figure, end, units, poured)
    clock = figure.text(AROUND.left / width, 0.72 / height, "", size=15, weight="bold",
                        animated=True)  # fmt: skip
    draw_scale_bar(panels.axes[0], units, away=0.2)
    sheets = []
    for run, axes in zip(runs, panels.axes, strict=True):
        metal = draw_parts(axes, run)
        sheets.append(FilmSheet(axes, metal, bar, clock, _share_text(axes), end, units, poured))
    return sheets


def _share_text(axes: Axes) -> Text:
    box = axes.get_position()
    return sheet_of(axes).text(
        box.x1, box.y0 - 0.02, "", size=13, weight="bold", ha="right", va="top", animated=True
    )
