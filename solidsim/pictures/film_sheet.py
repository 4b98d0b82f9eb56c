"""The sheet of the film: what stands still is drawn once, clock and time bar on each picture."""

from collections.abc import Iterable
from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.text import Text
from numpy.typing import NDArray

from solidsim.pictures.film_arrows import Arrows, lay_arrows
from solidsim.pictures.labels import Name, place_names
from solidsim.pictures.mouth_marks import mark_mouths
from solidsim.pictures.outlines import close_up, fill_part, fill_unpoured, visible_shapes
from solidsim.pictures.scale import draw_center_line, draw_scale_bar, round_times
from solidsim.pictures.style import (
    INK,
    LATE_MAP,
    bare,
    canvas_of,
    fitting_size,
    new_figure,
    sheet_of,
    warmth_of_liquidus,
    write_title,
)
from solidsim.quantities import Units, write_quantity
from solidsim.results.run import Run
from solidsim.section.layout import METAL_ROLES

DOTS_PER_INCH = 100
WIDTH, LEFT, TOP, BOTTOM, PANEL = 9.6, 0.35, 0.8, 1.45, 1.95  # in
TALLEST = 4.95  # in, of the drawing: 960 x 720 px in all
CLOCK, BAR, BAR_HEIGHT = 0.72, 0.4, 0.14  # in, from the lower edge
SUBTITLE = "how hot the metal is until it begins to freeze, then how much of it is solid"
FILL_SHARE = 0.5  # of the film for the pour, where it is longer than its share of the time

Pixels = NDArray[np.uint8]
Array = NDArray[np.float64]


@dataclass(frozen=True)
class FilmSheet:
    """The sheet, its metal, and the words, the arrows and the bar that move."""

    axes: Axes
    metal: tuple[PathPatch, ...]
    bar: Rectangle
    clock: Text
    share: Text
    end: float
    units: Units
    poured: float = 0.0
    words: Text | None = None
    arrows: Arrows | None = None

    def draw_ground(self, metal: str) -> Pixels:
        """Draw all that stands still, with the metal in one color."""
        for patch in self.metal:
            patch.set_facecolor(metal)
        canvas_of(self.axes).draw()
        return self.pixels()

    def draw_moving(self, picture: Pixels, *, flowing: bool = False) -> Pixels:
        """Draw what moves, as it is set, on a picture; arrows only where metal is flowing."""
        np.asarray(canvas_of(self.axes).buffer_rgba())[:] = picture
        words = (self.words,) if self.words else ()
        arrows = self.arrows.artists if self.arrows and flowing else ()
        for artist in (self.clock, self.share, self.bar, *words, *arrows):
            sheet_of(self.axes).draw_artist(artist)
        return self.pixels()

    def set_clock(self, time: float, pouring: bool = False) -> None:
        """Set clock and bar to a time [s], while metal still comes or later."""
        tick = 0.1 if self.end < 60.0 or pouring else 1.0
        shown = write_quantity(round(time / tick) * tick, "time", self.units)
        self.clock.set_text(f"{shown} {'into' if pouring else 'after'} the pour")
        self.bar.set_width(bar_place(time, self.end, self.poured))

    def set_share(self, share: float, word: str = "solid") -> None:
        """Say which share [1] of the metal is solid, or what else it is."""
        self.share.set_text(f"{np.floor(100.0 * share + 1e-3):.0f} % {word}")

    def set_words(self, lines: Iterable[str]) -> None:
        """Say what is told beside the clock."""
        if self.words:
            self.words.set_text("\n".join(lines))

    def places_of(self, pixels: NDArray[np.intp]) -> tuple[Array, Array]:
        """Places [m] of the middles of pixels, counted row by row from the top."""
        height, width = self.pixels().shape[:2]
        rows, columns = np.divmod(pixels, width)
        middles = np.column_stack([columns + 0.5, height - rows - 0.5])
        x, y = self.axes.transData.inverted().transform(middles).T
        return x, y

    def pixels(self) -> Pixels:
        """What stands on the canvas."""
        return np.array(canvas_of(self.axes).buffer_rgba())


def lay_film_sheet(run: Run, end: float, poured: float = 0.0) -> FilmSheet:
    """Lay out the drawing, the scale of solid fraction, the clock and the time bar."""
    room = WIDTH - LEFT - PANEL
    bounds = close_up(run.section, room / TALLEST)
    across, tall = fitting_size(bounds, room, TALLEST)
    height = round((TOP + tall + BOTTOM) * DOTS_PER_INCH / 2) * 2 / DOTS_PER_INCH
    figure = new_figure(WIDTH, height, DOTS_PER_INCH)
    write_title(figure, run.title, SUBTITLE, LEFT)
    left = LEFT + (room - across) / 2
    place = (left / WIDTH, 1 - (TOP + tall) / height, across / WIDTH, tall / height)
    axes = bare(figure.add_axes(place))
    axes.set(xlim=bounds[::2], ylim=bounds[1::2])
    metal = draw_parts(axes, run)
    draw_scale_bar(axes, run.units, away=0.28)
    share = _draw_warmth_scale(figure, run)
    clock = figure.text(LEFT / WIDTH, CLOCK / height, "", size=15, weight="bold", animated=True)
    bar = draw_time_bar(figure, end, run.units, poured)
    right = WIDTH - 0.5
    words = figure.text(right / WIDTH, CLOCK / height, "", size=10, ha="right", animated=True)
    arrows = lay_arrows(axes, run, (WIDTH - PANEL + 0.25, BOTTOM + 0.2))
    return FilmSheet(axes, metal, bar, clock, share, end, run.units, poured, words, arrows)


