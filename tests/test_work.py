"""How much work a run is: counts that no busy machine disturbs, against stored ones.

Each problem is fixed, so that its steps, stages, refused steps, frames and cell updates are the
same wherever it runs, but for the last digits of the arithmetic. A count that grows past the
allowance is a regression; one that falls past it is a gain, to be stored here so that it is kept.
"""

import re
import tracemalloc

import numpy as np
import pytest
from basins import METAL, basin, column, open_flow

from solidsim.case import read_case_text
from solidsim.conduction.solver import advance
from solidsim.conduction.state import start_conduction
from solidsim.model import build_model
from solidsim.simulation import simulate

ALLOWANCE = 0.02  # of a count; chosen to pass rounding of other processors, not a changed scheme
FEW = 2  # counts so small may change by as much

TEE = """
title = "Tee in sand"
[section]
cell = "3 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
[mold]
sand = "dry-silica-sand"
box = { from = ["-60 mm", "-60 mm"], to = ["60 mm", "110 mm"] }
[[part]]
name = "flange"
role = "casting"
rectangle = { from = ["-45 mm", "0 mm"], to = ["45 mm", "18 mm"] }
[[part]]
name = "boss"
role = "casting"
rectangle = { from = ["-15 mm", "18 mm"], to = ["15 mm", "72 mm"] }
"""
PURE = """
title = "Bar of a metal that freezes at one temperature, in the round view"
[section]
view = "round"
cell = "2 mm"
[pour]
alloy = "pure"
temperature = "700 °C"
[mold]
sand = "dry-silica-sand"
box = { from = ["0 mm", "-50 mm"], to = ["70 mm", "90 mm"] }
[[part]]
name = "bar"
role = "casting"
rectangle = { from = ["0 mm", "0 mm"], to = ["20 mm", "40 mm"] }
[material.pure]
kind = "alloy"
density = "2400 kg/m3"
specific_heat = "1050 J/kgK"
conductivity = "150 W/mK"
latent_heat = "390 kJ/kg"
solid_fraction = { curve = "isothermal", temperature = "660 °C" }
"""
PLATE = """
title = "Plate with depth, feeder, chill and moist sand, to its shake-out"
[section]
cell = "4 mm"
depth = "60 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
{fill}
[mold]
sand = "green-sand"
box = {{ from = ["-40 mm", "-60 mm"], to = ["160 mm", "80 mm"] }}
[[part]]
name = "plate"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["120 mm", "20 mm"] }}
[[part]]
name = "feeder"
role = "feeder"
depth = "round"
rectangle = {{ from = ["40 mm", "20 mm"], to = ["80 mm", "80 mm"] }}
[[part]]
name = "chill"
role = "chill"
rectangle = {{ from = ["0 mm", "-20 mm"], to = ["24 mm", "0 mm"] }}
[cooling]
shake_out = "500 °C"
"""
PROBLEMS = {
    "tee": TEE,
    "pure metal": PURE,
    "plate": PLATE.format(fill=""),
    "rising fill": PLATE.format(fill='time = "4 s"'),
}
STORED = {  # steps, stages, refused, frames, cell updates
    "tee": (310, 1640, 0, 109, 1607200),
    "pure metal": (128, 1700, 0, 80, 2298400),
    "plate": (417, 1809, 2, 125, 3417444),
    "rising fill": (452, 1900, 2, 144, 3584406),
}
FLOW = (106, 936, 117689)  # steps, iterations of the pressure, cells near metal
NAMES = ("steps", "stages", "refused", "frames", "cell updates")
ARRAYS = 0.5  # of the size of the cells, at a time, while steps are taken: not one (0.12 seen)
SMALL = 1.0  # mm, cells on which an array outweighs the objects of a step


def model_of(text):
    return build_model(read_case_text(text))


def counts_of(run):
    steps = run.steps
    counted = (steps.lengths.size, steps.stages.sum(), steps.refused.sum(), run.frames.times.size)
    return tuple(map(int, (*counted, run.provenance["cell_updates"])))


@pytest.mark.parametrize("name", PROBLEMS)
def test_a_run_is_as_much_work_as_it_was(name):
    counted = counts_of(simulate(model_of(PROBLEMS[name])))
    for key, count, stored in zip(NAMES, counted, STORED[name], strict=True):
        assert abs(count - stored) <= max(ALLOWANCE * stored, FEW), f"{key}; all: {counted}"


@pytest.mark.parametrize("name", ["tee", "plate"])
def test_no_step_makes_an_array_of_the_cells(name):
    text = re.sub(r'cell = "\d mm"', f'cell = "{SMALL} mm"', PROBLEMS[name])
    state = start_conduction(model_of(text))
    for _ in range(5):
        advance(state)
    tracemalloc.start()
    try:
        for _ in range(5):
            advance(state)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    arrays = peak / state.arrays.u.nbytes
    assert arrays <= ARRAYS, f"{arrays:.2f} arrays"


def test_a_flow_is_as_many_steps_and_iterations_as_it_was():
    """A column of iron that collapses, until it has run along the floor."""
    section = basin((50, 100), 0.003)
    flow = open_flow(section, column(section, 40, 20), metal=METAL, slip=False)
    steps = iterations = cells = 0
    while flow.time < 0.2:
        done = flow.step(0.01, np.zeros(0))
        steps, iterations = steps + 1, iterations + done.iterations
        cells += flow.motion.near.size
    counted = (steps, iterations, cells)
    for key, count, stored in zip(("steps", "iterations", "cells"), counted, FLOW, strict=True):
        assert abs(count - stored) <= ALLOWANCE * stored, f"{key}; all: {counted}"
