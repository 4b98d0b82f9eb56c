"""Arrows of the velocity of flowing metal, few and evenly spread over a drawing."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.quiver import Quiver
from matplotlib.text import Text
from numpy.typing import NDArray

from solidsim.pictures.style import INK, PAPER, sheet_of
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

LONGEST, APART = 0.36, 0.3  # in, of the fastest metal's arrow and between two arrows
FASTEST = 98.0  # per cent of metal that is slower than the longest arrow's; jets have it too
SLOWEST = 0.12  # of the fastest: slower metal has no arrow
ROUND_SPEEDS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)  # m/s, of the arrow that tells the scale
LOOK: dict[str, Any] = {
    "units": "inches",
    "scale_units": "inches",
    "width": 0.016,
    "headwidth": 3.6,
    "headlength": 4.0,
    "headaxislength": 3.6,
    "minlength": 0.0,
    "color": INK,
    "animated": True,
}

Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Arrows:
    """Arrows on a drawing, at most one to a square of the sheet, and one that tells their scale.

    Parameters
    ----------
    quiver : Quiver
    scale : (Quiver, Text)
    cells, squares : ndarray of int
        Cells of the metal and the square that each lies in; those near the middle of their square
        first.
    places : ndarray, shape (nc, 2), [m]
        Middles of these cells.
    fastest : float, [m/s]
        What the longest arrow tells.
    """

    quiver: Quiver
    scale: tuple[Quiver, Text]
    cells: Indices
    squares: Indices
    places: NDArray[np.float64]
    fastest: float

    @property
    def artists(self) -> tuple[Quiver | Text, ...]:
        """What is drawn on every picture with flowing metal."""
        return (self.quiver, *self.scale)

    def set_velocity(self, along_x: NDArray[np.float16], along_y: NDArray[np.float16]) -> None:
        """Let the arrows follow the velocities (ny, nx), [m/s], zero where no metal is."""
        velocity = np.stack([q.ravel()[self.cells].astype(float) for q in (along_x, along_y)])
        speeds = np.hypot(*velocity)
        moving = np.flatnonzero(speeds >= SLOWEST * self.fastest)
        squares, first = np.unique(self.squares[moving], return_index=True)
        chosen = moving[first]
        u, v = np.ma.masked_all((2, self.quiver.N))
        u[squares], v[squares] = velocity[:, chosen] / np.maximum(speeds[chosen] / self.fastest, 1)
        offsets = np.zeros((self.quiver.N, 2))
        offsets[squares] = self.places[chosen]
        self.quiver.set_offsets(offsets)
        self.quiver.set_UVC(u, v)


def lay_arrows(axes: Axes, run: Run, words_at: tuple[float, float]) -> Arrows | None:
    """Make the arrows of a run; their scale stands at a place of the sheet, [in].

    None where no flow was kept.
    """
    flow = run.frames.flow
    if flow is None:
        return None
    speeds = np.hypot(flow.velocity_x.astype(np.float32), flow.velocity_y)
    moving = speeds[(flow.filled > 0.5) & (speeds > 0.0)]
    if not moving.size:
        return None
    fastest = float(np.percentile(moving, FASTEST))
    cells, squares, places = _squares(axes, run)
    still = np.zeros(squares.max() + 1)
    quiver = axes.quiver(
        still, still, still, still, scale=fastest / LONGEST, pivot="middle", edgecolor=PAPER,
        linewidth=0.5, zorder=6, **LOOK,
    )  # fmt: skip
    scale = _scale(axes, run, fastest, words_at)
    return Arrows(quiver, scale, cells, squares, places, fastest)


def _squares(axes: Axes, run: Run) -> tuple[Indices, Indices, NDArray[np.float64]]:
    """Metal cells, the squares of the sheet that they lie in, and their middles [m]."""
    grid, step = run.section.grid, APART * sheet_of(axes).dpi
    cells = np.flatnonzero(run.metal)
    j, i = np.divmod(cells, grid.x_centers.size)
    places = np.column_stack([grid.x_centers[i], grid.y_centers[j]])
    across, up = (axes.transData.transform(places) / step).T
    square = np.column_stack([np.floor(across), np.floor(up)])
    _, number = np.unique(square, axis=0, return_inverse=True)
    off = np.hypot(across - square[:, 0] - 0.5, up - square[:, 1] - 0.5)
    order = np.argsort(off, kind="stable")
    return cells[order], number.ravel()[order], places[order]


def _scale(axes: Axes, run: Run, fastest: float, place: tuple[float, float]) -> tuple[Quiver, Text]:
    """An arrow of a round speed and what it means."""
    figure = sheet_of(axes)
    speed = max((one for one in ROUND_SPEEDS if one <= fastest), default=fastest)
    length = speed / fastest * LONGEST
    arrow = axes.quiver(
        [place[0]], [place[1]], [length], [0.0], scale=1.0, transform=figure.dpi_scale_trans,
        clip_on=False, **LOOK,
    )  # fmt: skip
    text = figure.text(
        place[0] + length + 0.1, place[1], write_quantity(speed, "velocity", run.units),
        va="center", size=10, transform=figure.dpi_scale_trans, animated=True,
    )  # fmt: skip
    return arrow, text
