"""The film of the freeze: solid fraction over the metal with a clock, a time bar and the names."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import matplotlib
import numpy as np
from numpy.typing import NDArray

from solidsim.errors import ResultsError
from solidsim.pictures.encoding import write_frames
from solidsim.pictures.film_sheet import FilmSheet, Pixels, lay_film_sheet
from solidsim.pictures.style import LATE_MAP, PAPER, settings
from solidsim.results.run import Run

FRAMES_PER_SECOND = 15
HOLD = 0.06  # share of the film that stands still at its end
SOLID = 0.999  # solid fraction that counts as all solid
FILL_SHARE = 0.4  # of the film for the pour, where it is longer than its share of the time

EMPTY = np.array([255, 255, 255, 0], np.uint16)  # color of a cavity before its metal comes

Array = NDArray[np.float64]
Progress = Callable[[float, float, str], None]


@dataclass(frozen=True)
class Film:
    """A film as written, with what to tell the user when it could not be an MP4."""

    path: Path
    frames: int
    seconds: float
    warning: str | None = None

    def __str__(self) -> str:
        """Path of the file."""
        return str(self.path)


def make_film(
    run: Run, path: str | Path, *, seconds: float = 8.0, progress: Progress | None = None
) -> Film:
    """Write the film of a run, from the pour until all metal is solid.

    Parameters
    ----------
    path : str or Path
        ``.mp4``, ``.webp`` or ``.gif``; without an encoder for MP4 the film is a WebP.
    seconds : float, [s]
        How long the film plays.
    progress : callable, optional
        Takes the time in the run [s], the share done [1] and what goes on.

    Raises
    ------
    ResultsError
        If the run has fewer than two frames, or the film cannot be written.
    """
    if run.frames.times.size < 2:
        raise ResultsError("no film: the run has fewer than two frames")
    count = max(2, round(seconds * FRAMES_PER_SECOND))
    clock = film_clock(run, count)
    pictures = counted(film_pictures(run, clock), clock, progress)
    written, warning = write_frames(pictures, Path(path), FRAMES_PER_SECOND)
    return Film(written, count, count / FRAMES_PER_SECOND, warning)


def film_clock(run: Run, count: int) -> Array:
    """Times in the run of so many pictures [s]: the pour slowly, then the freeze, then a hold."""
    end = end_of_film(run)
    even = np.minimum(np.linspace(0.0, end / (1.0 - HOLD), count), end)
    poured = run.fill.fill_time if run.fill else 0.0
    if poured <= 0.0 or poured >= FILL_SHARE * end:
        return even
    first = round(FILL_SHARE * count)
    rest = np.linspace(poured, poured + (end - poured) / (1.0 - HOLD), count - first)
    return np.concatenate([np.linspace(0.0, poured, first, endpoint=False), np.minimum(rest, end)])


def end_of_film(run: Run) -> float:
    """Time of the first frame with all metal solid, or else of the last one, [s]."""
    come = run.metal & np.isfinite(run.frames.solid_fraction[-1])
    least = np.nan_to_num(run.frames.solid_fraction[:, come]).min(axis=1, initial=1.0)
    solid = np.flatnonzero(least >= SOLID)
    return float(run.frames.times[solid[0] if solid.size else -1])


def film_pictures(run: Run, clock: Array) -> Iterator[Pixels]:
    """Pictures of a run at the times of a clock [s], each of shape (height, width, 4).

    All that stands still is drawn twice before the first picture, with the metal in white and in
    black: the difference is the share of metal in each pixel, with the names and outlines on it
    and its smooth edges taken off. Each picture then adds the colors of the metal to the black.
    """
    volumes = run.section.grid.cell_volumes(run.section.depth)
    volumes = (np.where(run.metal, volumes, 0.0) / volumes[run.metal].sum()).ravel()
    with settings():
        sheet = lay_film_sheet(run, float(clock[-1]))
        white, black = sheet.draw_ground(PAPER), sheet.draw_ground("#000000")
        difference = (white.astype(np.uint16) - black)[..., 0].ravel()
        pixels = np.flatnonzero(difference)
        share = np.ceil(difference[pixels, None] * (256 / 255)).astype(np.uint16)
        ground = black.reshape(-1, 4)[pixels]
        cells, weights = neighbors(run, sheet, pixels)
        colors = metal_colors()
        for time in clock:
            solid, come = solid_fraction_at(run, time), _come_at(run, time)
            told = (float((solid * volumes).sum()), float((come * volumes).sum()))
            picture = sheet.draw_clock(black, time, *told)
            local = (solid[cells] * weights).sum(axis=0)
            shade = colors[(np.clip(local, 0.0, 1.0) * 255.0 + 0.5).astype(np.uint8)]
            if told[1] < 1.0:
                shade[(come[cells] * weights).sum(axis=0) < 0.5] = EMPTY
            painted = ground + ((shade * share) >> 8).astype(np.uint8)
            picture.view(np.uint32).ravel()[pixels] = painted.view(np.uint32)[:, 0]
            yield picture


def solid_fraction_at(run: Run, time: float) -> NDArray[np.float32]:
    """Solid fraction of all cells at a time, linear between the frames."""
    times, frames = run.frames.times, run.frames.solid_fraction
    after = int(np.clip(np.searchsorted(times, time), 1, times.size - 1))
    share = (time - times[after - 1]) / (times[after] - times[after - 1])
    share = np.float32(np.clip(share, 0.0, 1.0))
    before, later = frames[after - 1], frames[after]
    if run.fill:  # what has just come starts as it was seen first
        later = np.nan_to_num(later)
        before = np.where(np.isnan(before), later, before)
    return (before * (1 - share) + later * share).ravel()


def _come_at(run: Run, time: float) -> NDArray[np.float32]:
    """One for all cells whose metal has come by a time, else zero, [1]."""
    if run.fill is None or "fill_time" not in run.fields:
        return np.ones(run.metal.size, np.float32)
    return (run.fields["fill_time"] <= time).astype(np.float32).ravel()


def metal_colors() -> NDArray[np.uint16]:
    """Colors of 256 solid fractions without opacity: liquid bright, solid dark, shape (256, 4)."""
    shades = matplotlib.colormaps[LATE_MAP](np.linspace(1.0, 0.0, 256))
    shades[:, 3] = 0.0
    return np.round(shades * 255.0).astype(np.uint16)


def neighbors(
    run: Run, sheet: FilmSheet, pixels: NDArray[np.intp]
) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
    """Four cells around each pixel and their weights, shape (4, n): bilinear within the metal.

    A pixel that has no metal cell around it takes the nearest one.
    """
    x, y = sheet.places_of(pixels)
    grid = run.section.grid
    columns, right = _between(grid.x_centers, x)
    rows, up = _between(grid.y_centers, y)
    nx = grid.shape[1]
    cells = np.stack([(rows + j) * nx + columns + i for j in (0, 1) for i in (0, 1)])
    sides = ((1 - up) * (1 - right), (1 - up) * right, up * (1 - right), up * right)
    weights = np.stack(sides) * run.metal.ravel()[cells]
    lost = np.flatnonzero(weights.sum(axis=0) < 1e-6)
    if lost.size:
        cells[0, lost] = _nearest_metal(run, x[lost], y[lost])
        weights[0, lost] = 1.0
    return cells, (weights / weights.sum(axis=0)).astype(np.float32)


def _between(centers: Array, places: Array) -> tuple[NDArray[np.intp], Array]:
    """Index of the center at or below each place, and how far it is on to the next one, [1]."""
    index = np.clip(np.searchsorted(centers, places) - 1, 0, centers.size - 2)
    share = (places - centers[index]) / (centers[index + 1] - centers[index])
    return index, np.clip(share, 0.0, 1.0)


def _nearest_metal(run: Run, x: Array, y: Array) -> NDArray[np.intp]:
    metal = np.flatnonzero(run.metal)
    rows, columns = np.divmod(metal, run.section.grid.shape[1])
    at_x, at_y = run.section.grid.x_centers[columns], run.section.grid.y_centers[rows]
    nearest = [
        np.argmin((at_x - one_x) ** 2 + (at_y - one_y) ** 2)
        for one_x, one_y in zip(x, y, strict=True)
    ]
    return metal[nearest]


def counted(
    pictures: Iterator[Pixels], clock: Array, progress: Progress | None
) -> Iterator[Pixels]:
    """Pass pictures on and tell how many of the clock's have been."""
    for number, picture in enumerate(pictures, start=1):
        yield picture
        if progress:
            progress(float(clock[number - 1]), number / clock.size, "film")
