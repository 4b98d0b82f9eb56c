"""A bottom-gated plate of aluminum as it fills, beside what was published of an experiment.

The experiment: Sirrell, Holliday & Campbell 1995 (MCWASP VII; JOM 1996), X-ray pictures of a plate
of about 200 x 100 x 10 mm, known here in words alone. Run with ``python
benchmarks/bottom_gated_plate.py`` from the top of the project: it pours the cases in
``bottom_gated_plate/``, prints their tables, and writes ``bottom_gated_plate.png`` and ``.md``
beside itself. With ``--quick`` only the tables, on coarser cells.
"""

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.ndimage import label

from solidsim import build_model, read_case, simulate
from solidsim.pictures.outlines import fill_part, fill_unpoured, visible_shapes
from solidsim.pictures.scale import draw_scale_bar
from solidsim.pictures.style import (
    LATE_MAP,
    PAPER,
    bare,
    new_figure,
    save_figure,
    settings,
    write_title,
)
from solidsim.quantities import ZERO_CELSIUS
from solidsim.results.run import Run
from solidsim.studies.confirming import with_cell

HERE = Path(__file__).parent
SHOWN = (0.24, 0.5, 0.74, 1.0, 1.25, 1.5, 1.75, 2.0)  # s; the span of the published pictures
END = 2.0  # s; when the published plate is full and flat
FIRST_JET = 0.45  # s; by then the first jet has turned
CELLS = (0.001, 0.002, 0.004)  # m; the first one is shown
FULL = 0.995  # of the plate; drops and bubbles aside
TITLES = {"long_edge": "long edge down", "short_edge": "short edge down",
          "no_runner": "long edge, metal wells up in the gate",
          "wide_foot": "long edge, sprue's foot 0.8 cm²"}  # fmt: skip
VIEWS = {"long_edge": (-0.15, 0.11, -0.038, 0.11), "short_edge": (-0.068, 0.058, -0.038, 0.21)}  # m
BESIDE = ("wide_foot", "no_runner")
INCH = 9.8  # in of the sheet for a meter
MELTING, POURED = 660.0, 720.0  # °C
WORDS = """
Published: Sirrell, Holliday & Campbell 1995 (Modeling of Casting, Welding and Advanced Solidification Processes VII; again in JOM 1996), X-ray pictures from about 0.24 to 2 s of an aluminum plate of about 200 × 100 × 10 mm, poured at about 720 °C into resin-bonded silica sand, 2.2 kg with basin and sprue. No table of it could be read; which edge stands down, where its clock starts, and all sizes of sprue, runner and gate are unknown here. Ours are laid out by the rules of `solidsim size` for the published 2 s and were not changed after the first run; both edges are computed. Air may leave everywhere; none is shut in. Our clock starts when metal leaves the sprue, some 0.25 s after it enters it.
"""  # noqa: E501
MEANING = """
**Agrees.** Metal shoots along the runner, turns up at its end and rises as a jet to more than half the height of the plate (on cells of 1 and 2 mm), falls back on itself, and the plate then fills from below, about a fountain over the gate.

**Does not.** The plate is filled to three quarters at 2 s, and its surface is not flat before it is full: it heaves by more than 10 mm (root of the mean square; splashes count), and drops fly to the top along the end walls, where some freeze and hang.

**Why.** *The 2 s*: the rule that sized the sprue counts on 0.8 of Torricelli's flow; the bend under the sprue and the friction leave 0.60. A foot of 0.8 cm² fills the plate in 2.0 to 2.2 s on cells of 2 and 1 mm, and its first jet reaches the top. *The heaving* does not come from the cells, nor from heat, friction or eddies: with metal 140 °C hotter, and with three times the friction of the walls or the unseen eddies (`wall_shear`, `UNSEEN_EDDY`; changed by hand, on 2 mm cells), the jet fell by a third at the most and the heaving by a sixth. It comes from the way into the plate: the stream leaves the runner along one side of the gate, twice as fast as if it filled it, and as a sheet that cannot widen out of the page it keeps that speed up to the surface and swings to and fro. Where metal wells up over the whole gate it heaves by two thirds to three quarters of that.

**How sure is the first jet?** On the short edge 85, 132 and 145 mm on cells of 4, 2 and 1 mm: nearly settled. The stream in the runner is 6 to 7 mm thick, a cell or two on the coarsest.
"""  # noqa: E501


