"""What metal that flows costs, by size of cell: wall time per simulated second and per cell step.

Run with ``python benchmarks/flowing.py`` from the top of the project. A plate of 200 x 100 mm,
10 mm deep, takes metal through a slot of 10 mm at the foot of its left side, 0.5 m/s, until it is
full at 4 s; heat is carried along, air leaves at the top or is shut in and bleeds. With
``--compile``, how long the kernels take to compile.
"""

import os
import subprocess
import sys
import tempfile
import time

import numpy as np

from solidsim.fill.flowing import start_flow
from solidsim.fill.mouths import Mouth
from solidsim.section.grid import Grid
from solidsim.section.layout import Part, Section

WIDTH, HEIGHT, DEPTH, SLOT, SPEED = 0.2, 0.1, 0.01, 0.01, 0.5
IRON = {"density": 6900.0, "viscosity": 0.9e-6, "gravity": (0.0, -9.80665)}
ENTHALPY = np.array([9e9])


def plate(cell):
    """The plate in one ring of sand."""
    nx, ny = round(WIDTH / cell), round(HEIGHT / cell)
    grid = Grid(cell * (np.arange(nx + 3) - 1.0), cell * (np.arange(ny + 3) - 1.0))
    index = np.zeros(grid.shape, np.int16)
    index[1:-1, 1:-1] = 1
    part = Part("plate", "casting", (), 0.0, 0.0, 0.0, 0.0)
    faces = np.where(index > 0, grid.cell_areas, 0.0)
    return Section(grid, (part,), index, np.full(grid.shape, DEPTH), faces)


def start(cell):
    section = plate(cell)
    nx = section.grid.shape[1]
    mouth = Mouth(tuple((1 + j) * nx + 1 for j in range(round(SLOT / cell))), (1.0, 0.0))
    openings = np.zeros(section.grid.shape, bool)
    openings[-2] = True
    return start_flow(section, [mouth], openings=openings, permeability=1e-10, **IRON)


def fill(cell, until):
    """Fill until a share; seconds, steps, iterations, sum of metal cells, flow, volume entered."""
    flow = start(cell)
    room, inflow = flow.grid.volumes.sum(), np.array([SPEED * SLOT * DEPTH])
    steps = turns = cells = 0
    entered, begin = 0.0, time.process_time()
    while flow.volume < until * room:
        step = flow.step(0.05, inflow, entering_enthalpy=ENTHALPY)
        steps, turns, entered = steps + 1, turns + step.iterations, entered + step.entered.sum()
        cells += int(np.count_nonzero(flow.pockets.kind == 2))
    return time.process_time() - begin, steps, turns, cells, flow, entered


def table():
    print("plate 200 x 100 mm filled to 98 %; processor time")
    print(" cell mm  cells  steps  per simulated s  a step us  a cell step ns  iterations volume")
    for cell_mm in (4.0, 2.0, 1.0):
        seconds, steps, turns, cells, flow, entered = fill(cell_mm / 1000.0, 0.98)
        print(
            f"{cell_mm:8.1f} {np.count_nonzero(flow.grid.cavity):6d} {steps:6d} "
            f"{seconds / flow.time:13.2f} s {1e6 * seconds / steps:10.0f} "
            f"{1e9 * seconds / cells:15.0f} {turns / steps:11.1f} {flow.volume / entered - 1.0:.0e}"
        )


def compile_time():
    """Seconds for the first steps with an empty cache, over those with a full one."""
    with tempfile.TemporaryDirectory() as cache:
        spent = []
        for _ in range(2):
            begin = time.perf_counter()
            subprocess.run(
                [sys.executable, __file__, "--once"],
                check=True,
                env={**os.environ, "NUMBA_CACHE_DIR": cache},
            )
            spent.append(time.perf_counter() - begin)
    print(
        f"kernels compile in {spent[0] - spent[1]:.1f} s; a start with them takes {spent[1]:.1f} s"
    )


if __name__ == "__main__":
    if "--compile" in sys.argv:
        compile_time()
    elif "--once" in sys.argv:
        fill(0.01, 0.1)
    else:
        fill(0.01, 0.5)  # compiles
        table()