def draw_parts(axes: Axes, run: Run) -> tuple[PathPatch, ...]:
    """Draw and name the parts; give the fills of the metal."""
    section, shapes = run.section, visible_shapes(run.section)
    fill_unpoured(axes, section, shapes)
    drawn = [
        fill_part(axes, part, shape, face=INK)
        for part, shape in zip(section.parts, shapes, strict=True)
        if part.role in METAL_ROLES
    ]
    if section.grid.view == "round":
        draw_center_line(axes)
    axes.figure.canvas.draw()
    inlets = run.fill.inlets if run.fill else ()
    ingates, taken = mark_mouths(axes, inlets)
    names = [
        Name(part.name, shape, inside=part.role not in METAL_ROLES)
        for part, shape in zip(section.parts, shapes, strict=True)
    ]
    place_names(axes, [*names, *ingates], shapes, taken)
    return tuple(patch for patch in drawn if patch)


def _draw_warmth_scale(figure: Figure, run: Run) -> Text:
    """Draw the scale of warmth, hottest on top; give the words that tell the share."""
    width, height = figure.get_size_inches()
    tall = min(2.6, height - TOP - BOTTOM - 0.4)
    place = (1 - (PANEL - 0.25) / width, 1 - (TOP + tall) / height, 0.25 / width, tall / height)
    scale = figure.add_axes(place)
    shades = matplotlib.colormaps[LATE_MAP](np.linspace(1.0, 0.0, 256))[:, None]
    scale.imshow(shades, aspect="auto", extent=(0.0, 1.0, 0.0, 1.0))
    ticks = _warmth_ticks(run)
    scale.set(xticks=[])
    scale.yaxis.tick_right()
    scale.set_yticks(list(ticks), labels=list(ticks.values()), size=10)
    return figure.text(
        place[0], place[1] - 0.38 / height, "", size=13, weight="bold", animated=True
    )


def _warmth_ticks(run: Run) -> dict[float, str]:
    """What is told on the scale of warmth."""
    alloy, units = run.alloy, run.units
    middle, cutoff = (
        warmth_of_liquidus(alloy.pour_temperature, alloy.liquidus),
        alloy.feeding_cutoff,
    )
    ticks = {0.0: "solid", middle: "liquid"}
    if middle < 1.0:
        ticks[1.0] = f"{write_quantity(alloy.pour_temperature, 'temperature', units)}:\nas poured"
        ticks[middle] = f"{write_quantity(alloy.liquidus, 'temperature', units)}:\nbegins to freeze"
    if 0.15 < cutoff < 0.85:
        said = write_quantity(cutoff, "fraction", units)
        ticks[middle * (1.0 - cutoff)] = f"{said} solid:\nfeeds no more"
    return ticks


def bar_place(time: float, end: float, poured: float) -> float:
    """Place of a time on the time bar, [1]; a pour is drawn out, as it is in the film."""
    if not is_drawn_out(end, poured):
        return time / end
    if time <= poured:
        return FILL_SHARE * time / poured
    return FILL_SHARE + (1.0 - FILL_SHARE) * (time - poured) / (end - poured)


def is_drawn_out(end: float, poured: float) -> bool:
    """Whether a pour is so short in a film [s] that it is shown more slowly."""
    return 0.0 < poured < FILL_SHARE * end


def draw_time_bar(figure: Figure, end: float, units: Units, poured: float = 0.0) -> Rectangle:
    """Draw the frame and ticks of the time bar; give the bar that grows in it."""
    width, height = figure.get_size_inches()
    place = (LEFT / width, BAR / height, 1 - (LEFT + 0.5) / width, BAR_HEIGHT / height)
    axes = figure.add_axes(place)
    ticks = [time for time in round_times(0.0, end, 8) if time <= end]
    if is_drawn_out(end, poured):
        ticks = [time for time in round_times(0.0, poured, 5) if time < 0.95 * poured]
        later = round_times(poured, end, 4)
        ticks += [time for time in later if poured + 0.1 * (end - poured) < time <= end]
        axes.axvline(FILL_SHARE, color=INK, linewidth=0.8)
    labels = [write_quantity(time, "time", units) for time in ticks]
    axes.set(xlim=(0.0, 1.0), ylim=(0.0, 1.0), yticks=[])
    axes.set_xticks([bar_place(time, end, poured) for time in ticks], labels=labels, size=10)
    bar = Rectangle((0.0, 0.0), 0.0, 1.0, facecolor="#4a4a4a", animated=True)
    axes.add_patch(bar)
    return bar
