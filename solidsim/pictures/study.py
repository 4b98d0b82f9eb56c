"""Results of a study against its inputs: a small plot for every pair, a mark a run."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from solidsim.pictures.style import (
    FAINT,
    INK,
    VERDICTS,
    new_figure,
    save_figure,
    settings,
    write_title,
)
from solidsim.quantities import Units, display_unit, in_unit
from solidsim.results.tables import Column

WIDE, TALL = 3.1, 2.1  # in, of one plot
LEFT, RIGHT, BOTTOM, TOP, GAP = 1.15, 0.25, 0.65, 1.1, 0.3  # in
MARKS = {  # shape and face by verdict: told apart in black and white, too
    "holds": ("o", "#2d7f5e"),
    "close": ("D", "#c8c8c8"),
    "fails": ("x", INK),
    "note": (".", FAINT),
}


def draw_study(
    inputs: Sequence[Column],
    results: Sequence[Column],
    verdicts: Sequence[str],
    path: str | Path,
    *,
    title: str,
    units: Units,
) -> Path:
    """Draw each result in a row against each input in a column; a run without it is left out.

    Raises
    ------
    ResultsError
        If the picture cannot be written.
    """
    width = LEFT + RIGHT + len(inputs) * (WIDE + GAP) - GAP
    height = TOP + BOTTOM + len(results) * (TALL + GAP) - GAP
    with settings():
        figure = new_figure(max(width, 6.5), height)
        width = figure.get_figwidth()
        for row, result in enumerate(results):
            for column, one in enumerate(inputs):
                left = (LEFT + column * (WIDE + GAP)) / width
                low = 1 - (TOP + row * (TALL + GAP) + TALL) / height
                axes = figure.add_axes((left, low, WIDE / width, TALL / height))
                _draw_runs(axes, one, result, verdicts, units)
                _scale(axes, one, result, units)
                axes.tick_params(labelbottom=row == len(results) - 1, labelleft=column == 0)
                axes.set_xlabel(axes.get_xlabel() if row == len(results) - 1 else "")
                axes.set_ylabel(axes.get_ylabel() if column == 0 else "")
        write_title(figure, title, f"{len(verdicts)} runs, a mark each; its worst verdict:", LEFT)
        figure.legend(
            handles=_legend(verdicts), loc="upper left", ncols=4, frameon=False,
            bbox_to_anchor=(LEFT / width - 0.02, 1 - 0.6 / height), handletextpad=0.2,
        )  # fmt: skip
        return save_figure(figure, path)


def _draw_runs(
    axes: Axes, one: Column, result: Column, verdicts: Sequence[str], units: Units
) -> None:
    x, y = _heights(one, units), _heights(result, units)
    for verdict, (mark, face) in MARKS.items():
        own = np.array([verdict == word for word in verdicts]) & np.isfinite(y)
        axes.plot(x[own], y[own], mark, color=face, markeredgecolor=INK, markersize=5.5)
    room = 0.05 * (float(np.ptp(x)) or 1.0)
    axes.set_xlim(float(x.min()) - room, float(x.max()) + room)  # alike down a column
    axes.grid(color="#dddddd", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)


def _heights(column: Column, units: Units) -> np.ndarray:
    """Values in the units of the user; of words, their numbers."""
    if column.kind == "word":
        words = list(dict.fromkeys(column.values))
        return np.array([float(words.index(value)) for value in column.values])
    return in_unit(np.array(column.values, float), column.kind, _unit(column, units))


def _unit(column: Column, units: Units) -> str:
    numbers = np.array(column.values, float)
    largest = float(np.max(np.abs(numbers[np.isfinite(numbers)]), initial=0.0))
    return display_unit(column.kind, units, largest)


def _scale(axes: Axes, one: Column, result: Column, units: Units) -> None:
    for axis, column in ((axes.xaxis, one), (axes.yaxis, result)):
        words = column.name.replace("-", " ").replace(".", ": ", 1) if axis is axes.yaxis else ""
        words = words or column.name
        if column.kind == "word":
            names = [str(value) for value in dict.fromkeys(column.values)]
            axis.set_ticks(range(len(names)), labels=names)
            axis.set_label_text(words)
        else:
            unit = _unit(column, units)
            axis.set_label_text(f"{words}\n({unit})" if unit else words)


def _legend(verdicts: Sequence[str]) -> list[Line2D]:
    return [
        Line2D([], [], marker=mark, linestyle="", color=face, markeredgecolor=INK, markersize=6,
               label=VERDICTS[verdict])
        for verdict, (mark, face) in MARKS.items()
        if verdict in verdicts
    ]  # fmt: skip
