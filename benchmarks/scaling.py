"""How time and memory grow with the cells, what each part of the program costs, how it starts.

Run with ``python benchmarks/scaling.py`` from the top of the project; ``--help`` tells the rest.
Sizes: the T of ``tee.py`` until all is solid, both halves of it. Costs: the sheave bracket. Start:
the command line, with an empty and with a full cache of kernels. Bandwidth: a stage of the heat
against a triad of as many bytes, both in processor time.
"""

import argparse
import math
import os
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from measuring import HOME, OUT, Ledger, answer, apart, machine, one_thread, table, timed
from numba import njit
from tee import Tee

DEMO = HOME / "cases" / "sheave_bracket" / "case.toml"
GATED = HOME / "cases" / "bracket_gating" / "case.toml"
SIZES = (100, 200, 400, 800, 1250)  # cells a side
# what a stage reads and writes of each cell, 8 bytes each; the neighbors' T and G are in cache
READ = ("T", "T two back", "warming", "Gx", "Gy")
WRITTEN = ("T two back",)
HELD = len({*READ, *WRITTEN})
MOMENTS = (0.1, 0.3, 0.5, 0.7, 0.9)  # shares of the freezing time at which stages are timed
MORE = 3  # times the stages of a step; what the more of them take is the stages' own
MAIN = "import sys; from solidsim.cli import main; sys.argv[0] = 'solidsim'; main()"


def tee_model(cells):
    from solidsim import build_model
    from solidsim.case import read_case_text

    return build_model(read_case_text(Tee(cells).case_text('stop = "solid"', frames=12)))


def freeze(cells):
    """The T of so many cells a side until it is solid; numbers of the run."""
    from solidsim.simulation import compute

    compute(tee_model(50))
    run, wall, cpu = timed(lambda: compute(tee_model(cells)))
    updates = run.provenance["cell_updates"]
    return {
        "cells": cells * cells,
        "wall": wall,
        "cpu": cpu,
        "steps": int(run.steps.lengths.size),
        "stages": int(run.steps.stages.sum()),
        "updates": int(updates),
        "last": float(np.nanmax(run.fields["freezing_time"])),
    }


def side_by_side(cells):
    """Two cases at once, in two threads of one process, against one after the other."""
    from solidsim.simulation import compute

    compute(tee_model(50))
    models = [tee_model(cells) for _ in range(2)]
    _, one, _ = timed(lambda: [compute(model) for model in models])
    with ThreadPoolExecutor(2) as pool:
        _, two, _ = timed(lambda: list(pool.map(compute, models)))
    return {"cells": cells * cells, "serial": one, "threads": two}


def two_processes(cells):
    """Two cases at once, a process each; their wall times are taken inside."""
    with ThreadPoolExecutor(2) as pool:
        rows = list(pool.map(lambda _: apart(__file__, "size", cells), range(2)))
    if error := next((row["error"] for row in rows if "error" in row), ""):
        return {"error": error}
    return {"cells": cells * cells, "wall": max(row["wall"] for row in rows)}


def cost(of, cell_mm):
    """Processor time of the bracket without and with a thing, [s]."""
    from solidsim import build_model, judge, read_case, simulate
    from solidsim.model import Pour
    from solidsim.studies.changing import until_solid
    from solidsim.studies.confirming import with_cell

    path = GATED if of == "rising fill" else DEMO
    case = with_cell(until_solid(read_case(path)), cell_mm / 1000.0)
    model = build_model(case)
    run = simulate(model)  # compiles, too

    def cpu(function):
        return timed(function)[2]

    if of == "depth":
        flat = np.zeros(model.section.grid.shape)
        endless = replace(model.section, depth=flat + 1.0, face_areas=flat)
        seconds = 120.0  # of both, so that steps and not their number are compared
        stop = replace(model.stop, kind="time", value=seconds)
        plain = cpu(lambda: simulate(replace(model, stop=stop, section=endless)))
        return plain, cpu(lambda: simulate(replace(model, stop=stop)))
    plain = cpu(lambda: simulate(replace(model, pour=Pour())))
    if of == "rising fill":
        return plain, cpu(lambda: simulate(model))
    if of == "findings and feeding":
        judge(run)
        return plain, plain + cpu(lambda: judge(run))
    return plain, plain + output_cost(of, model, run, cpu)


def output_cost(of, model, run, cpu):
    from solidsim.pictures import draw_freezing, make_film
    from solidsim.pictures.feeding import draw_feeding
    from solidsim.results import write_run

    with tempfile.TemporaryDirectory() as folder:
        to = Path(folder)
        draw_freezing(run, to / "first.png")  # fonts
        if of == "results file":
            return cpu(lambda: write_run(to / "run.h5", run))
        if of == "both pictures":
            return cpu(lambda: (draw_freezing(run, to / "a.png"), draw_feeding(run, to / "b.png")))
        return cpu(lambda: make_film(run, to / "film.mp4"))


COSTS = ("depth", "rising fill", "findings and feeding", "results file", "both pictures", "film")


