"""The film of a run: metal comes, cools and freezes, with a clock, a time bar and the names."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from solidsim.errors import ResultsError
from solidsim.pictures.encoding import write_frames
from solidsim.pictures.film_metal import FilmMetal, Moment
from solidsim.pictures.film_sheet import FILL_SHARE, Pixels, is_drawn_out, lay_film_sheet
from solidsim.pictures.style import settings
from solidsim.quantities import write_quantity
from solidsim.results.run import Run

FRAMES_PER_SECOND = 15
HOLD = 0.06  # share of the film that stands still at its end
SOLID = 0.999  # solid fraction that counts as all solid

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
    clock = film_clock(end_of_film(run), end_of_pour(run), count)
    pictures = counted(film_pictures(run, clock), clock, progress)
    written, warning = write_frames(pictures, Path(path), FRAMES_PER_SECOND)
    return Film(written, count, count / FRAMES_PER_SECOND, warning)


def film_clock(end: float, poured: float, count: int) -> Array:
    """Times in a run of so many pictures [s]: the pour slowly, then the freeze, then a hold."""
    even = np.minimum(np.linspace(0.0, end / (1.0 - HOLD), count), end)
    if not is_drawn_out(end, poured):
        return even
    first = round(FILL_SHARE * count)
    rest = np.linspace(poured, poured + (end - poured) / (1.0 - HOLD), count - first)
    return np.concatenate([np.linspace(0.0, poured, first, endpoint=False), np.minimum(rest, end)])


def end_of_pour(run: Run) -> float:
    """When no more metal comes [s]; zero for metal that is there at once."""
    flow = run.frames.flow
    if flow is not None and len(flow.filled):
        return float(run.frames.times[len(flow.filled) - 1])
    return run.fill.fill_time if run.fill else 0.0


def end_of_film(run: Run) -> float:
    """Time of the first frame with all metal solid, or else of the last one, [s]."""
    come = run.metal & np.isfinite(run.frames.solid_fraction[-1])
    least = np.nan_to_num(run.frames.solid_fraction[:, come]).min(axis=1, initial=1.0)
    solid = np.flatnonzero(least >= SOLID)
    return float(run.frames.times[solid[0] if solid.size else -1])


def film_pictures(run: Run, clock: Array) -> Iterator[Pixels]:
    """Pictures of a run at the times of a clock [s], each of shape (height, width, 4)."""
    poured = end_of_pour(run)
    with settings():
        sheet = lay_film_sheet(run, float(clock[-1]), poured)
        metal = FilmMetal(run, sheet)
        for time in clock:
            moment, pouring = metal.at(time), time < poured
            picture = metal.ground.copy()
            metal.paint(picture, moment)
            sheet.set_clock(time, pouring)
            sheet.set_share(*told_share(moment, pouring))
            sheet.set_words(_words(run, time, moment, pouring))
            if sheet.arrows and moment.velocity is not None:
                sheet.arrows.set_velocity(*moment.velocity)
            yield sheet.draw_moving(picture, flowing=pouring and moment.velocity is not None)


def told_share(moment: Moment, pouring: bool) -> tuple[float, str]:
    """Which share of the metal has come, while it comes, or is solid."""
    return (moment.filled_share, "filled") if pouring else (moment.solid_share, "solid")


def _words(run: Run, time: float, moment: Moment, pouring: bool) -> Iterator[str]:
    """What is told beside the clock: speeds in the gates and air shut in, then what stays empty."""
    fill = run.fill
    if fill is None:
        return
    if not pouring:
        if not fill.full:
            empty = write_quantity(1.0 - fill.filled / fill.volume, "fraction", run.units)
            yield f"{empty} of the metal's room stays empty"
        return
    if moment.air > 0.0:
        yield f"{write_quantity(moment.air, 'volume', run.units)} of air shut in, outlined"
    if not np.isfinite(fill.areas).all():
        return
    now = min(int(np.searchsorted(fill.times, time, "right")), fill.times.size) - 1
    speeds = np.abs(fill.flows[max(now, 0)]) / fill.areas
    yield ", ".join(
        f"{name} {write_quantity(speed, 'velocity', run.units)}"
        for name, speed in zip(fill.mouths, speeds.tolist(), strict=True)
    )


def counted(
    pictures: Iterator[Pixels], clock: Array, progress: Progress | None
) -> Iterator[Pixels]:
    """Pass pictures on and tell how many of the clock's have been."""
    for number, picture in enumerate(pictures, start=1):
        yield picture
        if progress:
            progress(float(clock[number - 1]), number / clock.size, "film")
