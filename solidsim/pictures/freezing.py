"""The freezing map: when each bit of metal is solid, and where the last ones stand."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.contour import QuadContourSet
from matplotlib.text import Text
from shapely.geometry.base import BaseGeometry

from solidsim.errors import ResultsError
from solidsim.pictures.labels import Name, on_sheet, place_names
from solidsim.pictures.map_sheet import (
    PANEL,
    draw_ground,
    draw_sign,
    fill_around,
    lay_map,
    part_names,
)
from solidsim.pictures.mouth_marks import mark_mouths
from solidsim.pictures.outlines import (
    metal_shape,
    spread_field,
    visible_shapes,
)
from solidsim.pictures.scale import round_times
from solidsim.pictures.style import (
    INK,
    LATE_MAP,
    PAPER,
    halo,
    save_figure,
    settings,
    sheet_of,
)
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

NEAR = 0.02  # of the mold; findings closer than this share a mark
REPEAT = 1.2  # in, between two words of the same isoline
MOST_BANDS, MOST_FINDINGS = 9, 5
DISK: Any = {
    "size": 9.5,
    "bbox": {"boxstyle": "circle,pad=0.25", "facecolor": PAPER, "edgecolor": INK},
}

Place = tuple[float, float]


def draw_freezing(run: Run, path: str | Path) -> Path:
    """Draw the freezing time over the metal with its isolines, hot spots and findings.

    Findings with a place and a verdict are numbered in the map and spelled out below it.

    Raises
    ------
    ResultsError
        If no metal has frozen, or the picture cannot be written.
    """
    times = run.fields.get("freezing_time")
    if times is None or not np.isfinite(times[run.metal]).any():
        raise ResultsError("no freezing map: the run stopped before any metal was solid")
    levels = round_times(float(np.nanmin(times)), float(np.nanmax(times)), MOST_BANDS)
    spacing = write_quantity(levels[1] - levels[0], "time", run.units)
    shapes = visible_shapes(run.section)
    with settings():
        subtitle = f"time from the pour until solid; a line every {spacing}"
        axes = lay_map(run, subtitle, _told(run))
        metal = fill_around(axes, run.section, shapes)
        bands, words = fill_bands(axes, run, metal, levels)
        _draw_time_scale(axes, bands, run)
        _write_names(axes, run, shapes, words)
        return save_figure(sheet_of(axes), path)


def _judged(run: Run) -> list[dict[str, Any]]:
    """Findings with a place and a verdict, the worst first."""
    judged = [one for one in run.findings if one["place"] and one["verdict"] != "note"]
    return judged[:MOST_FINDINGS]


def _numbers(run: Run) -> dict[Place, int]:
    """Number of each place that a judged finding points at; neighbors share one."""
    numbers: dict[Place, int] = {}
    grid = run.section.grid
    near = NEAR * max(np.ptp(grid.x_edges), np.ptp(grid.y_edges))
    for place in (tuple(finding["place"]) for finding in _judged(run)):
        known = [number for other, number in numbers.items() if math.dist(place, other) < near]
        numbers.setdefault(place, known[0] if known else max(numbers.values(), default=0) + 1)
    return numbers


def _told(run: Run) -> list[tuple[str, dict[str, Any]]]:
    """The judged findings, each with its number in the map."""
    numbers = _numbers(run)
    return [(f"{numbers[tuple(one['place'])]}  ", one) for one in _judged(run)]


def fill_bands(
    axes: Axes, run: Run, metal: BaseGeometry, levels: list[float]
) -> tuple[QuadContourSet, list[Text]]:
    """Fill the metal with bands of freezing time; what never froze stays hatched."""
    ground = draw_ground(axes, metal, hatch="////")
    field = spread_field(run.section, run.fields["freezing_time"])
    bands = axes.contourf(*field, levels, cmap=LATE_MAP, zorder=3)
    lines = axes.contour(*field, levels[1:-1], colors=INK, linewidths=0.7, zorder=3)
    for artist in (bands, lines):
        artist.set_clip_path(ground)
    words = axes.clabel(
        lines, fmt=lambda time: write_quantity(time, "time", run.units), inline=False, fontsize=9
    )
    for word in words:
        word.set(path_effects=halo(), zorder=6)
    return bands, list(words)


def _draw_time_scale(axes: Axes, bands: QuadContourSet, run: Run) -> None:
    figure = sheet_of(axes)
    width, height = figure.get_size_inches()
    box = axes.get_position()
    tall = min(box.height, 3.6 / height)
    place = (1 - (PANEL - 0.25) / width, box.y1 - tall, 0.22 / width, tall)
    scale = figure.colorbar(bands, cax=figure.add_axes(place), spacing="proportional")
    ticks = list(bands.levels)
    scale.set_ticks(ticks, labels=[write_quantity(time, "time", run.units) for time in ticks])
    scale.ax.set_title("solid after", loc="left", size=9.5, pad=10)


def _write_names(axes: Axes, run: Run, shapes: list[BaseGeometry], words: list[Text]) -> None:
    """Mark the judged places and the last metal of all, name the parts, thin out the words."""
    figure = sheet_of(axes)
    axes.apply_aspect()
    numbers, last = _numbers(run), _last_of_all(run)
    marks = {number: place for place, number in reversed(numbers.items())}
    signs = {place: (str(number), f"{number}: ") for number, place in sorted(marks.items())}
    if last:
        signs.setdefault(last, ("★", "last of all: "))
    taken = [draw_sign(axes, place, sign, **DISK) for place, (sign, _) in signs.items()]
    times = [
        Name(word + _freezing_time_at(run, place), shapely.Point(place), weight="bold")
        for place, (_, word) in signs.items()
    ]
    taken = place_names(axes, times, shapes, taken)
    taken += _thin_out(
        REPEAT * figure.dpi, words, taken, on_sheet(axes, metal_shape(run.section, shapes))
    )
    place_names(axes, part_names(run.section, shapes), shapes, taken)


def draw_last(axes: Axes, run: Run, shapes: list[BaseGeometry], words: list[Text]) -> None:
    """Mark the last metal of all and the mouths, name the parts, thin out the isolines' words."""
    figure, last = sheet_of(axes), _last_of_all(run)
    axes.apply_aspect()
    names, taken = mark_mouths(axes, run.fill.inlets if run.fill else ())
    if last:
        taken.append(draw_sign(axes, last, "★", **DISK))
        time = Name(f"last: {_freezing_time_at(run, last)}", shapely.Point(last), weight="bold")
        taken = place_names(axes, [time], shapes, taken)
    metal = on_sheet(axes, metal_shape(run.section, shapes))
    taken += _thin_out(REPEAT * figure.dpi, words, taken, metal)
    place_names(axes, [*names, *part_names(run.section, shapes)], shapes, taken)