def starts(cell):
    """Wall times of the command line from its call, [s]: three starts in a row from an empty cache.

    ``cell`` replaces that of the demo where it is given.
    """
    with tempfile.TemporaryDirectory() as folder:
        case = Path(folder) / "demo.toml"
        text = DEMO.read_text(encoding="utf-8")
        case.write_text(text.replace('cell = "1.15 mm"', f'cell = "{cell}"'), encoding="utf-8")
        env = one_thread(NUMBA_CACHE_DIR=str(Path(folder) / "kernels"))
        pour = partial(_started, env, "pour", str(case), "--out", folder)
        rows = {
            "cold": pour("--no-pictures"),
            "again": min(pour("--no-pictures") for _ in range(3)),
            "section": min(pour(seen=Path(folder) / "demo_section.png") for _ in range(3)),
            "picture": min(pour(seen=Path(folder) / "demo.png") for _ in range(3)),
            "all": min(pour() for _ in range(3)),
            "film": min(pour("--movie") for _ in range(3)),
            "help": min(_started(env, "--help") for _ in range(3)),
            "check": min(_started(env, "check", str(case)) for _ in range(3)),
        }
    return rows


def _started(env, *words, seen=None):
    """Wall time of a command, or until a file is there, and its processor time as a whole, [s]."""
    if seen:
        seen.unlink(missing_ok=True)
    start, there, before = time.perf_counter(), math.nan, os.times()
    command = [sys.executable, "-c", MAIN, *words]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(command, env=env, cwd=HOME, **quiet) as process:
        while process.poll() is None:
            if seen and math.isnan(there) and seen.exists():
                there = time.perf_counter() - start
            time.sleep(0.002)
    if process.returncode:
        raise RuntimeError(f"solidsim {words[0]} ended with {process.returncode}")
    wall, after = time.perf_counter() - start, os.times()
    spent = sum(after[2:4]) - sum(before[2:4])
    return (there if seen else wall), spent


@njit(cache=True)
def triad(a, b, c, rounds):
    for _ in range(rounds):
        for i in range(a.size):
            a[i] = b[i] + 0.5 * c[i]


