"""solidsim against what one would reach for instead, on one problem, in one run, on one machine.

Run with ``python benchmarks/solvers.py`` from the top of the project; ``--help`` tells the rest.
Every solver gets the T of ``tee.py`` on the same cells: (a) to 1000 s, just past the last
freezing, and (b) to 4 h, each in a process and one thread of its own. Errors are those of the
freezing times against explicit Euler at a quarter of its stable step, and in (b) of the
temperature at the end.
"""

import argparse
import math
from functools import partial

import numpy as np
from competitors import bdf, explicit, fipy, pypde, superlu
from measuring import OUT, Ledger, answer, apart, machine, table, timed
from tee import COOLED, FROZEN, Tee

ENDS = {"a": FROZEN, "b": COOLED}
FINE = 3  # settings that are always measured; the fourth, as accurate as solidsim, with --fine


def ours(tee, end, _):
    from solidsim import build_model, simulate
    from solidsim.case import read_case_text

    return simulate(build_model(read_case_text(tee.case_text(f'shake_out = "{end} s"'))))


def whole(tee, end, _):
    """The same with every cell computed: else the T is known by its left half."""
    from solidsim import build_model
    from solidsim.case import read_case_text
    from solidsim.simulation import compute

    return compute(build_model(read_case_text(tee.case_text(f'shake_out = "{end} s"'))))


# name: the function, its settings from coarse to fine, what they are, and what warms it up
SOLVERS = {
    "solidsim": (ours, (0,), "", 30.0),
    "solidsim, both halves": (whole, (0,), "", 30.0),
    "explicit Euler": (explicit, (0.9,), "{} of the stable step", 1.0),
    "py-pde": (pypde, (0.9,), "explicit, {} of the stable step", 1.0),
    "FiPy": (fipy, (20.0, 5.0, 1.25, 0.4), "steps of {} s", 10.0),
    "SuperLU loop": (superlu, (20.0, 5.0, 1.25, 0.4), "steps of {} s", 0.0),
    "scipy BDF": (bdf, (1e-2, 1e-3, 1e-4), "rtol {}", 0.0),
}


def row_name(name, setting, problem, cells):
    words = SOLVERS[name][2].format(f"{setting:g}")
    return f"{name}{', ' + words if words else ''} ({problem}) {cells}"


def reference(cells, problem):
    """Freezing times and last temperature to measure against, and how far half the step moves it.

    Kept on disk, for the explicit solver takes its time.
    """
    path = OUT / f"tee_{cells}_{problem}.npz"
    if not path.is_file():
        tee, end = Tee(cells), ENDS[problem]
        (times, last), (coarser, _) = explicit(tee, end, 0.25), explicit(tee, FROZEN, 0.5)
        OUT.mkdir(parents=True, exist_ok=True)
        np.savez(path, times=times, last=last, doubt=rms(times - coarser, tee.metal))
    return np.load(path)


def rms(gap, metal):
    return float(np.sqrt(np.nanmean(gap[metal] ** 2)))


def one_row(name, setting, problem, cells):
    """Measure one solver; called in a process of its own."""
    solver, _, _, warming = SOLVERS[name]
    tee, end, known = Tee(cells), ENDS[problem], reference(cells, problem)
    if warming:
        solver(Tee(50), warming, setting)
    found, wall, cpu = timed(lambda: solver(tee, end, setting))
    more = {}
    if name.startswith("solidsim"):
        run = found
        found = run.fields["freezing_time"], run.fields["temperature"] - 273.15
        more = {
            "imbalance": run.account.imbalance,
            "steps": int(run.steps.lengths.size),
            "stages": int(run.steps.stages.sum()),
        }
    times, last = found
    gap = times - known["times"]
    answer(
        wall=wall,
        cpu=cpu,
        error_max=float(np.nanmax(np.abs(gap[tee.metal]))),
        error=rms(gap, tee.metal),
        unfrozen=int(np.isnan(times[tee.metal]).sum()),
        share=rms(gap, tee.metal) / float(np.nanmax(known["times"])),
        kelvin=float(np.abs(last - known["last"]).max()) if problem == "b" else 0.0,
        **more,
    )


