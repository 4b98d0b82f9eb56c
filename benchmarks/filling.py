"""What filling costs: rising on top of the freeze, flowing for each simulated second.

Run with ``python benchmarks/filling.py`` from the top of the project; ``--fine`` lets metal flow on
cells of 1 mm, too, for two minutes more.
"""

import argparse
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from solidsim import build_model, read_case, simulate
from solidsim.model import Pour, Stop
from solidsim.studies.confirming import with_cell

BRACKET = Path(__file__).parents[1] / "cases" / "bracket_gating" / "case.toml"


def timed(model):
    start = time.process_time()
    run = simulate(model)
    return run, time.process_time() - start


def cost_table():
    print("bracket gated at the left shoulder, to shake-out; processor time")
    print(" cell mm   cells  at once s  rising s  more   fill s  coldest °C  last freezing s")
    for cell_mm in (3.0, 2.0, 1.15):
        model = build_model(with_cell(read_case(BRACKET), cell_mm / 1000.0))
        _, plain = timed(replace(model, pour=Pour()))
        run, risen = timed(model)
        coldest = np.nanmin(run.fields["arrival_temperature"]) - 273.15
        print(
            f"{cell_mm:8.2f} {run.metal.size:7d} {plain:10.2f} {risen:9.2f} "
            f"{risen / plain - 1.0:5.0%} {run.fill.fill_time:8.3f} {coldest:11.0f} "
            f"{np.nanmax(run.fields['freezing_time']):16.1f}"
        )


def flowing_table(cell_mm):
    print(f"flowing, {cell_mm:g} mm cells, with heat and shut-in air; processor time until full")
    print(" gating                cells of metal   full s  s for a simulated s  ns a cell and ms")
    for name in ("flowing", "both_shoulders_flowing", "through_the_feeder_flowing"):
        case = read_case(BRACKET.with_name(f"{name}.toml"))
        model = build_model(with_cell(case, cell_mm / 1000.0))
        full = simulate(replace(model, stop=Stop("time", 30.0))).fill.fill_time
        run, spent = timed(replace(model, stop=Stop("time", full)))
        metal, each = int(run.metal.sum()), spent / full
        print(f" {name:26s} {metal:9d} {full:8.2f} {each:20.2f} {1e6 * each / metal:17.0f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fine", action="store_true", help="flow on cells of 1 mm, too")
    fine = parser.parse_args().fine
    simulate(build_model(with_cell(read_case(BRACKET), 0.006)))  # compiles
    cost_table()
    for size in (2.0, 1.0) if fine else (2.0,):
        flowing_table(size)
