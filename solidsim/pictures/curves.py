"""Cooling curves of the probes, beside the liquidus and the solidus."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from solidsim.errors import ResultsError
from solidsim.pictures.scale import round_times
from solidsim.pictures.style import (
    FAINT,
    INK,
    new_figure,
    save_figure,
    settings,
    write_title,
)
from solidsim.quantities import display_unit, in_unit, write_quantity
from solidsim.results.run import Run

SIZE = (9.6, 5.6)  # in
LEFT, RIGHT, BOTTOM, TOP = 0.85, 2.15, 0.65, 0.85  # in
STROKES = ("-", "--", "-.", ":")
COLORS = ("#0b3c6f", "#2d7f5e", "#7a4f9e", "#2f93b5")  # told apart by stroke in black and white
BETWEEN, SHORT = 0.55, 2.5  # in, and how many times longer the run is than what is drawn first
LABEL_HEIGHT = 0.21  # in
TIME_UNITS = (("h", 4 * 3600.0), ("min", 300.0), ("s", 0.0))  # from so long a time on

Array = NDArray[np.float64]
End = tuple[float, str, str]  # height in the axes, words and color of a label


def draw_curves(run: Run, path: str | Path) -> Path:
    """Draw temperature against time at the probes.

    Raises
    ------
    ResultsError
        If the run has no probes, or the picture cannot be written.
    """
    if not run.probes:
        raise ResultsError("no cooling curves: add a [[probe]] to the case and pour again")
    width, height = SIZE
    spans = _spans(run)
    with settings():
        figure = new_figure(width, height)
        pour = write_quantity(run.alloy.pour_temperature, "temperature", run.units)
        write_title(figure, run.title, f"cooling curves, poured at {pour}", LEFT)
        across = (width - LEFT - RIGHT + BETWEEN) / len(spans)
        for number, span in enumerate(spans):
            left, wide = LEFT + number * across, across - BETWEEN
            tall = height - BOTTOM - TOP
            place = (left / width, BOTTOM / height, wide / width, tall / height)
            axes = figure.add_axes(place)
            ends = [_draw_curve(axes, run, number) for number in range(len(run.probes))]
            ends += _draw_limits(axes, run)
            _scale_axes(axes, run, span)
        _label_ends(axes, ends)
        return save_figure(figure, path)


def _spans(run: Run) -> list[float]:
    """How much of the run to draw, [s]: all of it, and first the freezing where that is short."""
    end = max(float(probe.times[-1]) for probe in run.probes)
    frozen = run.fields.get("freezing_time", np.array([np.nan]))
    if not np.isfinite(frozen).any():
        return [end]
    first = round_times(0.0, 1.1 * float(np.nanmax(frozen)), 8)[-1]
    return [first, end] if end > SHORT * first else [end]


def _draw_curve(axes: Axes, run: Run, number: int) -> End:
    """Draw the curve of a probe; give the height, words and color of its label."""
    probe, unit = run.probes[number], display_unit("temperature", run.units)
    heights = in_unit(probe.temperatures, "temperature", unit)
    color, stroke = COLORS[number % len(COLORS)], STROKES[number % len(STROKES)]
    axes.plot(probe.times, heights, stroke, color=color, linewidth=1.8)
    last = write_quantity(float(probe.temperatures[-1]), "temperature", run.units)
    return float(heights[-1]), f"{probe.name}, {last}", color


def _draw_limits(axes: Axes, run: Run) -> list[End]:
    ends, unit = [], display_unit("temperature", run.units)
    for word, temperature in (("liquidus", run.alloy.liquidus), ("solidus", run.alloy.solidus)):
        if np.isfinite(temperature):
            height = float(in_unit(temperature, "temperature", unit))
            axes.axhline(height, color=FAINT, linewidth=1.0, zorder=1)
            text = f"{word} {write_quantity(temperature, 'temperature', run.units)}"
            ends.append((height, text, INK))
    return ends


def _scale_axes(axes: Axes, run: Run, end: float) -> None:
    unit = next(name for name, least in TIME_UNITS if end >= least)
    ticks = [time for time in round_times(0.0, end, 8) if time <= end]
    axes.set_xlim(0.0, end)
    axes.set_xticks(ticks, labels=[f"{in_unit(time, 'time', unit):g}" for time in ticks])
    axes.set_xlabel(f"time after the pour ({unit})")
    if len(axes.figure.axes) == 1:
        axes.set_ylabel(f"temperature ({display_unit('temperature', run.units)})")
    axes.grid(color="#dddddd", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)


def _label_ends(axes: Axes, ends: Sequence[End]) -> None:
    """Write labels to the right of where lines end, pushed apart, with a leader to each line."""
    dots = axes.figure.dpi
    lines = np.array([axes.transData.transform((0.0, height))[1] for height, *_ in ends])
    places = spaced(lines, LABEL_HEIGHT * dots)
    right = axes.bbox.x1
    for (_, text, color), line, place in zip(ends, lines, places, strict=True):
        axes.annotate(
            text, (right, line), (right + 0.3 * dots, place), va="center", color=color,
            xycoords="figure pixels", textcoords="figure pixels", annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": color, "linewidth": 0.8, "shrinkA": 1,
                        "shrinkB": 1},
        )  # fmt: skip


def spaced(places: Array, least: float) -> Array:
    """Places moved as little as need be to stand at least so far apart, in their order."""
    order = np.argsort(places, kind="stable")
    steps = least * np.arange(places.size)
    wanted = places[order] - steps
    blocks: list[list[float]] = []  # pool neighbors until their means rise
    for place in wanted:
        blocks.append([float(place)])
        while len(blocks) > 1 and np.mean(blocks[-2]) >= np.mean(blocks[-1]):
            blocks[-2:] = [blocks[-2] + blocks[-1]]
    level = np.concatenate([np.full(len(block), np.mean(block)) for block in blocks])
    moved = np.empty_like(places)
    moved[order] = level + steps
    return moved
