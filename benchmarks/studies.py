"""A sweep of 200 variants: one process, two, two workers of a dask cluster; killed and resumed.

Run with ``python benchmarks/studies.py`` from the top of the project; ``--help`` tells the rest.
The study is ``bracket_feeder.toml``, feeder diameter by height, each run to the last freezing and
judged; then two searches against the sweep of all their variants. The cluster is started as dask's
documentation says, ``dask scheduler`` and ``dask worker``, on this machine. Tables are compared to
the bit.
"""

import argparse
import hashlib
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from measuring import HOME, OUT, Ledger, answer, apart, machine, one_thread, table

STUDY = HOME / "benchmarks" / "bracket_feeder.toml"
BESIDE = 5  # serial is measured on every fifth variant
SEARCHES = HOME / "cases" / "sheave_bracket" / "studies"
WAYS = ("serial", "processes", "cluster", "killed")


def texts(share):
    """Case texts of every so-many-th variant."""
    from solidsim.studies.planning import planned_values
    from solidsim.studies.study_file import read_study

    study = read_study(STUDY)
    return [study.text_of(values) for values in planned_values(study)][::share]


def run(way, share, folder, address=None):
    """Compute variants, a compiled one first so that no clock sees the compiler."""
    from solidsim.studies.running import run_many
    from solidsim.studies.workers import Workers, hired

    workers = {"serial": Workers(), "cluster": Workers(scheduler=address)}.get(way, Workers(2))
    chosen = texts(share)
    with tempfile.TemporaryDirectory() as aside, hired(workers) as hands:
        run_many(chosen[:2], aside, workers=hands)
        start = time.perf_counter()
        outcomes = run_many(chosen, folder, workers=hands)
        return outcomes, time.perf_counter() - start


def searched(name):
    """The search of a study of the bracket against the sweep of all its variants, coarse cells."""
    from solidsim.studies.planning import planned_values
    from solidsim.studies.searching import cheapest, search
    from solidsim.studies.study_file import read_study
    from solidsim.studies.sweeping import coarse_cell, run_rows
    from solidsim.studies.workers import Workers, hired

    study = read_study(SEARCHES / f"{name}.toml")
    with tempfile.TemporaryDirectory() as folder:
        found = search(study, folder, workers=Workers(2), quick=True)
        with hired(Workers(2)) as hands:
            rows = run_rows(study, planned_values(study), Path(folder), hands, None,
                            coarse_cell(study))  # fmt: skip
    truth, tried = cheapest(study, rows), cheapest(study, found.tried)
    answer(
        variants=len(rows), tried=len(found.tried), confirmed=len(found.confirmed),
        truth=truth and truth.values, found=tried and tried.values,
        winner=found.winner and found.winner.values,
    )  # fmt: skip


def show_search(name, row):
    if "error" in row:
        print(f"search of {name}: {row['error']}")
        return
    truth, found, winner = (
        ", ".join(row[key]) if row[key] else "none" for key in ("truth", "found", "winner")
    )
    print(
        f"search of {name}, {row['date']}: {found} in {row['tried']} runs; least of all "
        f"{row['variants']}: {truth}; on finer cells, after {row['confirmed']} more: {winner}"
    )


def digests(outcomes):
    """Digest by key of what a table holds of each run: every number to the last bit."""
    rows = {
        one.computed.key: (
            one.computed.verdict,
            one.error,
            sorted((name, own.value.hex()) for name, own in one.computed.figures.items()),
        )
        for one in outcomes
    }
    return {key: hashlib.sha256(repr(row).encode()).hexdigest()[:16] for key, row in rows.items()}


def measure(way, share):
    """Time a way; called in a process of its own. Its table goes to disk beside the rows."""
    with tempfile.TemporaryDirectory() as folder:
        if way == "cluster":
            with cluster() as address:
                outcomes, wall = run(way, share, folder, address)
        else:
            outcomes, wall = run(way, share, folder)
    answer(
        runs=len(outcomes), wall=wall, rate=60.0 * len(outcomes) / wall,
        failed=sum(bool(one.error) for one in outcomes), table=digests(outcomes),
    )  # fmt: skip


