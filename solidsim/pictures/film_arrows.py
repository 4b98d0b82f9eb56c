"""Arrows of the velocity of flowing metal, few and evenly spread over a drawing."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.quiver import Quiver
from matplotlib.text import Text
from numpy.typing import NDArray

from solidsim.pictures.style import INK, PAPER, sheet_of
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

LONGEST, APART = 0.5, 0.27  # in, of the fastest metal's arrow and between two arrows
FASTEST = 98.0  # per cent of metal that is slower than the longest arrow's
SLOWEST = 0.12  # of the fastest: slower metal has no arrow
ROUND_SPEEDS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)  # m/s, of the arrow that tells the scale


@dataclass(frozen=True)
class Arrows:
    """Arrows on a drawing, the cells they stand in, and the one that tells their scale."""

    quiver: Quiver
    scale: tuple[Quiver, Text]
    cells: NDArray[np.intp]
    slowest: float

    @property
    def artists(self) -> tuple[Quiver | Text, ...]:
        """What is drawn on every picture with flowing metal."""
        return (self.quiver, *self.scale)

    def set_velocity(self, along_x: NDArray[np.float16], along_y: NDArray[np.float16]) -> None:
        """Let the arrows follow the velocities (ny, nx), [m/s], zero where no metal is."""
        u, v = (q.ravel()[self.cells].astype(float) for q in (along_x, along_y))
        slow = np.hypot(u, v) < self.slowest
        self.quiver.set_UVC(np.ma.array(u, mask=slow), np.ma.array(v, mask=slow))


def lay_arrows(axes: Axes, run: Run, words_at: tuple[float, float]) -> Arrows | None:
    """Spread arrows over the metal of a run; their scale stands at a place of the sheet, [in].

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
    x, y, cells = _places(axes, run)
    still = np.zeros(x.size)
    quiver = axes.quiver(
        x, y, still, still, scale=fastest / LONGEST, scale_units="inches", units="inches",
        width=0.016, headwidth=3.6, headlength=4.0, headaxislength=3.6, pivot="middle",
        minlength=0.0, color=INK, edgecolor=PAPER, linewidth=0.5, zorder=6, animated=True,
    )  # fmt: skip
    return Arrows(quiver, _scale(axes, run, fastest, words_at), cells, SLOWEST * fastest)


def _places(
    axes: Axes, run: Run
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.intp]]:
    """Places [m] on a lattice of the sheet that lie in metal, and their cells."""
    box, step = axes.bbox, APART * sheet_of(axes).dpi
    across, up = np.meshgrid(
        np.arange(box.x0 + step / 2, box.x1, step), np.arange(box.y0 + step / 2, box.y1, step)
    )
    across[1::2] += step / 2
    lattice = np.column_stack([across.ravel(), up.ravel()])
    x, y = axes.transData.inverted().transform(lattice).T
    grid = run.section.grid
    i = np.clip(np.searchsorted(grid.x_edges, x) - 1, 0, grid.x_centers.size - 1)
    j = np.clip(np.searchsorted(grid.y_edges, y) - 1, 0, grid.y_centers.size - 1)
    own = run.metal[j, i]
    return x[own], y[own], (j * grid.x_centers.size + i)[own]


def _scale(axes: Axes, run: Run, fastest: float, place: tuple[float, float]) -> tuple[Quiver, Text]:
    """An arrow of a round speed and what it means."""
    figure = sheet_of(axes)
    speed = max((one for one in ROUND_SPEEDS if one <= fastest), default=fastest)
    length = speed / fastest * LONGEST
    arrow = axes.quiver(
        [place[0]], [place[1]], [length], [0.0], scale=1.0, scale_units="inches", units="inches",
        width=0.016, headwidth=3.6, headlength=4.0, headaxislength=3.6, minlength=0.0,
        color=INK, transform=figure.dpi_scale_trans, clip_on=False, animated=True,
    )  # fmt: skip
    text = figure.text(
        place[0] + length + 0.1, place[1], write_quantity(speed, "velocity", run.units),
        va="center", size=10, transform=figure.dpi_scale_trans, animated=True,
    )  # fmt: skip
    return arrow, text
