"""The metal of a film: how hot and how full it is at any time, painted pixel by pixel.

Metal has one scale of color, its *warmth*: from solid through freezing up to as hot as poured.
"""

from dataclasses import dataclass

import matplotlib
import numpy as np
import scipy
import shapely
from numpy.typing import NDArray

from solidsim.fill.closed_air import open_cells
from solidsim.pictures.film_sheet import FilmSheet, Pixels
from solidsim.pictures.style import INK, LATE_MAP, PAPER, warmth_of_liquidus
from solidsim.results.run import Run

EMPTY = np.array([255, 255, 255, 0], np.uint16)  # color of a cavity before its metal comes
AIR = np.array([214, 214, 214, 0], np.uint16)  # of air that is shut in
RIM = 2  # px, around such air
SURFACE = 0.5  # share of metal at the drawn surface

Array = NDArray[np.float64]
Shares = NDArray[np.float32]
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Moment:
    """The metal at one time, cell by cell, shape (n,).

    Parameters
    ----------
    warmth : ndarray
        0 solid, 1 as poured; NaN where no metal is.
    filled : ndarray
        Share of the cell that metal fills.
    shut_in : ndarray of bool
        Air that no way leads out of.
    solid_share, filled_share : float
        Of all metal.
    air : float, [m3]
        That is shut in.
    velocity : (ndarray, ndarray) or None, shape (ny, nx), [m/s]
    """

    warmth: Shares
    filled: Shares
    shut_in: NDArray[np.bool_]
    solid_share: float
    filled_share: float
    air: float = 0.0
    velocity: tuple[NDArray[np.float16], NDArray[np.float16]] | None = None


class FilmMetal:
    """The metal cells of a run and the pixels that they color on a sheet.

    All that stands still is drawn twice, with the metal in white and in black: the difference is
    the share of metal in each pixel, with the names and outlines on it and its smooth edges taken
    off. A picture adds the colors of the metal to the black.
    """

    def __init__(self, run: Run, sheet: FilmSheet):
        self.run, self.cells = run, np.flatnonzero(run.metal)
        white, self.ground = sheet.draw_ground(PAPER), sheet.draw_ground("#000000")
        difference = (white.astype(np.uint16) - self.ground)[..., 0].ravel()
        self.pixels = np.flatnonzero(difference)
        self._share = np.ceil(difference[self.pixels, None] * (256 / 255)).astype(np.uint16)
        self._black = self.ground.reshape(-1, 4)[self.pixels]
        self._around, self._weights = _neighbors(run, *sheet.places_of(self.pixels))
        self._colors = _warmth_colors()
        volumes = run.section.volumes.ravel()[self.cells]
        self._volumes, self._all = volumes, float(volumes.sum())
        self._solid = self._of_metal(run.frames.solid_fraction).astype(np.float32)
        self._warmth = _warmth(run, self._of_metal(run.frames.temperature), self._solid)
        self._open = open_cells(run.section)

    def at(self, time: float) -> Moment:
        """The metal at a time [s]: as flow left it last, else between two frames."""
        times, flow = self.run.frames.times, self.run.frames.flow
        if flow is not None and len(flow.filled) and time <= times[len(flow.filled) - 1]:
            number = max(int(np.searchsorted(times, time, "right")) - 1, 0)
            filled = self._of_metal(flow.filled[number]).astype(np.float32)
            warmth, solid = self._warmth[number], self._solid[number]
            velocity = (flow.velocity_x[number], flow.velocity_y[number])
        else:
            warmth, solid = (_between(times, rows, time) for rows in (self._warmth, self._solid))
            filled, velocity = self._come(time, warmth), None
        there = filled * self._volumes
        come = float(there.sum())
        closed = self._shut_in(filled)
        return Moment(
            warmth,
            filled,
            closed,
            float((np.nan_to_num(solid) * there).sum()) / max(come, 1e-9 * self._all),
            come / self._all,
            float(((1.0 - filled) * self._volumes)[closed].sum()),
            velocity,
        )

    def paint(self, picture: Pixels, moment: Moment) -> None:
        """Add the colors of the metal to a picture, and outline the air that is shut in."""
        weights, around = self._weights, self._around
        warmth = moment.warmth
        if moment.filled_share < 1.0:
            weights = weights * np.isfinite(warmth)[around]
            warmth = np.nan_to_num(warmth)
        local = (warmth[around] * weights).sum(axis=0)
        if moment.filled_share < 1.0:
            local /= np.maximum(weights.sum(axis=0), 1e-6)
        shade = self._colors[(np.clip(local, 0.0, 1.0) * 255.0 + 0.5).astype(np.uint8)]
        if moment.filled_share < 1.0:
            empty = (moment.filled[around] * self._weights).sum(axis=0) < SURFACE
            shade[empty | (weights.sum(axis=0) <= 0.0)] = EMPTY
            if moment.shut_in.any():
                self._mark_air(shade, empty, moment.shut_in, picture.shape[:2])
        painted = self._black + ((shade * self._share) >> 8).astype(np.uint8)
        picture.view(np.uint32).ravel()[self.pixels] = painted.view(np.uint32)[:, 0]

    def _mark_air(
        self,
        shade: NDArray[np.uint16],
        empty: NDArray[np.bool_],
        shut_in: NDArray[np.bool_],
        shape: tuple[int, ...],
    ) -> None:
        """Color the pixels of shut-in air and the rim around them."""
        own = empty & ((shut_in[self._around] * self._weights).max(axis=0) > 0.0)
        whole = np.zeros(shape, bool)
        whole.flat[self.pixels[own]] = True
        inner = scipy.ndimage.binary_erosion(whole, iterations=RIM).ravel()[self.pixels]
        shade[own] = np.append(np.round(np.array(matplotlib.colors.to_rgb(INK)) * 255), 0)
        shade[own & inner] = AIR

    def _of_metal(self, field: NDArray) -> NDArray:
        """A field (..., ny, nx) at the metal cells, (..., n)."""
        return field.reshape(*field.shape[:-2], -1)[..., self.cells]

    def _come(self, time: float, warmth: Shares) -> Shares:
        """One for all cells whose metal has come by a time, else zero."""
        if "fill_time" in self.run.fields:
            return (self._of_metal(self.run.fields["fill_time"]) <= time).astype(np.float32)
        return np.isfinite(warmth).astype(np.float32)

    def _shut_in(self, filled: Shares) -> NDArray[np.bool_]:
        """Air with no way to an opening; none where the section shows no opening."""
        if self.run.fill is None or not self._open.any():
            return np.zeros(filled.size, bool)
        air = np.zeros(self.run.metal.shape, bool)
        air.flat[self.cells] = filled < SURFACE
        pieces, count = scipy.ndimage.label(air)
        leads_out = np.zeros(count + 1, bool)
        leads_out[pieces[self._open]] = True
        leads_out[0] = True
        return ~leads_out[pieces.ravel()[self.cells]]