@contextmanager
def cluster():
    """Have a dask scheduler and two workers of one thread each; gives the address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = "tcp://{}:{}".format(*free.getsockname())
    dask, quiet = [sys.executable, "-m", "dask"], {"stderr": subprocess.DEVNULL}
    with tempfile.TemporaryDirectory() as folder:
        quiet |= {"cwd": folder, "env": one_thread()}
        host, port = address.removeprefix("tcp://").split(":")
        ran = [[*dask, "scheduler", "--host", host, "--port", port, "--no-dashboard"]]
        ran += [[*dask, "worker", address, "--nthreads", "1", "--no-dashboard"]] * 2
        started = [subprocess.Popen(command, **quiet) for command in ran]
        try:
            wait_for_workers(address, 2)
            yield address
        finally:
            for process in started[::-1]:
                process.terminate()
            for process in started[::-1]:
                process.wait()


def wait_for_workers(address, count, patience=60.0):
    from distributed import Client

    with Client(address, timeout=patience) as client:
        client.wait_for_workers(count, timeout=patience)


def killed(share):
    """A sweep by two processes, ended by kill -9 after a quarter of its runs, and resumed."""
    from solidsim.results import open_run
    from solidsim.studies.running import run_many
    from solidsim.studies.workers import Workers

    chosen = texts(share)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        command = [sys.executable, __file__, "--row", "to be killed", str(share), name]
        with subprocess.Popen(command, env=one_thread(), cwd=HOME) as process:
            while len(list(folder.glob("*.h5"))) < len(chosen) // 4 and process.poll() is None:
                time.sleep(0.05)
            process.kill()
        time.sleep(1.0)  # its processes end with it
        finished = {path: path.stat().st_mtime_ns for path in folder.glob("*.h5")}
        halves = len(list(folder.glob("*.part")))
        start = time.perf_counter()
        outcomes = run_many(chosen, folder, workers=Workers(2))
        wall = time.perf_counter() - start
        untouched = {path: path.stat().st_mtime_ns for path in finished} == finished
        whole = all(open_run(one.path).finished for one in outcomes if one.path)
        left = len(list(folder.glob("*.part")))
    fresh = sum(one.fresh for one in outcomes)
    answer(
        runs=len(chosen), finished=len(finished), halves=halves, fresh=fresh, wall=wall,
        rate=60.0 * fresh / wall, untouched=untouched, whole=whole, left=left,
        table=digests(outcomes),
    )  # fmt: skip


def compared(one, other):
    """Whether two tables agree to the bit in the runs that both have, in words."""
    both = one.keys() & other.keys()
    if not both:
        return "of another program"
    equal = all(one[key] == other[key] for key in both)
    return f"{'the same to the bit' if equal else 'NOT the same'} ({len(both)} runs)"


def show(rows):
    heads = ["who", "date", "runs", "wall s", "runs a minute", "ratio", "table"]
    lines = []
    for way, row in rows.items():
        if "error" in row:
            lines.append((way, row["date"], row["error"], "", "", "", ""))
            continue
        ratio = agreed = ""
        if way != "serial" and "rate" in rows.get("serial", {}):
            ratio = f"{row['rate'] / rows['serial']['rate']:.2f}"
            agreed = compared(rows["serial"]["table"], row["table"])
        runs = row["fresh"] if way == "killed" else row["runs"]
        lines.append((way, row["date"], runs, f"{row['wall']:.1f}", f"{row['rate']:.0f}", ratio,
                      agreed))  # fmt: skip
    table(heads, lines)
    own = rows.get("killed", {})
    if "fresh" in own:
        print(
            f"kill -9 after {own['finished']} of {own['runs']} runs, {own['halves']} half written; "
            f"started again: {own['fresh']} computed, the finished ones "
            f"{'untouched' if own['untouched'] else 'TOUCHED'}, all "
            f"{'whole' if own['whole'] else 'NOT whole'}, {own['left']} half written left"
        )


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ways = (*WAYS, "chill", "least_feeder")
    parser.add_argument("--only", nargs="+", choices=ways, default=list(ways))
    parser.add_argument("--again", action="store_true", help="measure anew what is on disk")
    parser.add_argument(
        "--quick", action="store_true", help="20 of the variants, no search, to try it"
    )
    parser.add_argument("--row", nargs="+", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.row:
        one_row(*asked.row)
        return
    print(f"{machine()}; {STUDY.name}\n")
    rows, ledger = {}, partial(Ledger, OUT / "studies.jsonl")
    for way in (way for way in asked.only if way in WAYS):
        share = 10 if asked.quick else BESIDE if way in ("serial", "killed") else 1
        name = f"{way} {share}"
        again = [name] if asked.again else ()
        rows[way] = ledger(again).row(name, partial(apart, __file__, way, share))
    show(rows)
    for name in (way for way in asked.only if way not in WAYS and not asked.quick):
        again = [name] if asked.again else ()
        show_search(name, ledger(again).row(name, partial(apart, __file__, "search", name)))


def one_row(way, share, folder=None):
    if folder:
        from solidsim.studies.running import run_many
        from solidsim.studies.workers import Workers

        run_many(texts(int(share)), folder, workers=Workers(2))
    elif way == "search":
        searched(share)
    elif way == "killed":
        killed(int(share))
    else:
        measure(way, int(share))


if __name__ == "__main__":
    main()