@dataclass(frozen=True)
class Course:
    """How a plate filled, frame by frame.

    Parameters
    ----------
    height : float, [m]
        Of the plate.
    times : ndarray, shape (nf,), [s]
    highest, jet, level, uneven : ndarray, shape (nf,), [m]
        Above the foot of the plate: all metal, that of one piece with the gate, the mean; root of
        the mean square about it.
    share, fastest : ndarray, shape (nf,), [1], [m/s]
        In the plate.
    """

    run: Run
    cell: float
    height: float
    times: np.ndarray
    highest: np.ndarray
    jet: np.ndarray
    level: np.ndarray
    uneven: np.ndarray
    share: np.ndarray
    fastest: np.ndarray

    def frame(self, time):
        """Number of the frame nearest to a time [s]."""
        return int(np.argmin(np.abs(self.times - time)))

    @property
    def first_jet(self):
        """Number of the frame with the first jet at its highest."""
        return int(np.argmax(np.where(self.times < FIRST_JET, self.jet, 0.0)))

    @property
    def heaving(self):
        """Unevenness of the surface between 1 s and the end, [m]."""
        late = (self.times >= 1.0) & (self.times < END) & (self.share < 0.95)
        return float(np.sqrt(np.mean(self.uneven[late] ** 2)))

    @property
    def full_at(self):
        full = np.flatnonzero(self.share >= FULL)
        return f"{self.times[full[0]]:.2f} s" if full.size else "later"


def course(name, cell):
    """Pour a case and follow the metal in its plate."""
    case = with_cell(read_case(HERE / "bottom_gated_plate" / f"{name}.toml"), cell)
    run = simulate(build_model(case))
    flow, section = run.frames.flow, run.section
    plate, grid = section.part_cells("plate"), section.grid
    rows, columns = plate.any(axis=1), plate.any(axis=0)
    height = float(grid.y_edges[1:][rows].max())
    depths = grid.dy[rows, None]
    seen = []
    for filled, u, v in zip(flow.filled, flow.velocity_x, flow.velocity_y, strict=True):
        wet = filled > 0.5
        pieces, _ = label(wet & run.metal)
        gate = np.unique(pieces[section.part_cells("gate")])
        body = np.isin(pieces, gate[gate > 0])
        tops = (filled[rows][:, columns].astype(float) * depths).sum(axis=0)
        speed = np.hypot(u.astype(np.float32), v)[plate].max()
        seen.append(
            (_top(grid, wet & plate), _top(grid, body & plate), tops.mean(), tops.std(), speed)
        )
    highest, jet, level, uneven, fastest = np.array(seen).T
    times = run.frames.times[: len(flow.filled)]
    return Course(run, cell, height, times, highest, jet, level, uneven, level / height, fastest)


def _top(grid, cells):
    return float(grid.y_edges[1:][cells.any(axis=1)].max()) if cells.any() else 0.0


def rows_by_time(one):
    """Rows of the table of one plate."""
    yield "| time | highest metal | of one piece with the gate | level | filled | fastest metal |"
    yield "|---|---|---|---|---|---|"
    for time in SHOWN:
        n = one.frame(time)
        yield (
            f"| {one.times[n]:.2f} s | {1e3 * one.highest[n]:.0f} mm | "
            f"{1e3 * one.jet[n]:.0f} mm | {1e3 * one.level[n]:.0f} mm | "
            f"{100 * one.share[n]:.0f} % | "
            f"{one.fastest[n]:.2f} m/s |"
        )


def rows_against(courses):
    """Rows of what was published against every run."""
    yield "| run | cells | first jet | falls to | filled at 2 s | surface uneven by | full at |"
    yield "|---|---|---|---|---|---|---|"
    yield (
        "| **published, in words** | | more than half the height | falls | all, flat | flat | "
        "about 2 s |"
    )
    for name, one in courses:
        first, end = one.first_jet, one.frame(END)
        after = (one.times > one.times[first]) & (one.times < 0.8)
        yield (
            f"| {TITLES[name]} | {1e3 * one.cell:g} mm | "
            f"{1e3 * one.jet[first]:.0f} mm, {one.jet[first] / one.height:.2f} of the height, "
            f"at {one.times[first]:.2f} s | {1e3 * one.jet[after].min():.0f} mm | "
            f"{100 * one.share[end]:.0f} % | {1e3 * one.heaving:.0f} mm | {one.full_at} |"
        )