def _thin_out(
    reach: float, words: list[Text], taken: list[BaseGeometry], metal: BaseGeometry
) -> list[BaseGeometry]:
    """Keep the words of isolines that lie in the metal, clear of all else; give what they take.

    The same word stands again only so far away, [px].
    """
    kept: list[tuple[str, BaseGeometry]] = []
    for word in words:
        text, box = word.get_text(), shapely.box(*word.get_window_extent().extents)
        repeated = any(text == other and box.distance(place) < reach for other, place in kept)
        crowded = any(box.intersects(place) for place in taken + [place for _, place in kept])
        if repeated or crowded or not metal.contains(box):
            word.remove()
        else:
            kept.append((text, box))
    return [place for _, place in kept]


def _last_of_all(run: Run) -> Place | None:
    """Where the last metal of the run freezes, of all parts with a known time."""
    timed = [one for one in run.findings if one["name"] == "part-freezing" and one["place"]]
    return tuple(max(timed, key=lambda one: one["value"])["place"]) if timed else None


def _freezing_time_at(run: Run, place: Place) -> str:
    """Freezing time of the cell at a place, in words."""
    grid = run.section.grid
    column = int(np.clip(np.searchsorted(grid.x_edges, place[0]) - 1, 0, grid.shape[1] - 1))
    row = int(np.clip(np.searchsorted(grid.y_edges, place[1]) - 1, 0, grid.shape[0] - 1))
    time = float(run.fields["freezing_time"][row, column])
    return write_quantity(time, "time", run.units)
