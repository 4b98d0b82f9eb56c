"""How far does a feeder feed a steel plate? The Niyama value against two published rules.

A wide plate of carbon steel in dry sand, a feeder at one end: sound metal reaches so far from the
feeder and so far from the cold end, and between them the value falls below the limit of the later
rule. Run with ``python benchmarks/feeding_distance.py`` from the top of the project; it prints the
table and writes ``feeding_distance.png`` and ``feeding_distance.md`` beside itself.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from solidsim import build_model, simulate
from solidsim.case import read_case_text
from solidsim.pictures.style import INK, new_figure, save_figure, settings

THICKNESSES = (25, 50, 75)  # mm
LENGTH = 16  # thicknesses: long enough that feeder and end know nothing of each other
CELLS = 13  # across the plate; odd, so that a row of cells lies on its middle
LIMIT = 100.0  # (K s)^1/2/m; Carlson, Ou, Hardin & Beckermann 2002, from memory
OLD = (2.0, 2.5)  # feeder and end, thicknesses; Pellini and Bishop 1950, from memory
LATER = 2.0  # times the old; Carlson et al. 2002, abstract: longer distances, up to twice

CASE = """
title = "A steel plate {thick} mm thick, a feeder at one end"
[section]
cell = "{cell} mm"
[pour]
alloy = "carbon-steel-0.25"
temperature = "1560 °C"
[mold]
sand = "dry-silica-sand"
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{length} mm", "{thick} mm"] }}
[[part]]
name = "feeder"
role = "feeder"
rectangle = {{ from = ["-{wide} mm", "0 mm"], to = ["0 mm", "{wide} mm"] }}
[[part]]
name = "cover"
role = "insulation"
rectangle = {{ from = ["-{wide} mm", "{wide} mm"], to = ["0 mm", "{over} mm"] }}
"""


@dataclass(frozen=True)
class Plate:
    """Niyama value [(K s)^1/2/m] along the middle of a plate, by distance from the feeder [T]."""

    thickness: float
    length: float
    distance: np.ndarray
    niyama: np.ndarray

    @property
    def by_feeder(self):
        """How far from the feeder the value stays above the limit, [T]."""
        low = self.niyama < LIMIT
        return float(self.distance[np.argmax(low)]) if low.any() else self.length

    @property
    def by_end(self):
        """How far from the end it does, [T]."""
        low = self.niyama[::-1] < LIMIT
        return float(self.length - self.distance[::-1][np.argmax(low)]) if low.any() else 0.0

    @property
    def reach(self):
        """Longest plate that is sound throughout, told from one that is too long, [T]."""
        return self.by_feeder + self.by_end


def plate(thickness_mm, length=LENGTH, cells=CELLS):
    """Freeze a plate so many thicknesses long."""
    text = CASE.format(
        thick=thickness_mm,
        cell=thickness_mm / cells,
        length=length * thickness_mm,
        wide=3 * thickness_mm,
        over=3.5 * thickness_mm,
    )
    run = simulate(build_model(read_case_text(text)))
    grid, cells_of_plate = run.section.grid, run.section.part_cells("plate")
    middle = int(np.argmin(np.abs(grid.y_centers - 0.0005 * thickness_mm)))
    row = np.flatnonzero(cells_of_plate[middle])
    distance = grid.x_centers[row] / (0.001 * thickness_mm)
    return Plate(thickness_mm, length, distance, run.fields["niyama"][middle, row])


def rows_of(plates):
    """Rows of the table."""
    old, later = sum(OLD), LATER * sum(OLD)
    yield "| plate | by the feeder | by the end | together | rule of 1950 | later rule |"
    yield "|---|---|---|---|---|---|"
    for one in plates:
        yield (
            f"| {one.thickness} mm | {one.by_feeder:.2f} T | {one.by_end:.2f} T | "
            f"**{one.reach:.2f} T** | {OLD[0]:g} + {OLD[1]:g} = {old:g} T | up to {later:g} T |"
        )


def draw(plates, path):
    """Draw the value along each plate with the limit and both rules."""
    with settings():
        figure = new_figure(8.0, 4.6)
        axes = figure.add_axes((0.09, 0.14, 0.88, 0.74))
        for one, style in zip(plates, ("-", "--", ":"), strict=True):
            axes.plot(one.distance, one.niyama / 1000, style, color=INK,
                      label=f"{one.thickness} mm")  # fmt: skip
        axes.axhline(LIMIT / 1000, color="#d95f02", linewidth=1.2)
        axes.text(LENGTH / 2, LIMIT / 1000 * 1.12, "limit 0.1", ha="center", color="#d95f02")
        for name, near, far, shade, height in (
            ("rule\nof 1950", (0.0, 0.0), OLD, 0.32, 0.0045),
            ("later,\nup to", OLD, (LATER * OLD[0], LATER * OLD[1]), 0.16, 4.5),
        ):
            spans = ((near[0], far[0]), (LENGTH - far[1], LENGTH - near[1]))
            for left, right in spans:
                axes.axvspan(left, right, color="#7570b3", alpha=shade, linewidth=0)
                axes.text(0.5 * (left + right), height, name, ha="center", size=8)
        axes.set(yscale="log", ylim=(0.002, 12.0), xlim=(0.0, LENGTH))
        axes.set_xlabel("distance from the feeder, thicknesses of the plate; right: the cold end")
        axes.set_ylabel("Niyama value in the middle, (K s)$^{1/2}$/mm")
        axes.legend(title="plate", loc="upper center")
        figure.text(0.09, 0.93, "How far a feeder feeds a steel plate", size=13, weight="bold")
        save_figure(figure, path)


def main():
    here = Path(__file__).parent
    plates = [plate(thickness) for thickness in THICKNESSES]
    table = "\n".join(rows_of(plates))
    print(table)
    draw(plates, here / "feeding_distance.png")
    words = (
        "# Feeding distance of steel plates\n\nFrom `benchmarks/feeding_distance.py`: wide plates "
        f"of {', '.join(map(str, THICKNESSES))} mm, carbon steel at 1560 °C in dry sand, sound "
        "where the Niyama value in the middle is at least 0.1 (K s)^1/2/mm. T is the thickness."
        f"\n\n{table}\n\n![Niyama value along the plates](feeding_distance.png)\n\n"
        "Rule of 1950: Pellini and Bishop, from memory. Later rule: Carlson, Ou, Hardin & "
        "Beckermann 2002, whose abstract gives longer distances, up to about twice the old; its "
        "equations could not be read, so that the doubled rule stands for it here.\n"
    )
    (here / "feeding_distance.md").write_text(words, encoding="utf-8")


if __name__ == "__main__":
    main()