def draw(courses, path):
    """Draw the plates at the moments shown, all at one scale."""
    wide, tall = 11.2, 8.4
    with settings():
        figure = new_figure(wide, tall)
        write_title(
            figure, "Bottom-gated plate of aluminum, 200 × 100 × 10 mm, as it fills",
            "metal by temperature on either edge; time since metal left the sprue, "
            f"cells of {1e3 * courses[0][1].cell:g} mm", 0.3,
        )  # fmt: skip
        low = tall - 0.55
        for name, one in courses:
            low, metal = _draw_plate(figure, one, VIEWS[name], low)
        _draw_scales(figure, metal)
        save_figure(figure, path)


def _draw_plate(figure, one, view, top):
    """Draw one plate in rows under a height of the sheet, [in]; give that under them."""
    wide, tall = figure.get_size_inches()
    across, up = INCH * (view[1] - view[0]), INCH * (view[3] - view[2])
    columns = int((wide - 0.6) / (across + 0.06))
    for number, time in enumerate(SHOWN):
        row, column = divmod(number, columns)
        left, low = 0.3 + column * (across + 0.06), top - (row + 1) * (up + 0.55)
        axes = bare(figure.add_axes((left / wide, low / tall, across / wide, up / tall)))
        axes.set(xlim=view[:2], ylim=view[2:])
        n = one.frame(time)
        metal = _draw_moment(axes, one, n)
        words = f"jet {1e3 * one.jet[n]:.0f}, level {1e3 * one.level[n]:.0f} mm"
        if one.highest[n] > one.jet[n]:
            words = f"drops to {1e3 * one.highest[n]:.0f} mm\n{words}"
        figure.text(left / wide, (low + up + 0.3) / tall, f"{one.times[n]:.2f} s", weight="bold")
        figure.text((left + 0.02) / wide, (low + up + 0.03) / tall, words, size=7.5)
    return low - 0.12, metal


def _draw_moment(axes, one, n):
    """Draw metal by temperature, air white, sand gray."""
    section, frames = one.run.section, one.run.frames
    shapes = visible_shapes(section)
    fill_unpoured(axes, section, shapes)
    for part, shape in zip(section.parts, shapes, strict=True):
        fill_part(axes, part, shape, face=PAPER)
    wet = one.run.metal & (frames.flow.filled[n] > 0.5)
    grid, celsius = section.grid, frames.temperature[n] - ZERO_CELSIUS
    return axes.pcolormesh(
        grid.x_edges, grid.y_edges, np.ma.masked_where(~wet, celsius), cmap=LATE_MAP,
        vmin=MELTING, vmax=POURED, zorder=4.5, rasterized=True,
    )  # fmt: skip


def _draw_scales(figure, metal):
    """Draw the scale of temperatures, and that of lengths under the last drawing."""
    wide, tall = figure.get_size_inches()
    place = (0.9 / wide, 0.36 / tall, 3.0 / wide, 0.16 / tall)
    scale = figure.colorbar(metal, cax=figure.add_axes(place), orientation="horizontal")
    scale.set_ticks([MELTING, POURED], labels=["660 °C: freezes", "720 °C: as poured"])
    draw_scale_bar(metal.axes, "metric", away=0.3)


def main(quick):
    shown, *coarser = CELLS[1:] if quick else CELLS
    shown_runs = [(name, course(name, shown)) for name in VIEWS]
    others = [(name, course(name, cell)) for cell in coarser for name in VIEWS]
    others += [(name, course(name, cell)) for name in BESIDE for cell in (shown, *coarser)]
    tables = [
        f"Plate with its {TITLES[name]}, cells of {1e3 * shown:g} mm:\n\n"
        + "\n".join(rows_by_time(one))
        for name, one in shown_runs
    ]
    against = "\n".join(rows_against(shown_runs + others))
    print("\n\n".join([against, *tables]))
    if quick:
        return
    draw(shown_runs, HERE / "bottom_gated_plate.png")
    page = (
        f"# A bottom-gated plate\n\nFrom `benchmarks/bottom_gated_plate.py`.\n{WORDS}\n{against}\n"
        f"{MEANING}\n![The plate as it fills](bottom_gated_plate.png)\n\n"
    )
    (HERE / "bottom_gated_plate.md").write_text(page + "\n\n".join(tables) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main("--quick" in sys.argv)