def _warmth(run: Run, temperature: NDArray[np.float32], solid: NDArray[np.float32]) -> Shares:
    """0 solid, the liquidus somewhat above the middle, 1 as hot as poured."""
    liquidus, pour = run.alloy.liquidus, run.alloy.pour_temperature
    middle = warmth_of_liquidus(pour, liquidus)
    above = np.clip((temperature - liquidus) / max(pour - liquidus, 1e-3), 0.0, 1.0)
    return (middle * (1.0 - solid) + (1.0 - middle) * above).astype(np.float32)


def _warmth_colors() -> NDArray[np.uint16]:
    """Colors of 256 steps of warmth without opacity: hot bright, solid dark, shape (256, 4)."""
    shades = matplotlib.colormaps[LATE_MAP](np.linspace(0.0, 1.0, 256))
    shades[:, 3] = 0.0
    return np.round(shades * 255.0).astype(np.uint16)


def _between(times: Array, rows: Shares, time: float) -> Shares:
    """What the frames say at a time, linear between them; metal that just came as seen first."""
    after = int(np.clip(np.searchsorted(times, time), 1, times.size - 1))
    share = (time - times[after - 1]) / (times[after] - times[after - 1])
    share = np.float32(np.clip(share, 0.0, 1.0))
    before, later = rows[after - 1], rows[after]
    before = np.where(np.isnan(before), later, before)
    return before * (1 - share) + later * share


def _neighbors(run: Run, x: Array, y: Array) -> tuple[Indices, Shares]:
    """Four metal cells around each place and their weights, shape (4, np): bilinear.

    A place that has no metal cell around it takes the nearest one.
    """
    grid, metal = run.section.grid, run.metal
    columns, right = _place_between(grid.x_centers, x)
    rows, up = _place_between(grid.y_centers, y)
    nx = grid.shape[1]
    cells = np.stack([(rows + j) * nx + columns + i for j in (0, 1) for i in (0, 1)])
    sides = ((1 - up) * (1 - right), (1 - up) * right, up * (1 - right), up * right)
    weights = np.stack(sides) * metal.ravel()[cells]
    number = np.cumsum(metal.ravel()) - 1  # among the metal cells
    around = np.where(metal.ravel()[cells], number[cells], 0)
    lost = np.flatnonzero(weights.sum(axis=0) < 1e-6)
    if lost.size:
        j, i = np.nonzero(metal)
        middles = shapely.STRtree(shapely.points(grid.x_centers[i], grid.y_centers[j]))
        around[0, lost] = middles.nearest(shapely.points(x[lost], y[lost]))
        weights[0, lost] = 1.0
    return around, (weights / weights.sum(axis=0)).astype(np.float32)


def _place_between(centers: Array, places: Array) -> tuple[Indices, Array]:
    """Index of the center at or below each place, and how far it is on to the next one, [1]."""
    index = np.clip(np.searchsorted(centers, places) - 1, 0, centers.size - 2)
    share = (places - centers[index]) / (centers[index + 1] - centers[index])
    return index, np.clip(share, 0.0, 1.0)
