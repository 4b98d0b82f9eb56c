"""What depth changes: a round feeder as a wall, as a round part and in truth; and what depth costs.

Run with ``python benchmarks/depth.py`` from the top of the project.
"""

import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from solidsim import build_model, read_case, simulate
from solidsim.case import read_case_text

BRACKET = Path(__file__).parents[1] / "cases" / "sheave_bracket" / "case.toml"
ALONE = """
title = "The feeder of the sheave bracket alone in sand"
[section]
view = "{view}"
cell = "1.5 mm"
[pour]
alloy = "gray-iron"
temperature = "1370 °C"
[mold]
box = {{ from = ["{left} mm", "-80 mm"], to = ["110 mm", "157 mm"] }}
[[part]]
name = "feeder"
role = "feeder"
depth = "{depth}"
rectangle = {{ from = ["{edge} mm", "0 mm"], to = ["29 mm", "77 mm"] }}
"""
VIEWS = {
    "drawn as a wall (through)": ("upright", "through", -110, -29),
    "drawn as round": ("upright", "round", -110, -29),
    "truth: turned about its axis": ("round", "through", 0, 0),
}


def last_time(run):
    return float(np.nanmax(run.fields["freezing_time"]))


def feeder_table():
    print(
        "freezing time of the bracket's feeder, diameter 58 mm, height 77 mm, alone in green sand"
    )
    for name, (view, depth, left, edge) in VIEWS.items():
        text = ALONE.format(view=view, depth=depth, left=left, edge=edge)
        print(f"  {name:30s} {last_time(simulate(build_model(read_case_text(text)))):7.1f} s")


def chvorinov_table():
    """The textbook plate 7.5 x 12.5 x 2 cm and its feeder of 1.25 times the time (Groover 10.3)."""
    plain = """
title = "{name}"
[section]
view = "{view}"
cell = "1 mm"
depth = "{depth}"
[pour]
alloy = "gray-iron"
temperature = "1250 °C"
[mold]
sand = "dry-silica-sand"
cover = "70 mm"
[[part]]
name = "body"
role = "casting"
rectangle = {{ from = ["0 mm", "0 mm"], to = ["{width} mm", "{height} mm"] }}
"""
    bodies = {
        "plate in plan": ("plan", "20 mm", 75, 125),
        "feeder D = H = 47.0 mm, round view": ("round", "through", 23.51, 47.02),
        "the same upright": ("upright", "round", 47.02, 47.02),
    }
    print("textbook plate and the feeder of Chvorinov's rule, gray iron in dry sand")
    first = 0.0
    for name, (view, depth, width, height) in bodies.items():
        text = plain.format(name=name, view=view, depth=depth, width=width, height=height)
        seconds = last_time(simulate(build_model(read_case_text(text))))
        first = first or seconds
        print(f"  {name:36s} {seconds:7.1f} s, {seconds / first:.2f} of the plate; the rule: 1.25")


def cost_of_depth(rounds=3):
    deep = build_model(read_case(BRACKET))
    flat = np.zeros(deep.section.grid.shape)
    endless = replace(deep, section=replace(deep.section, depth=flat + 1.0, face_areas=flat))
    simulate(deep), simulate(endless)
    spent = {"with depth": [], "without": []}
    for _ in range(rounds):
        for name, model in (("with depth", deep), ("without", endless)):
            start = time.process_time()
            run = simulate(model)
            spent[name].append(time.process_time() - start)
    print(f"the demo to shake-out, {deep.section.part_index.size:,} cells")
    for name, seconds in spent.items():
        print(f"  {name:12s} {min(seconds):6.2f} s of one core")
    print(f"  ratio {min(spent['with depth']) / min(spent['without']):.2f}, {run.stop_reason}")


def cost_per_step(seconds=600.0):
    """The same time of cooling for both, so that steps and not their number are compared."""
    deep = build_model(read_case(BRACKET))
    flat = np.zeros(deep.section.grid.shape)
    endless = replace(deep, section=replace(deep.section, depth=flat + 1.0, face_areas=flat))
    spent = {}
    for name, model in (("with depth", deep), ("without", endless)):
        stop = replace(model, stop=replace(model.stop, kind="time", value=seconds))
        simulate(stop)
        start = time.process_time()
        simulate(stop)
        spent[name] = time.process_time() - start
    ratio = spent["with depth"] / spent["without"]
    print(f"the first {seconds:.0f} s of both: ratio {ratio:.2f}")


if __name__ == "__main__":
    feeder_table()
    chvorinov_table()
    cost_of_depth()
    cost_per_step()
