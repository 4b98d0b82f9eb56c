"""Several sections on one sheet: all framed alike, so that lengths are at one scale."""

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from solidsim.pictures.outlines import Bounds, close_up
from solidsim.pictures.style import bare, fitting_size, new_figure, write_title
from solidsim.results.run import Run

HEADING, GAP = 0.62, 0.3  # in, above each section and between two
SHEET = 1.5  # width over height that a sheet of panels comes near to


@dataclass(frozen=True)
class Panels:
    """A sheet and the drawing of each run on it; ``left`` is the margin, [in]."""

    figure: Figure
    axes: tuple[Axes, ...]
    left: float


@dataclass(frozen=True)
class Margins:
    """Room around all panels, [in]."""

    left: float
    right: float
    top: float
    bottom: float


def lay_panels(
    runs: Sequence[Run], headings: Sequence[str], titles: tuple[str, str], around: Margins,
    room: tuple[float, float], dots_per_inch: int = 150,
) -> Panels:  # fmt: skip
    """Lay out a panel a run with its heading, in rows, within so much room, [in]."""
    frame = common_frame(runs)
    columns = best_columns(len(runs), (frame[2] - frame[0]) / (frame[3] - frame[1]))
    rows = math.ceil(len(runs) / columns)
    across = (room[0] - (columns - 1) * GAP) / columns
    across, tall = fitting_size(frame, across, (room[1] - rows * (HEADING + GAP)) / rows)
    width = around.left + columns * (across + GAP) - GAP + around.right
    height = around.top + rows * (HEADING + tall + GAP) + around.bottom
    width, height = (
        round(side * dots_per_inch / 2) * 2 / dots_per_inch for side in (width, height)
    )
    figure = new_figure(width, height, dots_per_inch)
    write_title(figure, *titles, around.left)
    axes = []
    for number, heading in enumerate(headings):
        row, column = divmod(number, columns)
        left = around.left + column * (across + GAP)
        top = around.top + row * (HEADING + tall + GAP)
        words = textwrap.fill(heading, max(int(across * 10), 16), max_lines=2, placeholder=" ...")
        figure.text(left / width, 1 - (top + HEADING - 0.08) / height, words, va="bottom",
                    weight="bold", size=11)  # fmt: skip
        low = 1 - (top + HEADING + tall) / height
        one = bare(figure.add_axes((left / width, low, across / width, tall / height)))
        one.set(xlim=frame[::2], ylim=frame[1::2])
        axes.append(one)
    return Panels(figure, tuple(axes), around.left)


def common_frame(runs: Sequence[Run]) -> Bounds:
    """The view that takes in the parts of every run, [m]."""
    views = [close_up(run.section, 0.0) for run in runs]
    low, high = zip(*((view[:2], view[2:]) for view in views), strict=True)
    (left, bottom), (right, top) = (
        map(min, zip(*low, strict=True)),
        map(max, zip(*high, strict=True)),
    )
    return left, bottom, right, top


def best_columns(count: int, aspect: float) -> int:
    """How many columns bring the sheet nearest to its usual shape."""

    def strangeness(columns: int) -> float:
        rows = math.ceil(count / columns)
        return abs(math.log(columns * aspect / rows / SHEET))

    return min(range(1, count + 1), key=strangeness)