def bandwidth(total):
    """Bytes a second that a triad of three arrays moves, of so many bytes together; best of 7."""
    a, b, c = (np.ones(int(total) // 24) for _ in range(3))
    rounds = max(int(2e8 / total), 1)
    triad(a, b, c, 1)
    best = math.inf
    for _ in range(7):
        start = time.thread_time()
        triad(a, b, c, rounds)
        best = min(best, time.thread_time() - start)
    return rounds * 24 * a.size / best


def stage_time(state):
    """Time of a stage of the next step, by cell [s]: what more stages of it take; best of 9.

    The step is given up, as one that is refused.
    """
    from solidsim.conduction import solver
    from solidsim.conduction.super_time_steps import stage_coefficients, stages_for

    def run(times):
        limit = solver.freeze_conductances(state)
        count = times * stages_for(state.next_length, limit)
        coefficients = stage_coefficients(count)
        start = time.thread_time()
        solver.run_stages(state, state.next_length, coefficients)
        spent = time.thread_time() - start
        solver.look_up_temperatures(state)
        solver.steps.forget_passed(state.arrays.u, state.watched)
        return spent, count

    (few, count), (many, _) = (min(run(times) for _ in range(9)) for times in (1, MORE))
    return (many - few) / (MORE - 1) / count / state.model.material_index.size


def kernel(cells):
    """Time of a stage, by cell, against the triad; the mean of a few moments of a run."""
    from solidsim.conduction import solver
    from solidsim.conduction.state import start_conduction
    from solidsim.simulation import compute

    model = tee_model(cells)
    compute(tee_model(50))
    run, held = compute(model), 8 * HELD * cells * cells
    last, state, found = np.nanmax(run.fields["freezing_time"]), start_conduction(model), []
    for moment in MOMENTS:
        while state.time < moment * last:
            solver.advance(state)
        found.append((stage_time(state), float(np.mean(state.arrays.warming[state.inside] == 0.0))))
    own, bent = np.mean(found, axis=0)
    return {
        "cells": cells * cells,
        "held": held,
        "bent": bent,
        "ns": 1e9 * own,
        "moved": 8 * (len(READ) + len(WRITTEN)) / own,
        "triad": bandwidth(held),
        "cache": bandwidth(3e5),
        "memory": bandwidth(6e8),
    }


def show_sizes(rows):
    heads = ["cells", "date", "wall s", "steps", "stages", "ns a cell and stage", "memory MB",
             "last freezing s"]  # fmt: skip
    table(heads, [
        (f"{row['cells']:,}", row["date"], f"{row['wall']:.2f}", row["steps"], row["stages"],
         f"{1e9 * row['wall'] / row['updates']:.2f}", f"{row['peak_mb']:.0f}",
         f"{row['last']:.1f}") for row in rows
    ])  # fmt: skip
    if len(rows) > 1:
        cells, walls = (np.log([row[key] for row in rows]) for key in ("cells", "wall"))
        steps = np.diff(walls) / np.diff(cells)
        between = ", ".join(f"{step:.2f}" for step in steps)
        print(f"exponent {np.polyfit(cells, walls, 1)[0]:.2f}; from size to size {between}\n")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parts = ("sizes", "threads", "costs", "start", "bandwidth")
    parser.add_argument("--only", nargs="+", choices=parts, default=list(parts))
    parser.add_argument("--again", action="store_true", help="measure anew what is on disk")
    parser.add_argument("--quick", action="store_true", help="few cells, to try the script")
    parser.add_argument("--row", nargs="+", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.row:
        kind, *words = asked.row
        one_row(kind, *words)
        return
    print(f"{machine()}\n")
    for part in asked.only:
        PARTS[part](partial(kept, asked.again), asked.quick)


def one_row(kind, *words):
    """Measure one row; called in a process of its own."""
    if kind == "cost":
        plain, whole = cost(words[0], float(words[1]))
        answer(plain=plain, whole=whole)
    else:
        answer(**{"size": freeze, "threads": side_by_side, "kernel": kernel}[kind](int(words[0])))


def kept(again, name, measure):
    return Ledger(OUT / "scaling.jsonl", [name] if again else ()).row(name, measure)


def sizes(row, quick):
    cells = (50, 100, 200) if quick else SIZES
    rows = [row(f"size {own}", partial(apart, __file__, "size", own)) for own in cells]
    show_sizes([own for own in rows if "wall" in own])


def threads(row, quick):
    heads = ["cells each", "date", "one", "two, serial", "two threads", "two processes",
             "gain threads", "gain processes"]  # fmt: skip
    lines = []
    for cells in (100,) if quick else (200, 400):
        one = row(f"size {cells}", partial(apart, __file__, "size", cells))
        own = row(f"threads {cells}", partial(apart, __file__, "threads", cells))
        away = row(f"processes {cells}", partial(two_processes, cells))
        lines.append((
            f"{cells * cells:,}", own["date"], f"{one['wall']:.2f}", f"{own['serial']:.2f}",
            f"{own['threads']:.2f}", f"{away['wall']:.2f}",
            f"{own['serial'] / own['threads']:.2f}", f"{2 * one['wall'] / away['wall']:.2f}",
        ))  # fmt: skip
    table(heads, lines)


def costs(row, quick):
    cell = 4.0 if quick else 1.15
    lines = []
    for of in COSTS:
        own = row(f"cost of {of} {cell}", partial(apart, __file__, "cost", of, cell))
        if "error" in own:
            lines.append((of, own["date"], own["error"], "", ""))
            continue
        more = own["whole"] - own["plain"]
        lines.append((of, own["date"], f"{own['plain']:.2f}", f"{more:.2f}",
                      f"{more / own['plain']:.0%}"))  # fmt: skip
    table(["cost of", "date", "without s", "more s", "share"], lines)


def start(row, quick):
    own = row(f"start {quick}", partial(starts, "4 mm" if quick else "1.15 mm"))
    names = {
        "help": "solidsim --help",
        "check": "solidsim check of the demo",
        "again": "solidsim pour of the demo, no pictures, warm",
        "section": "warm start to the first picture of the demo, its section",
        "picture": "warm start to its freezing map",
        "all": "solidsim pour of the demo, with its five pictures",
        "film": "the same with --movie",
        "cold": "the same, no pictures, no kernel compiled yet",
    }
    lines = [(words, own["date"], *map("{:.2f}".format, own[key])) for key, words in names.items()]
    more = [cold - warm for cold, warm in zip(own["cold"], own["again"], strict=True)]
    lines.append(("compiling", own["date"], *map("{:.2f}".format, more)))
    table(["what", "date", "wall s", "processor s"], lines)


def roofline(row, quick):
    heads = ["cells", "date", "held MB", "ns a cell and stage", "kernel GB/s",
             "triad of as many bytes GB/s", "share", "looked up", "triad 0.3 MB",
             "triad 600 MB"]  # fmt: skip
    lines = []
    for cells in (100,) if quick else (100, 200, 800):
        own = row(f"kernel {cells}", partial(apart, __file__, "kernel", cells))
        lines.append((
            f"{own['cells']:,}", own["date"], f"{own['held'] / 1e6:.1f}", f"{own['ns']:.2f}",
            f"{own['moved'] / 1e9:.1f}", f"{own['triad'] / 1e9:.1f}",
            f"{own['moved'] / own['triad']:.0%}", f"{own['bent']:.0%}",
            f"{own['cache'] / 1e9:.0f}", f"{own['memory'] / 1e9:.0f}",
        ))  # fmt: skip
    table(heads, lines)
    print(f"counted by cell and stage: {', '.join(READ)} read, {', '.join(WRITTEN)} written, "
          f"{8 * (len(READ) + len(WRITTEN))} bytes\n")  # fmt: skip


PARTS = {"sizes": sizes, "threads": threads, "costs": costs, "start": start, "bandwidth": roofline}


if __name__ == "__main__":
    main()