def measure(ledger, chosen, cells, limit):
    """Rows of chosen (name, setting, problem), by problem and name; on disk as they come."""
    rows = {}
    for problem in dict.fromkeys(problem for *_, problem in chosen):
        apart(__file__, "reference", 0, problem, cells)  # before any clock runs
    for name, setting, problem in chosen:
        own, words = row_name(name, setting, problem, cells), (name, setting, problem, cells)
        row = ledger.row(own, partial(apart, __file__, *words, limit=limit))
        rows.setdefault(problem, {}).setdefault(name, []).append(row)
        print(own, row.get("error") if "wall" not in row else f"{row['wall']:.2f} s", flush=True)
    return rows


def at_our_error(rows, error):
    """Wall time [s] at which a solver would be as accurate, along the line of its last two rows."""
    known = [row for row in rows if "wall" in row]
    if len(known) < 2:
        return math.nan
    one, two = sorted(known, key=lambda row: row["wall"])[-2:]
    if two["error"] >= one["error"]:
        return math.nan
    slope = math.log(two["wall"] / one["wall"]) / math.log(two["error"] / one["error"])
    return two["wall"] * (error / two["error"]) ** slope


def show(problem, by_name, cells):
    """Print the table of a problem."""
    known = reference(cells, problem)
    last, doubt = float(np.nanmax(known["times"])), float(known["doubt"])
    print(f"\n({problem}) to {ENDS[problem]:.0f} s, {cells * cells:,} cells; {machine()}")
    print(f"last freezing {last:.2f} s; half the step moves the times by {doubt:.3f} s (L2)\n")
    first = by_name.get("solidsim", [{}])[0]
    heads = ["solver", "date", "wall s", "ratio", "error max s", "L2 s", "L2 %", "of ours",
             "K at end", "memory MB"]  # fmt: skip
    table(heads, [_cells(row, first) for rows in by_name.values() for row in rows])
    if "wall" not in first:
        return
    print(f"solidsim: {first['steps']} steps, {first['stages']} stages, heat account open by "
          f"{first['imbalance']:.1e}")  # fmt: skip
    print("as accurate as solidsim, by the slope of the last two rows:\n")
    rows = []
    for name, own in by_name.items():
        wall = at_our_error(own, first["error"])
        if math.isfinite(wall):
            rows.append((name, f"{wall:.0f}", f"{wall / first['wall']:.0f}"))
    table(["solver", "wall s", "ratio"], rows)


def _cells(row, first):
    name = row["name"].rsplit(" (", 1)[0]
    if "wall" not in row:
        return (name, row["date"], row["error"], *[""] * 7)
    missing = f"; {row['unfrozen']} cells not frozen" if row["unfrozen"] else ""
    ratios = ["", ""]
    if "wall" in first:
        ratios = [f"{row[key] / first[key]:.1f}" for key in ("wall", "error")]
    return (
        name, row["date"], f"{row['wall']:.2f}", ratios[0], f"{row['error_max']:.2f}{missing}",
        f"{row['error']:.3f}", f"{row['share']:.3%}"[:-1], ratios[1],
        f"{row['kelvin']:.2f}" if row["kelvin"] else "", f"{row['peak_mb']:.0f}",
    )  # fmt: skip


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", nargs="+", choices=SOLVERS, default=list(SOLVERS))
    parser.add_argument("--problem", choices=ENDS, help="one of both")
    parser.add_argument("--fine", action="store_true", help="the finest steps, too; for an hour")
    parser.add_argument("--again", action="store_true", help="measure anew what is on disk")
    parser.add_argument("--quick", action="store_true", help="on 2500 cells, to try the script")
    parser.add_argument("--limit", type=float, default=900.0, help="seconds a row may take")
    parser.add_argument("--row", nargs=4, metavar=("NAME", "SETTING", "PROBLEM", "CELLS"),
                        help=argparse.SUPPRESS)  # fmt: skip
    asked = parser.parse_args()
    if asked.row:
        name, setting, problem, cells = asked.row
        if name == "reference":
            reference(int(cells), problem)
            answer()
        else:
            one_row(name, float(setting), problem, int(cells))
        return
    cells = 50 if asked.quick else 200
    chosen = [
        (name, setting, problem)
        for problem in ([asked.problem] if asked.problem else ENDS)
        for name in asked.only
        for setting in SOLVERS[name][1][: None if asked.fine else FINE]
    ]
    again = [row_name(*own, cells) for own in chosen] if asked.again else []
    ledger = Ledger(OUT / "solvers.jsonl", again)
    for problem, rows in measure(ledger, chosen, cells, asked.limit).items():
        show(problem, rows, cells)


if __name__ == "__main__":
    main()
